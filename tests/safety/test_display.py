"""Safety findings: each one raised, and not raised, by a build made for it."""

from typing import Any

import numpy as np
import pytest
import scipy.ndimage

from inrushlib.build import Build, new_build
from inrushlib.copper import adiabatic_limit, awg_area
from inrushlib.errors import BuildError, InrushError, SolverError, UsageError
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, PlaceKind, feed, hop
from inrushlib.safety.data_line import lane_starts
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import DEFERS, Finding, Question, grouped, judge
from inrushlib.safety.hardware import Hardware, conductor_currents, conductors_of
from inrushlib.safety.pulse import pulse_above, start_pulses, watched_start
from inrushlib.severity import Severity
from inrushlib.startup import simulate


def tiles(**values: Any) -> Build:
    given = {
        "title": "two tiles",
        "adapter.rated_current": 4.0,
        "lead.gauge": "18 AWG",
        "wiring.sections": 2,
        "wiring.pixels_per_section": 32,
        "wiring.feeds": [0],
        "firmware.first_frame_delay": "5 ms",
    }
    return new_build(given | {key.replace("__", "."): value for key, value in values.items()})


def findings(build: Build, hardware: Hardware | None = None, **more: Any) -> dict[str, Finding]:
    found = safety_findings(build, solve_panel(build), hardware=hardware, **more)
    ranks = [each.severity.rank for each in found]
    assert ranks == sorted(ranks, reverse=True)
    for each in found:
        assert each.source
        assert each.sentence.startswith(each.severity.value.upper())
        assert bool(each.remedy) or each.severity is Severity.FINE
    return {each.what: each for each in found}


def test_judge() -> None:
    assert [judge(v, 8.0, 10.0) for v in (8.0, 8.1, 10.0, 10.1)] == [
        Severity.FINE, Severity.CAUTION, Severity.CAUTION, Severity.DANGER,
    ]  # fmt: skip
    assert "local codes" in DEFERS.lower()
    assert "licensed" in DEFERS


@pytest.mark.parametrize(("gauge", "severity"), [(18, Severity.FINE), (24, Severity.FINE), (26, Severity.DANGER)])
def test_wire_against_its_rating(gauge: int, severity: Severity) -> None:
    # Handbook of Electronic Tables and Formulas, chassis column: 18 AWG 16 A, 24 AWG 3.5 A, 26 AWG 2.2 A; the
    # panel takes 2.4 A.
    build = tiles(lead__gauge=f"{gauge} AWG")
    assert 2.3 < solve_panel(build).lead_current < 2.5
    found = findings(build)["lead: current against the wire's rating"]
    assert found.severity is severity
    assert found.limit == {18: 16.0, 24: 3.5, 26: 2.2}[gauge]


def test_a_continuous_load_above_80_percent_is_a_caution() -> None:
    # NEC 210.20(A): a continuous load is at most 80 % of a rating.
    build = tiles(lead__gauge="24 AWG", wiring__pixels_per_section=40)
    found = findings(build)["lead: current against the wire's rating"]
    assert found.value is not None
    assert 0.8 * 3.5 < found.value < 3.5
    assert found.severity is Severity.CAUTION


def test_unknown_wires_are_asked_for_not_passed() -> None:
    found = findings(tiles())
    assert found["jumper 0-1: current against the wire's rating"].severity is Severity.NOTE
    assert found["feed to section 0: fuse rating"].severity is Severity.NOTE
    told = findings(tiles(), Hardware(areas={hop(0): awg_area(30)}))
    assert told["jumper 0-1: current against the wire's rating"].severity is Severity.DANGER
    measured = new_build(
        {"title": "t", "adapter.rated_current": 4, "lead.resistance": 0.1, "wiring.sections": 1,
         "wiring.pixels_per_section": 8}
    )  # fmt: skip
    assert findings(measured)["lead: current against the wire's rating"].severity is Severity.NOTE


