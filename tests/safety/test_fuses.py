"""Fuses and start-up pulses: what a fuse must carry, what it must protect, what the adapter can blow."""

import numpy as np
import pytest
import scipy.ndimage

from inrushlib.build import Build
from inrushlib.copper import adiabatic_limit, awg_area
from inrushlib.errors import SolverError
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, feed, hop
from inrushlib.safety.display import safety_findings
from inrushlib.safety.hardware import Hardware, conductors_of
from inrushlib.safety.pulse import pulse_above, start_pulses, watched_start
from inrushlib.severity import Severity
from inrushlib.startup import simulate

from .tiles import findings, tiles


def test_start_up_pulse_against_insulation_and_fuse() -> None:
    # A switch that closes quickly onto a large capacitor: a pulse far above what the lit panel takes.
    # The adapter could push 12 A through the 11 A of 20 AWG; that blows a fuse of 6 A or less.
    build = tiles(
        panel__bulk=2.2e-3, panel__bulk_esr=0.02, bus__bulk=4.7e-3, switch={}, wiring__pixels_per_section=8,
        adapter__rated_current=10, lead__gauge="20 AWG",
    )  # fmt: skip
    startup = simulate(build)
    hardware = Hardware(areas={feed(0): awg_area(22)})
    found = findings(build, hardware, startup=startup)
    lasting = solve_panel(build).lead_current
    current, time = startup.curves["lead_current"], startup.time
    pulse = found["lead: I2t of the start-up against what the insulation survives"]
    # The largest of the stretches above the smallest fuse that may be there: charging the bus, closing the switch.
    stretches, count = scipy.ndimage.label(current > lasting / 0.75)
    assert count >= 2
    largest = max(np.trapezoid(np.where(stretches == k, current**2, 0.0), time) for k in range(1, count + 1))
    assert pulse.value == pytest.approx(largest, rel=0.02)
    assert largest > 0.01
    # IEC 60364-5-54: k = 115 for PVC.
    assert pulse.limit == pytest.approx(adiabatic_limit(awg_area(20), 115.0), rel=1e-3)
    fuse = found["lead: fuse rating"]
    assert fuse.value is not None
    assert lasting / 0.75 <= fuse.value <= 11.0
    assert f"{pulse.value / 0.29:.3g} A2s" in fuse.remedy  # 10,000 starts: 29 %, fuse catalogue "Fuseology", chart 2


def test_pulses_of_a_dark_start_are_no_more_than_the_conductors_own_i2t() -> None:
    # Above nothing the only pulse is the whole run, and the curves give what the run's own quadrature gives.
    startup = simulate(tiles())
    pulses = start_pulses(startup, dict.fromkeys(conductors_of(startup.build), 0.0))
    for each, pulse in zip(startup.conductors, pulses.values(), strict=True):
        assert pulse <= 1.02 * each.i2t
    assert pulses[LEAD] == pytest.approx(startup.conductors[0].i2t, rel=0.02)


def test_a_start_that_draws_no_more_than_the_running_picture_has_no_pulse() -> None:
    build = tiles()
    startup = simulate(build)
    lasting = solve_panel(build).lead_current
    assert 0.8 * lasting < startup.figures.peak_lead_current < lasting / 0.75
    found = findings(build, startup=startup)
    assert found["lead: I2t of the start-up against what the insulation survives"].value == 0.0


def test_only_the_largest_pulse_counts() -> None:
    time = np.linspace(0.0, 10.0, 10_001)
    current = np.where((time > 1) & (time < 2), 4.0, np.where((time > 5) & (time < 8), 3.0, 1.0))
    assert pulse_above(time, current, 2.0) == pytest.approx(27.0, rel=1e-2)
    assert pulse_above(time, current, 5.0) == 0.0


def test_a_start_that_cannot_be_computed_is_none_and_a_long_run_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    build = tiles(run__duration=600)
    startup = watched_start(build)
    assert startup is not None
    assert startup.build.run.duration < 3

    def fails(_: Build) -> None:
        raise SolverError("stopped", "two tiles")

    monkeypatch.setattr("inrushlib.safety.pulse.simulate", fails)
    assert watched_start(build) is None


def test_fuse_between_the_running_current_and_the_wire() -> None:
    # Running at 2.34 A: at least 3.12 A by the 75 % rule, at most the 7 A of 22 AWG; 3.15 A is the next rating.
    found = findings(tiles(adapter__rated_current=8), Hardware(areas={feed(0): awg_area(22)}))
    assert found["feed to section 0: fuse rating"].value == 3.15
    assert found["feed to section 0: fuse rating"].limit == 7.0


def test_a_fuse_carries_a_display_that_stays_lit() -> None:
    # The picture is dark; a fuse for it would blow at every start.
    build = tiles(adapter__rated_current=10, lead__gauge="20 AWG")
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)))}
    lit = findings(build)
    assert dark["lead: fuse rating"].value == lit["lead: fuse rating"].value


def test_a_feeds_fuse_protects_the_hops_behind_it() -> None:
    # 22 AWG stands 7 A, 26 AWG behind it 2.2 A: a fuse of 3.15 A or more does not protect the hop.
    thin = Hardware(areas={feed(0): awg_area(22), hop(0): awg_area(26)})
    found = findings(tiles(), thin)
    none = found["feed to section 0: no fuse fits, least rating"]
    assert none.severity is Severity.CAUTION
    assert none.limit == 2.2
    assert "jumper 0-1 behind it carries at most 2.2 A" in none.remedy


