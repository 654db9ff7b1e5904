"""Safety findings: each one raised, and not raised, by a build made for it."""

from typing import Any

import pytest

from inrushlib.build import Build, new_build
from inrushlib.copper import adiabatic_limit, awg_area
from inrushlib.errors import BuildError
from inrushlib.panel import solve_panel
from inrushlib.sizing.data_line import lane_starts
from inrushlib.sizing.finding import DEFERS, Finding, Severity, judge
from inrushlib.sizing.pulse import start_pulses
from inrushlib.sizing.safety import Hardware, conductor_currents, safety_findings
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
    assert found["hop 0-1: current against the wire's rating"].severity is Severity.NOTE
    assert found["feed to section 0: fuse rating"].severity is Severity.NOTE
    told = findings(tiles(), Hardware(areas={"hop 0-1": awg_area(30)}))
    assert told["hop 0-1: current against the wire's rating"].severity is Severity.DANGER
    measured = new_build(
        {"title": "t", "adapter.rated_current": 4, "lead.resistance": 0.1, "wiring.sections": 1,
         "wiring.pixels_per_section": 8}
    )  # fmt: skip
    assert findings(measured)["lead: current against the wire's rating"].severity is Severity.NOTE


def test_a_display_that_stays_lit_heats_its_wires() -> None:
    # The picture is dark, the power-on colour is white: only the stall shows what the hop has to carry.
    build = tiles()
    thin = Hardware(areas={"hop 0-1": awg_area(30), "feed to section 0": awg_area(18)}, ambient=60.0)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)), hardware=thin)}
    name = "wire temperature while the display stays in its power-on colour"
    assert dark["hop 0-1: current against the wire's rating"].severity is Severity.FINE
    assert dark[f"hop 0-1: {name}"].severity is not Severity.FINE
    assert dark[f"feed to section 0: {name}"].severity is Severity.CAUTION
    cool = findings(build, Hardware(areas={"feed to section 0": awg_area(18)}))
    assert cool[f"feed to section 0: {name}"].severity is Severity.FINE


def test_start_up_pulse_against_insulation_and_fuse() -> None:
    build = tiles()
    startup = simulate(build)
    hardware = Hardware(areas={"feed to section 0": awg_area(22)})
    found = findings(build, hardware, startup=startup)
    pulse = found["feed to section 0: I2t of the start-up against what the insulation survives"]
    whole = next(each.i2t for each in startup.conductors if each.name == "feed to section 0")
    i2t = pulse.value
    assert i2t is not None
    assert 0.0 < i2t <= whole
    # IEC 60364-5-54: k = 115 for PVC.
    assert pulse.limit == pytest.approx(adiabatic_limit(awg_area(22), 115.0), rel=1e-3)
    fuse = found["feed to section 0: fuse rating"]
    # Running at 2.34 A: at least 3.12 A by the 75 % rule, at most the 7 A of 22 AWG; 3.15 A is the next rating.
    assert fuse.value == 3.15
    assert f"{i2t / 0.29:.3g} A2s" in fuse.remedy  # 10,000 starts: 29 %, fuse catalogue "Fuseology", chart 2


def test_pulse_of_a_whole_dark_start_is_the_conductors_own_i2t() -> None:
    # With no running current everything is pulse, and the curves give what the run's own quadrature gives.
    startup = simulate(tiles())
    pulses = start_pulses(startup, {each.name: 0.0 for each in startup.conductors})
    for each in startup.conductors:
        assert pulses[each.name] == pytest.approx(each.i2t, rel=0.02)


def test_no_fuse_fits_a_wire_that_is_too_thin() -> None:
    hardware = Hardware(areas={"feed to section 0": awg_area(26)})
    fuse = findings(tiles(), hardware)["feed to section 0: fuse rating"]
    assert fuse.severity is Severity.CAUTION
    assert "thicker wire" in fuse.remedy


def test_connectors_by_class() -> None:
    # USB Type-C: 3 A without an electronically marked cable.
    small = findings(tiles(), Hardware(connectors={"lead": "USB Type-C"}))
    assert small["lead: current through its USB Type-C connector"].severity is Severity.CAUTION  # 2.5 A of 3 A
    more = tiles(wiring__pixels_per_section=64)
    large = findings(more, Hardware(connectors={"lead": "USB Type-C"}))
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
    name = "data line 0: high level at the first pixel of section 0"
    assert findings(tiles())[name].severity is Severity.CAUTION
    assert findings(tiles(), Hardware(data_level=5.0))[name].severity is Severity.FINE


def test_ground_shift_counts() -> None:
    # A long thin feed: the pixel's supply falls by d, so 0.7 d is won; its ground rises by d / 2, which is lost.
    build = tiles(wiring__feed_resistance=0.5)
    state = solve_panel(build, (0.5, 0.5, 0.5))
    drop = state.root_voltage - float(state.voltages[0])
    wanted = 0.7 * float(state.voltages[0]) + drop / 2
    assert wanted < 0.7 * 5.1
    found = findings(build)["data line 0: high level at the first pixel of section 0"]
    assert found.limit == pytest.approx(0.7 * 5.1)


@pytest.mark.parametrize(("sections", "lanes", "expected"), [(7, 3, [0, 3, 5]), (4, 1, [0]), (4, 4, [0, 1, 2, 3])])
def test_lane_starts(sections: int, lanes: int, expected: list[int]) -> None:
    assert lane_starts(tiles(wiring__sections=sections, wiring__lanes=lanes)) == expected


def test_currents_by_conductor() -> None:
    build = tiles()
    state = solve_panel(build)
    currents = conductor_currents(build, state)
    assert list(currents) == ["lead", "feed to section 0", "hop 0-1"]
    assert currents["feed to section 0"] == pytest.approx(float(state.pixel_currents.sum()), abs=1e-9)


@pytest.mark.parametrize(
    ("hardware", "message"),
    [
        (Hardware(areas={"hop 5-6": 1e-6}), r"conductor: 'hop 5-6' is not in this build; accepted: lead, feed"),
        (Hardware(connectors={"lead": "a plug"}), r"connector of lead: 'a plug'; accepted: USB Type-C"),
        (Hardware(areas={"lead": 1e-9}), r"wire area: 0.001 mm2; accepted: .* or thicker"),
        (Hardware(table="mine"), r"ampacity table: 'mine'; accepted: one of"),
        (Hardware(fuse_family="glass"), r"fuse family: 'glass'; accepted: miniature, blade"),
    ],
)
def test_bad_hardware(hardware: Hardware, message: str) -> None:
    with pytest.raises(BuildError, match=message):
        findings(tiles(), hardware)