def test_a_display_that_stays_lit_heats_its_wires() -> None:
    # The picture is dark, the power-on colour is white: only the stall shows what the hop has to carry.
    build = tiles()
    thin = Hardware(areas={hop(0): awg_area(30), feed(0): awg_area(18)}, ambient=60.0)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)), hardware=thin)}
    name = "wire temperature while the display stays in its power-on colour"
    assert dark["jumper 0-1: current against the wire's rating"].severity is Severity.FINE
    assert dark[f"jumper 0-1: {name}"].severity is not Severity.FINE
    assert dark[f"feed to section 0: {name}"].severity is Severity.CAUTION
    cool = findings(build, Hardware(areas={feed(0): awg_area(18)}))
    assert cool[f"feed to section 0: {name}"].severity is Severity.FINE


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


def test_pulses_of_a_dark_start_are_no_more_than_the_conductors_own_i2t() -> None:
    # Above nothing the only pulse is the whole run, and the curves give what the run's own quadrature gives.
    startup = simulate(tiles())
    pulses = start_pulses(startup, dict.fromkeys(conductors_of(startup.build), 0.0))
    for each, pulse in zip(startup.conductors, pulses.values(), strict=True):
        assert pulse <= 1.02 * each.i2t
    assert pulses[LEAD] == pytest.approx(startup.conductors[0].i2t, rel=0.02)


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


def test_gauges_of_the_build_are_judged() -> None:
    build = tiles(wiring__feed_gauge="28 AWG", wiring__hop_gauge="30 AWG", wiring__pixels_per_section=64)
    found = findings(build)
    # Handbook of Electronic Tables and Formulas, chassis column: 28 AWG 1.4 A, 30 AWG 0.86 A.
    feed, hop = (found[f"{name}: current against the wire's rating"] for name in ("feed to section 0", "jumper 0-1"))
    assert (feed.severity, feed.limit) == (Severity.DANGER, 1.4)
    assert (hop.severity, hop.limit) == (Severity.DANGER, 0.86)


def test_a_wire_thinner_than_the_table_is_refused_by_its_key() -> None:
    with pytest.raises(BuildError, match=r"two tiles: wiring\.feed_gauge, feed to section 0: wire area: 0\.00797 mm2"):
        findings(tiles(wiring__feed_gauge="38 AWG"))


def test_connectors_of_the_build_are_judged() -> None:
    # USB Micro-B: 1.8 A; the panel takes 2.4 A.
    found = findings(tiles(lead__connector="USB Micro-B", wiring__feed_connector="5.08 mm screw terminal"))
    assert found["lead: current through its USB Micro-B connector"].severity is Severity.DANGER
    assert found["feed to section 0: current through its 5.08 mm screw terminal connector"].severity is Severity.FINE
    with pytest.raises(BuildError, match=r'lead\.connector: value "a plug"; accepted: "not said" or "USB Type-C"'):
        tiles(lead__connector="a plug")


@pytest.mark.parametrize(
    ("rated", "style", "severity", "words"),
    [
        (4.0, "constant-current", Severity.FINE, ""),
        (2.9, "constant-current", Severity.CAUTION, "bigger adapter"),
        (2.2, "constant-current", Severity.DANGER, "bigger adapter"),
        (
            1.5,
            "constant-current",
            Severity.DANGER,
            "It is in its limit of 1.8 A and cannot hold its 5.1 V: it gives 3.5",
        ),
        (1.5, "hiccup", Severity.DANGER, "trips"),
    ],
)
def test_adapter_against_its_label(rated: float, style: str, severity: Severity, words: str) -> None:
    # The panel takes 2.4 A; NEC 210.20(A): a continuous load is at most 80 % of a rating.
    found = findings(tiles(adapter__rated_current=rated, adapter__limit_style=style))[
        "adapter: current against its label"
    ]
    assert found.severity is severity
    assert found.limit == rated
    assert words in found.remedy


