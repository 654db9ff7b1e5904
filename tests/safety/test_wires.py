"""Wires and connectors: their currents against their ratings, and how hot they get."""

import pytest

from inrushlib.build import new_build
from inrushlib.copper import awg_area
from inrushlib.errors import BuildError, InrushError, UsageError
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, feed, hop
from inrushlib.safety.display import safety_findings
from inrushlib.safety.hardware import Hardware, conductor_currents
from inrushlib.severity import Severity

from .tiles import findings, tiles


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


def test_a_wire_hotter_than_its_law_reaches_is_said_so() -> None:
    build = tiles(wiring__pixels_per_section=[16, 300], adapter__rated_current=20, lead__gauge="10 AWG")
    hot = findings(build, Hardware(areas={hop(0): awg_area(30)}))
    assert "above 250 C" in hot["jumper 0-1: wire temperature while the display stays in its power-on colour"].sentence


def test_connectors_of_the_build_are_judged() -> None:
    # USB Micro-B: 1.8 A; the panel takes 2.4 A.
    found = findings(tiles(lead__connector="USB Micro-B", wiring__feed_connector="5.08 mm screw terminal"))
    assert found["lead: current through its USB Micro-B connector"].severity is Severity.DANGER
    assert found["feed to section 0: current through its 5.08 mm screw terminal connector"].severity is Severity.FINE
    with pytest.raises(BuildError, match=r'lead\.connector: value "a plug"; accepted: "not said" or "USB Type-C"'):
        tiles(lead__connector="a plug")


def test_connectors_by_class() -> None:
    # USB Type-C: 3 A without an electronically marked cable.
    small = findings(tiles(), Hardware(connectors={LEAD: "USB Type-C"}))
    assert small["lead: current through its USB Type-C connector"].severity is Severity.CAUTION  # 2.5 A of 3 A
    more = tiles(wiring__pixels_per_section=64)
    large = findings(more, Hardware(connectors={LEAD: "USB Type-C"}))
    assert large["lead: current through its USB Type-C connector"].severity is Severity.DANGER


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