def test_above_miniature_fuses_come_blade_fuses() -> None:
    # 30 A can flow, the 14 AWG lead stands 32 A; a plug of 15 A asks for a fuse, and 30 A blow one of 15 A.
    build = tiles(
        adapter__rated_current=25, lead__gauge="14 AWG", wiring__pixels_per_section=140,
        lead__connector="6.3 mm blade terminal",
    )  # fmt: skip
    lasting = solve_panel(build).lead_current
    assert 7.5 < lasting < 11
    assert findings(build)["lead: fuse rating"].value == 15.0
    only = findings(build, Hardware(fuse_family="miniature"))["lead: no fuse fits, least rating"]
    assert "the ratings end at 10 A" in only.remedy


def test_no_fuse_fits_a_wire_that_is_too_thin() -> None:
    hardware = Hardware(areas={feed(0): awg_area(26)})
    fuse = findings(tiles(), hardware)["feed to section 0: no fuse fits, least rating"]
    assert fuse.severity is Severity.CAUTION
    assert "thicker wire" in fuse.remedy


def test_a_fuse_protects_the_weakest_of_wire_and_connector() -> None:
    # 8.4 A asks for 11.2 A or more; the 14 AWG wire stands 32 A, the plug 5 A.
    build = tiles(
        adapter__rated_current=15, lead__gauge="14 AWG", lead__connector="barrel jack 5.5 mm x 2.1 mm",
        wiring__pixels_per_section=115,
    )  # fmt: skip
    found = findings(build)
    assert "lead: fuse rating" not in found
    none = found["lead: no fuse fits, least rating"]
    assert none.severity is Severity.CAUTION
    assert none.limit == 5.0
    assert none.value is not None
    assert none.value > 10
    assert "its barrel jack 5.5 mm x 2.1 mm connector carries at most 5 A: a larger connector" in none.remedy
    # A small panel behind the same plug: 18 A blow 4 A, and 4 A is below what the plug stands.
    small = findings(tiles(adapter__rated_current=15, lead__connector="barrel jack 5.5 mm x 2.1 mm"))
    assert small["lead: fuse rating"].value == 4.0
    assert small["lead: fuse rating"].limit == 5.0


@pytest.mark.parametrize(
    ("rated", "what", "severity", "value"),
    [
        (15.0, "lead: fuse rating", Severity.NOTE, 5.0),  # 18 A are 3.6 times 5 A
        (8.0, "lead: no fuse would blow, most current that can flow for long", Severity.CAUTION, 9.6),  # 1.92 times
        (5.0, "lead: no fuse would blow, most current that can flow for long", Severity.CAUTION, 6.0),  # 1.2 times
        (4.0, "lead: no fuse needed, most current that can flow for long", Severity.NOTE, 4.8),  # below the plug's 5 A
    ],
)
def test_a_fuse_that_the_adapter_cannot_blow(rated: float, what: str, severity: Severity, value: float) -> None:
    # 3.5 A runs: 4.7 A or more; the plug stands 5 A. UL 248-14: opens at 2 x its rating within two minutes, at 1.35 x
    # within an hour. Limits are 1.2 x the label.
    build = tiles(
        adapter__rated_current=rated, lead__connector="barrel jack 5.5 mm x 2.1 mm", wiring__pixels_per_section=47
    )
    found = findings(build)[what]
    assert (found.severity, found.value, found.limit) == (severity, pytest.approx(value), 5.0)
    slow, never = "may take up to an hour", "may never blow"
    assert (slow in found.remedy, never in found.remedy) == (rated == 8.0, rated == 5.0)
    assert ("protects nothing" in found.remedy) == (rated < 15.0)
    assert ("a larger connector" in found.remedy) == (rated in (5.0, 8.0))


def test_a_feeds_fuse_is_blown_by_no_more_than_a_load_switch_lets_through() -> None:
    area = Hardware(areas={feed(0): awg_area(24), hop(0): awg_area(20)})
    name = "feed to section 0: no fuse needed, most current that can flow for long"
    switch = {"kind": "load-switch", "current_limit": 3.4}
    limited = findings(tiles(adapter__rated_current=10, switch=switch), area)[name]
    assert (limited.value, limited.limit) == (3.4, 3.5)
    assert "the load switch's limit" in limited.remedy
    assert findings(tiles(adapter__rated_current=10), area)["feed to section 0: fuse rating"].value == 3.15


def test_hops_that_are_not_known_are_not_passed_by_a_fuse() -> None:
    found = findings(tiles(adapter__rated_current=8), Hardware(areas={feed(0): awg_area(22)}))
    assert "say how thick they are (wiring.hop_gauge)" in found["feed to section 0: fuse rating"].remedy
    connector = findings(tiles(wiring__feed_connector="5.08 mm screw terminal"))["feed to section 0: fuse rating"]
    assert connector.limit == 10.0
    assert "at most the 10 A that its 5.08 mm screw terminal connector carries; say how thick" in connector.remedy