def test_a_display_that_stays_lit_loads_the_adapter() -> None:
    build = tiles(adapter__rated_current=2.0)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)))}
    assert dark["adapter: current against its label"].severity is Severity.FINE
    stalled = dark["adapter: current against its label while the display stays in its power-on colour"]
    assert stalled.severity is Severity.CAUTION


@pytest.mark.parametrize("style", ["constant-current", "foldback", "hiccup", "latch-off"])
def test_an_adapter_in_its_limit_is_never_fine(style: str) -> None:
    # Folded back it gives less than its label, and only some 3 V; the others give more than the label.
    build = tiles(adapter__rated_current=3, adapter__limit_style=style, wiring__pixels_per_section=140)
    state = solve_panel(build)
    assert state.limiting
    # The law's own: at or above 0.97 of the limit.
    assert state.adapter_current == pytest.approx(state.adapter_limit, rel=0.03)
    assert (state.adapter_limit < 3.0) == (style == "foldback")
    found = findings(build)
    for name in ("", " while the display stays in its power-on colour"):
        each = found[f"adapter: current against its label{name}"]
        assert each.severity.rank >= Severity.CAUTION.rank
        assert each.remedy.startswith("It is in its limit of ")
        assert not each.sentence.rstrip().endswith(":")
        assert ("trips after 20 ms" in each.remedy) == (style in ("hiccup", "latch-off"))
        assert ("folded back" in each.remedy) == (style == "foldback")
    if style == "foldback":
        words = found["adapter: current against its label"].remedy
        assert f"it gives {state.adapter_voltage:.2f} V, the bus stands at {state.bus_voltage:.2f} V" in words
        assert "needs 2.88 V to come out of reset, does not start" in words


def test_a_lit_display_in_the_limit_is_told_where_the_picture_is_not() -> None:
    build = tiles(adapter__rated_current=3, adapter__limit_style="foldback", wiring__pixels_per_section=140)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)))}
    assert dark["adapter: current against its label"].severity is Severity.FINE
    lit = dark["adapter: current against its label while the display stays in its power-on colour"]
    assert lit.severity is Severity.CAUTION
    assert "It is in its limit of 2.8" in lit.remedy
    assert lit.remedy.endswith("do not leave it alone")


def test_an_adapter_with_something_to_spare_is_not_in_its_limit() -> None:
    state = solve_panel(tiles())
    assert not state.limiting
    assert state.adapter_limit == pytest.approx(4.8)


def test_a_supply_that_is_too_high_for_pixels_or_controller() -> None:
    found = findings(tiles(adapter__rated_voltage=6.0))
    assert found["pixels: supply voltage without load"].severity is Severity.DANGER  # they stand 5.5 V
    assert found["controller: supply voltage without load"].severity is Severity.FINE  # it stands 6 V
    own = findings(tiles(adapter__rated_voltage=5.0, controller__feed="own", controller__own_voltage=7.0))
    assert own["controller: supply voltage without load"].severity is Severity.DANGER
    assert own["pixels: supply voltage without load"].severity is Severity.FINE


def test_the_switch_in_the_long_run() -> None:
    # Gate pulled to 1 % of the bus: 4.9 V of drive on a part of 100 mohm at 4.5 V; some 2.4 A through it.
    build = tiles(switch={"on_resistance": 0.1, "thermal_resistances": [10.0, 50.0], "thermal_times": [1e-3, 1.0]})
    state = solve_panel(build)
    through = float(np.sum(state.feed_currents))
    found = findings(build)["switch: junction in this picture, in the long run"]
    assert found.value == pytest.approx(25 + 60 * through * (state.bus_voltage - state.root_voltage), rel=0.02)
    assert found.severity is Severity.FINE
    hot = findings(
        tiles(switch={"on_resistance": 0.4, "thermal_resistances": [10.0, 90.0], "thermal_times": [1e-3, 1.0]})
    )
    assert hot["switch: junction in this picture, in the long run"].severity is Severity.DANGER
    assert not any(name.startswith("switch") for name in findings(tiles()))


@pytest.mark.parametrize("kind", ["p-channel", "load-switch"])
def test_both_kinds_of_switch_get_hot(kind: str) -> None:
    # 0.4 ohm, 2.3 A, 100 K/W: some 200 K above the air, whatever the kind.
    ladder = {"thermal_resistances": [10.0, 90.0], "thermal_times": [1e-3, 1.0]}
    build = tiles(switch={"kind": kind, "on_resistance": 0.4, "current_limit": 10.0, **ladder})
    state = solve_panel(build)
    through = float(np.sum(state.feed_currents))
    loss = through * (state.bus_voltage - state.root_voltage)
    assert state.losses[PlaceKind.SWITCH] == pytest.approx(loss, rel=1e-6)
    assert PlaceKind.JOINT not in state.losses
    found = findings(build)
    for name in ("in this picture, in the long run", "while the display stays in its power-on colour"):
        each = found[f"switch: junction {name}"]
        assert each.severity is Severity.DANGER
        assert each.value == pytest.approx(25 + 100 * loss, rel=1e-6)


def test_a_load_switch_in_its_own_limit_is_hot() -> None:
    # It holds 1.5 A and takes what is over: some volts.
    build = tiles(switch={"kind": "load-switch", "current_limit": 1.5}, wiring__pixels_per_section=140)
    found = findings(build)["switch: junction in this picture, in the long run"]
    assert found.severity is Severity.DANGER
    assert not solve_panel(build).limiting


def test_losses_of_a_limiter_are_its_own() -> None:
    build = tiles(limiter={"cold_resistance": 5.0})
    state = solve_panel(build)
    assert PlaceKind.LIMITER in state.losses
    assert state.losses[PlaceKind.LEAD] == pytest.approx(state.lead_current**2 * build.lead.resistance, rel=1e-9)
    assert PlaceKind.LIMITER not in solve_panel(tiles()).losses


def test_alike_findings_are_one_line() -> None:
    build = tiles(wiring__sections=8, wiring__lanes=4, wiring__pixels_per_section=8)
    found = safety_findings(build, solve_panel(build))
    lines = grouped(found)
    assert sum(1 + more for _, more in lines) == len(found)
    hops = [(finding, more) for finding, more in lines if finding.place.kind is PlaceKind.HOP]
    assert [more for _, more in hops] == [6]
    # The hop beside the feed carries most.
    assert hops[0][0].place == hop(0)
    assert [more for finding, more in lines if finding.place.kind is PlaceKind.DATA_LINE] == [3]


def test_a_wire_hotter_than_its_law_reaches_is_said_so() -> None:
    build = tiles(wiring__pixels_per_section=[16, 300], adapter__rated_current=20, lead__gauge="10 AWG")
    hot = findings(build, Hardware(areas={hop(0): awg_area(30)}))
    assert "above 250 C" in hot["jumper 0-1: wire temperature while the display stays in its power-on colour"].sentence


def test_connectors_by_class() -> None:
    # USB Type-C: 3 A without an electronically marked cable.
    small = findings(tiles(), Hardware(connectors={LEAD: "USB Type-C"}))
    assert small["lead: current through its USB Type-C connector"].severity is Severity.CAUTION  # 2.5 A of 3 A
    more = tiles(wiring__pixels_per_section=64)
    large = findings(more, Hardware(connectors={LEAD: "USB Type-C"}))
    assert large["lead: current through its USB Type-C connector"].severity is Severity.DANGER


def test_adapter_class() -> None:
    # IEC 62368-1 annex Q: 8 A and 100 VA; IEC 60950-1 section 2.5 table 2B: 5 x Uoc, 25.5 VA at 5.1 V.
    current = "adapter: largest output current against a limited power source"
    older = "adapter: largest output power against the older form of a limited power source"
    small, middle, large = (findings(tiles(adapter__rated_current=amps)) for amps in (4.0, 6.0, 10.0))
    assert small[current].severity is Severity.FINE
    assert older not in small
    assert middle[current].severity is Severity.FINE
    assert middle[older].severity is Severity.NOTE
    assert large[current].severity is Severity.CAUTION


def test_data_line_level() -> None:
    # Data sheet of a 5050 RGB pixel: VIH 0.7 VDD, 3.57 V at 5.1 V: 3.3 V logic is out of specification.
    name = "data line 0: high level at its first pixel, in section 0"
    assert findings(tiles())[name].severity is Severity.CAUTION
    assert findings(tiles(), Hardware(data_level=5.0))[name].severity is Severity.FINE


def test_ground_shift_counts() -> None:
    # A long thin feed: the pixel's supply falls by d, so 0.7 d is won; its ground rises by d / 2, which is lost.
    build = tiles(wiring__feed_resistance=0.5)
    state = solve_panel(build, (0.5, 0.5, 0.5))
    drop = state.root_voltage - float(state.voltages[0])
    wanted = 0.7 * float(state.voltages[0]) + drop / 2
    assert wanted < 0.7 * 5.1
    found = findings(build)["data line 0: high level at its first pixel, in section 0"]
    assert found.limit == pytest.approx(0.7 * 5.1)


@pytest.mark.parametrize(("sections", "lanes", "expected"), [(7, 3, [0, 3, 5]), (4, 1, [0]), (4, 4, [0, 1, 2, 3])])
def test_lane_starts(sections: int, lanes: int, expected: list[int]) -> None:
    assert lane_starts(tiles(wiring__sections=sections, wiring__lanes=lanes)) == expected


def test_currents_by_conductor() -> None:
    build = tiles()
    state = solve_panel(build)
    currents = conductor_currents(build, state)
    assert list(currents) == [LEAD, feed(0), hop(0)]
    assert currents[feed(0)] == pytest.approx(float(state.pixel_currents.sum()), abs=1e-9)


@pytest.mark.parametrize(
    ("hardware", "error", "message"),
    [
        (
            Hardware(areas={hop(5): 1e-6}),
            UsageError,
            r"conductor: jumper 5-6 is not in this build; accepted: lead, feed",
        ),
        (Hardware(connectors={LEAD: "a plug"}), UsageError, r"connector of lead: 'a plug'; accepted: USB Type-C"),
        (Hardware(areas={LEAD: 1e-9}), BuildError, r"wire area: 0.001 mm2; accepted: .* or thicker"),
        (Hardware(table="mine"), UsageError, r"ampacity table: 'mine'; accepted: one of"),
        (Hardware(fuse_family="glass"), UsageError, r"fuse family: 'glass'; accepted: miniature, blade"),
    ],
)
def test_bad_hardware(hardware: Hardware, error: type[InrushError], message: str) -> None:
    with pytest.raises(error, match=message):
        findings(tiles(), hardware)


@pytest.mark.parametrize(("pixels", "severity"), [(16, Severity.CAUTION), (64, Severity.FINE)])
def test_a_power_bank_that_sees_too_little_load_is_told(pixels: int, severity: Severity) -> None:
    # Dark: 0.6 mA a pixel; the controller has its own supply here, so the pixels are all there is.
    build = tiles(
        **{"adapter__rated_current": None, "adapter__class": "power bank 2.1 A", "adapter__minimum_load": "50 mA"},
        wiring__pixels_per_section=pixels,
        controller__feed="own",
    )
    (found,) = (each for each in safety_findings(build, solve_panel(build)) if each.question is Question.MINIMUM_LOAD)
    assert found.value == pytest.approx(2 * pixels * 0.6e-3, rel=0.02)
    assert found.limit == 0.05
    assert found.severity is severity
    assert not any(each.question is Question.MINIMUM_LOAD for each in safety_findings(tiles(), solve_panel(tiles())))
