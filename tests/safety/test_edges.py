"""On either side of each limit that a finding holds something to, and the numbers in its advice."""

from dataclasses import replace

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.copper import adiabatic_factor, adiabatic_limit, awg_area, wire_temperature
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, SWITCH, PlaceKind, feed, hop
from inrushlib.safety.conductors import Conductor, Load, conductor_findings
from inrushlib.safety.data_line import data_line_findings
from inrushlib.safety.finding import Question
from inrushlib.safety.fuse_findings import fuse_finding
from inrushlib.safety.hardware import Hardware, areas_of_build, connectors_of_build
from inrushlib.safety.limited_power import limited_power_findings
from inrushlib.safety.pulse import pulse_above, watched_start
from inrushlib.safety.supply import limit_in_words, supply_findings
from inrushlib.safety.switch_findings import stress_findings
from inrushlib.safety.switch_stress import switch_stress
from inrushlib.severity import Severity
from inrushlib.startup import Actor, Kind, simulate

BUILD = new_build(
    {
        "title": "two tiles", "adapter.rated_current": 4.0, "adapter.rated_voltage": 5.0, "lead.gauge": "18 AWG",
        "adapter.output_resistance": 0.1, "wiring.sections": 2, "wiring.pixels_per_section": 32, "wiring.feeds": [0],
    }
)  # fmt: skip
THIN = awg_area(22)  # chassis column of the Handbook of Electronic Tables and Formulas: 7 A


def conductor(question, *, running=0.0, stalled=0.0, pulse=None, plug=None, area=THIN, place=LEAD, given=None):
    load = Load(Conductor(place, area, plug), running, stalled, pulse)
    return next(
        (each for each in conductor_findings(BUILD, load, given or Hardware()) if each.question is question), None
    )


@pytest.mark.parametrize(
    ("amperes", "severity"),
    [(5.6, Severity.FINE), (5.7, Severity.CAUTION), (7.0, Severity.CAUTION), (7.1, Severity.DANGER)],
)
def test_a_wire_carries_80_percent_of_its_rating_for_long(amperes, severity):
    # NEC 210.20(A); what runs counts here, not what a hanging controller would leave.
    found = conductor(Question.WIRE_RATING, running=amperes, stalled=20.0)
    assert (found.severity, found.value, found.limit, found.unit) == (severity, amperes, 7.0, "A")
    assert (found.remedy == "") == (severity is Severity.FINE)
    if found.remedy:
        assert found.remedy == "use a thicker wire, or limit the brightness"
        feeds = conductor(Question.WIRE_RATING, running=amperes, place=feed(0))
        assert feeds.remedy == "use a thicker wire, or add a feed, or limit the brightness"


@pytest.mark.parametrize(
    ("plug", "amperes", "severity"),
    [
        ("USB Type-C", 2.4, Severity.FINE),
        ("USB Type-C", 2.5, Severity.CAUTION),
        ("USB Type-C", 3.0, Severity.CAUTION),
        ("USB Type-C", 3.1, Severity.DANGER),
    ],
)
def test_a_plug_carries_the_larger_of_both_currents(plug, amperes, severity):
    for currents in ({"running": amperes, "stalled": 0.1}, {"running": 0.1, "stalled": amperes}):
        found = conductor(Question.CONNECTOR, plug=plug, **currents)
        assert (found.severity, found.value, found.limit, found.detail) == (severity, amperes, 3.0, plug)
        assert found.remedy == (
            "" if severity is Severity.FINE else "use a larger connector, two of them, or more feeds"
        )
    assert conductor(Question.CONNECTOR, running=9.0) is None


def test_an_insulation_stays_10_kelvin_below_its_limit():
    given = Hardware(ambient=40.0)
    celsius = wire_temperature(3.0, THIN, 40.0)
    for limit, severity in (
        (celsius + 10.1, Severity.FINE),
        (celsius + 9.9, Severity.CAUTION),
        (celsius + 0.1, Severity.CAUTION),
        (celsius - 0.1, Severity.DANGER),
    ):
        found = conductor(Question.WIRE_STALLED, stalled=3.0, given=replace(given, insulation_limit=limit))
        assert (found.severity, found.value, found.limit, found.unit) == (severity, celsius, limit, "C")
        assert (found.remedy == "") == (severity is Severity.FINE)


@pytest.mark.parametrize(
    ("share", "severity"),
    [(0.5, Severity.FINE), (0.51, Severity.CAUTION), (1.0, Severity.CAUTION), (1.01, Severity.DANGER)],
)
def test_a_start_up_pulse_uses_half_of_what_the_insulation_survives(share, severity):
    # IEC 60364-5-54, from the insulation's lasting limit to its short one: 115 for PVC.
    assert adiabatic_factor(70.0, 160.0) == pytest.approx(115, abs=0.5)
    limit = adiabatic_limit(THIN, adiabatic_factor(70.0, 160.0))
    found = conductor(Question.WIRE_PULSE, pulse=share * limit)
    assert (found.severity, found.value, found.limit, found.unit) == (severity, share * limit, limit, "A2s")
    assert found.remedy == ("" if severity is Severity.FINE else "use a thicker wire or a gentler start")
    assert conductor(Question.WIRE_PULSE) is None
    assert conductor(Question.WIRE_PULSE, pulse=1e9, area=None) is None


def test_what_is_usual_where_nothing_is_said():
    # PVC stands 70 C for good and 160 C for moments (IEC 60364-4-43, table 43A); 25 C of air as in the charts of fuses.
    usual = Hardware()
    assert (usual.insulation_limit, usual.short_limit, usual.ambient) == (70.0, 160.0, 25.0)
    assert (usual.table, usual.starts, usual.fuse_family, usual.data_level) == ("chassis wiring", 10_000, None, None)
    assert (usual.areas, usual.connectors, usual.melting_i2t) == ({}, {}, None)


def test_what_the_build_says_of_each_conductor():
    wiring = {"sections": 3, "pixels_per_section": 8, "feeds": [0, 2]}
    told = new_build(
        {
            "title": "three", "adapter.rated_current": 4.0, "lead.gauge": "18 AWG", "lead.connector": "USB Type-C",
            "wiring": wiring | {"feed_gauge": "22 AWG", "hop_gauge": "26 AWG",
                                "feed_connector": "5.08 mm screw terminal"},
        }
    )  # fmt: skip
    thick, thin, thinnest = (pytest.approx(awg_area(gauge)) for gauge in (18, 22, 26))
    assert areas_of_build(told) == {LEAD: thick, feed(0): thin, feed(2): thin, hop(0): thinnest, hop(1): thinnest}
    screw = "5.08 mm screw terminal"
    assert connectors_of_build(told) == {LEAD: "USB Type-C", feed(0): screw, feed(2): screw}
    silent = new_build({"title": "t", "adapter.rated_current": 4.0, "lead.resistance": 0.1, "wiring": wiring})
    assert (areas_of_build(silent), connectors_of_build(silent)) == ({}, {})
    both = silent.with_values({"lead.gauge": "18 AWG"})
    assert areas_of_build(both) == {LEAD: thick}
    # A lead of which nothing is said is the usual one of a build.
    assert areas_of_build(silent.with_values({"lead.resistance": None})) == {LEAD: silent.lead.gauge}


@pytest.mark.parametrize(("level", "severity"), [(3.5, Severity.FINE), (3.49, Severity.CAUTION)])
def test_the_data_line_of_each_lane_against_7_tenths_of_the_supply(level, severity):
    build = BUILD.with_values({"wiring.sections": 5, "wiring.lanes": 2})
    found = data_line_findings(build, level)
    assert [(each.place.kind, each.place.index, each.detail) for each in found] == [
        (PlaceKind.DATA_LINE, 0, "0"), (PlaceKind.DATA_LINE, 1, "3"),
    ]  # fmt: skip
    for each in found:
        assert (each.severity, each.value, each.minimum, each.unit) == (severity, level, True, "V")
        assert each.limit == pytest.approx(3.5)
        assert (each.remedy == "") == (severity is Severity.FINE)
    (rail, _) = data_line_findings(build.with_values({"controller.rail_voltage": 3.2}))
    assert rail.value == 3.2


def test_a_minimum_load_is_met_by_just_that_load():
    build = BUILD.with_values({"adapter.minimum_load": 0.05})
    dark = solve_panel(build, (0.0, 0.0, 0.0)).lead_current
    state = solve_panel(BUILD)
    for least, severity in ((dark, Severity.FINE), (1.001 * dark, Severity.CAUTION)):
        (each,) = (
            each
            for each in supply_findings(build.with_values({"adapter.minimum_load": least}), state, state)
            if each.question is Question.MINIMUM_LOAD
        )
        assert (each.value, each.limit, each.severity, each.minimum) == (pytest.approx(dark), least, severity, True)
        assert (each.remedy == "") == (severity is Severity.FINE)


def test_pulses_in_closed_form():
    # 3 A for 1 s on 1 A; 2 A for 4 s before it, from the first instant on: I2t 16 A2s against 9 A2s.
    time = np.arange(0.0, 10.0, 1e-3)
    current = np.where(time < 4.0, 2.0, np.where((time >= 6.0) & (time < 7.0), -3.0, 1.0))
    assert pulse_above(time, current, 1.5) == pytest.approx(16.0, rel=1e-3)
    assert pulse_above(time, current, 2.0) == pytest.approx(9.0, rel=2e-3)  # at the level is not above it
    assert pulse_above(time, current, 3.0) == 0.0
    assert pulse_above(time, current, 0.5) == pytest.approx(4 * 4 + 9 + 5, rel=1e-3)
    last = np.where(time >= 9.0, 4.0, 0.0)  # up to the last instant
    assert pulse_above(time, last, 1.0) == pytest.approx(16.0, rel=2e-3)
    # By the trapezoid rule, from the last instant at the level to the next: 2 A and 4 A a second apart.
    few = np.arange(6.0)
    assert pulse_above(few, np.array([1.0, 1.0, 2.0, 4.0, 1.0, 1.0]), 1.0) == 0.5 * 4 + 0.5 * (4 + 16) + 0.5 * 16
    assert pulse_above(few, np.array([2.0, 1.0, 1.0, 1.0, 1.0, 4.0]), 1.0) == 0.5 * 16
    assert pulse_above(few, np.array([3.0, 1.0, 1.0, 1.0, 1.0, 1.0]), 1.0) == 0.5 * 9


def test_a_start_is_watched_for_two_seconds_after_its_boot():
    build = BUILD.with_values({"run.duration": 600, "adapter.soft_start": 0.02, "controller.boot_time": 0.3})
    assert watched_start(build).build.run.duration == pytest.approx(2.32)
    assert watched_start(build.with_values({"run.duration": 0.4})).build.run.duration == 0.4


def test_the_numbers_of_the_adapters_class():
    # IEC 62368-1 annex Q: 8 A; IEC 60950-1 table 2B: 5 x 5 V = 25 VA (both from memory).
    build = BUILD.with_values({"adapter.rated_current": 6.0, "adapter.limit_current": 6.5})
    current, power = limited_power_findings(build)
    assert (current.value, current.limit, current.unit, current.remedy) == (6.5, 8.0, "A", "")
    assert (power.value, power.limit, power.unit) == (6.5 * 5.0, 25.0, "VA")
    assert power.severity is Severity.NOTE
    (past,) = limited_power_findings(build.with_values({"adapter.peak_current": 9.0, "adapter.peak_time": 1e-3}))
    assert (past.value, past.limit, past.severity) == (9.0, 8.0, Severity.CAUTION)
    assert past.remedy.startswith("fuse what carries less than that")


def limited(build=BUILD, **values):
    """A panel whose adapter is in its limit, with some of its values replaced."""
    state = solve_panel(build)
    lowest = values.pop("lowest_voltage", None)
    if lowest is not None:
        values["voltages"] = state.voltages + lowest - state.lowest_voltage
    usual = {"adapter_limit": 4.8, "adapter_current": 4.8, "adapter_voltage": 3.6, "bus_voltage": 3.5}
    return replace(state, **(usual | values))


@pytest.mark.parametrize(
    ("given", "values", "words"),
    [
        (
            {"adapter.limit_style": "hiccup", "adapter.trip_delay": "30 ms", "adapter.retry_delay": "700 ms"},
            {},
            "it is in its limit of 4.8 A and trips after 30 ms, to try again every 700 ms: this picture does not last,"
            " the display blinks",
        ),
        (
            {"adapter.limit_style": "latch-off", "adapter.trip_delay": "30 ms"},
            {},
            "it is in its limit of 4.8 A and trips after 30 ms: the display goes dark and stays dark until the mains"
            " is switched off and on",
        ),
        # It regulates 5 V - 0.1 ohm x 4.8 A = 4.52 V: within 20 mV of that it holds, below it does not.
        (
            {},
            {"adapter_voltage": 4.501},
            "it is in its limit of 4.8 A with nothing to spare: a little more load, and its voltage falls",
        ),
        (
            {},
            {"adapter_voltage": 4.499},
            "it is in its limit of 4.8 A and cannot hold its 5 V: it gives 4.5 V, the bus stands at 3.5 V, so that the"
            " display is dimmer than it should be",
        ),
        (
            {"adapter.limit_style": "foldback"},
            {"adapter_limit": 4.7, "adapter_current": 4.7},
            "it is in its limit of 4.7 A, folded back, and cannot hold its 5 V: it gives 3.6 V, the bus stands at"
            " 3.5 V, so that the display is dimmer than it should be",
        ),
        (
            {"pixel.listen_voltage": 2.5},
            {"lowest_voltage": 2.49},
            "it is in its limit of 4.8 A and cannot hold its 5 V: it gives 3.6 V, the bus stands at 3.5 V, so that the"
            " worst pixel gets 2.49 V, and needs 2.5 V to take data",
        ),
        (
            {"pixel.listen_voltage": 2.5},
            {"lowest_voltage": 2.51},
            "it is in its limit of 4.8 A and cannot hold its 5 V: it gives 3.6 V, the bus stands at 3.5 V, so that the"
            " display is dimmer than it should be",
        ),
    ],
)
def test_what_an_adapter_in_its_limit_does(given, values, words):
    build = BUILD.with_values(given)
    assert limit_in_words(build, limited(build, **values)) == words


def test_what_it_does_to_the_controller():
    # It leaves reset at 2.7 V on its rail; the bus has to stand above that by what lies between.
    text = limit_in_words(BUILD, limited(bus_voltage=2.5))
    assert "the bus stands at 2.5 V, where the controller, which needs 2.88 V to come out of reset, does not" in text
    assert "controller" not in limit_in_words(BUILD, limited(bus_voltage=2.9))
    never = BUILD.with_values({"controller.brownout_rising": 4.9, "controller.rail_voltage": 3.3})
    assert limit_in_words(never, limited(never)).endswith(
        "the bus stands at 3.5 V; at no bus voltage does the controller come out of reset"
    )


@pytest.mark.parametrize(
    ("amperes", "severity"),
    [(3.2, Severity.FINE), (3.3, Severity.CAUTION), (4.0, Severity.CAUTION), (4.1, Severity.DANGER)],
)
def test_the_adapters_label(amperes, severity):
    # NEC 210.20(A): 80 % of 4 A for what is shown; a display that stays lit is no lasting load by intent.
    state, lit = solve_panel(BUILD), solve_panel(BUILD)
    found = {
        each.question: each
        for each in supply_findings(
            BUILD, replace(state, adapter_current=amperes), replace(lit, adapter_current=amperes)
        )
    }
    shown, stalled = found[Question.LABEL], found[Question.LABEL_STALLED]
    assert (shown.severity, shown.value, shown.limit) == (severity, amperes, 4.0)
    assert stalled.severity is (Severity.CAUTION if amperes > 4.0 else Severity.FINE)
    assert (stalled.value, stalled.limit) == (amperes, 4.0)
    if shown.remedy:
        assert shown.remedy == "Take a bigger adapter, or limit the brightness"


@pytest.mark.parametrize(
    ("values", "pixels", "controller"),
    [
        # Data sheets: a pixel stands 5.5 V, a controller 6 V.
        ({"adapter.rated_voltage": 5.5}, (5.5, Severity.FINE), (5.5, Severity.FINE)),
        ({"adapter.rated_voltage": 5.51}, (5.51, Severity.DANGER), (5.51, Severity.FINE)),
        (
            {"controller.feed_diode": True, "controller.diode_drop": 0.3, "adapter.rated_voltage": 6.2},
            (6.2, Severity.DANGER),
            (5.9, Severity.FINE),
        ),
        (
            {"controller.feed": "own", "controller.own_voltage": 6.1},
            (5.0, Severity.FINE),
            (6.1, Severity.DANGER),
        ),
    ],
)
def test_the_supply_without_load_against_what_each_part_stands(values, pixels, controller):
    build = BUILD.with_values(values)
    state = solve_panel(BUILD)
    found = [each for each in supply_findings(build, state, state) if each.question is Question.SUPPLY_VOLTAGE]
    assert [each.place.kind for each in found] == [PlaceKind.PIXELS, PlaceKind.CONTROLLER]
    assert [(pytest.approx(each.value), each.severity) for each in found] == [pixels, controller]
    assert [each.limit for each in found] == [5.5, 6.0]


@pytest.mark.parametrize(("kind", "advice"), [("p-channel", "less resistance"), ("load-switch", "a higher limit")])
def test_a_junction_stays_25_kelvin_below_its_highest(kind, advice):
    # Common practice, no source. 100 K/W above 30 C of air, 150 C at most: 0.95 W and 1.2 W are the edges.
    switch = {"kind": kind, "ambient": 30.0, "thermal_resistances": [60.0, 40.0], "thermal_times": [1e-3, 1.0]}
    build = BUILD.with_values({"switch": switch | {"highest_junction": 150.0}})
    state = solve_panel(build)
    for watts, severity in ((0.949, Severity.FINE), (0.951, Severity.CAUTION), (1.201, Severity.DANGER)):
        hot = replace(state, losses={**state.losses, PlaceKind.SWITCH: watts})
        for first, second, question in ((hot, state, Question.JUNCTION), (state, hot, Question.JUNCTION_STALLED)):
            found = next(each for each in supply_findings(build, first, second) if each.question is question)
            assert (found.value, found.limit) == (pytest.approx(30.0 + 100.0 * watts), 150.0)
            assert (found.severity, found.place) == (severity, SWITCH)
            wanted = "" if severity is Severity.FINE else f"take a switch of {advice}, or cool it"
            assert found.remedy == wanted


SWITCHED = BUILD.with_values(
    {"switch": {"threshold_voltage": 1.0, "on_resistance": 0.04, "highest_junction": 150.0}, "run.duration": 0.3}
)


@pytest.fixture(scope="module")
def stress():
    return switch_stress(SWITCHED)


def found(build, stress, question):
    return next(each for each in stress_findings(build, stress) if each.question is question)


@pytest.mark.parametrize(
    ("question", "start", "name"),
    [
        (Question.START_HOTTEST, "start", "hottest_junction"),
        (Question.START_JUNCTION, "start", "steady_junction"),
        (Question.LIT_HOTTEST, "stays_lit", "hottest_junction"),
        (Question.LIT_JUNCTION, "stays_lit", "steady_junction"),
    ],
)
def test_each_temperature_of_a_switch_against_the_same_limit(stress, question, start, name):
    edges = ((125.0, Severity.FINE), (125.1, Severity.CAUTION), (150.0, Severity.CAUTION), (150.1, Severity.DANGER))
    for celsius, severity in edges:
        changed = replace(stress, **{start: replace(getattr(stress, start), **{name: celsius})})
        each = found(SWITCHED, changed, question)
        assert (each.value, each.limit, each.severity) == (celsius, 150.0, severity)
        assert (each.remedy == "") == (severity is Severity.FINE)
        assert ("hangs" in each.remedy) == (start == "stays_lit" and severity is not Severity.FINE)


def test_a_gates_drive_in_numbers(stress):
    # Wanted: 4.5 V, at which the data sheet gives its 40 mohm.
    given = replace(stress, lowest_bus_voltage=4.567, drive_at_lowest=4.5)
    fine = found(SWITCHED, given, Question.GATE_DRIVE)
    assert (fine.severity, fine.value, fine.limit, fine.minimum) == (Severity.FINE, 4.5, 4.5, True)
    assert fine.what == "switch: gate drive at the lowest bus voltage while on, 4.57 V"
    weak = replace(given, drive_at_lowest=2.0, on_resistance_at_lowest=0.1414)
    caution = found(SWITCHED.with_values({"switch.on_resistance": 0.0412}), weak, Question.GATE_DRIVE)
    assert caution.severity is Severity.CAUTION
    assert caution.remedy == (
        "its on-resistance is 141 mohm there, not 41.2 mohm: choose one specified at a lower drive"
    )
    off = found(SWITCHED, replace(weak, on_resistance_at_lowest=None), Question.GATE_DRIVE)
    assert off.severity is Severity.DANGER
    assert off.remedy.startswith("below its threshold of 1 V it opens again")


def test_plugging_in_in_numbers(stress):
    # A hundredth of the label of 4 A (own rule).
    for amperes, severity in ((0.04, Severity.FINE), (0.041, Severity.CAUTION)):
        plugged = replace(stress.plugged, peak_current=amperes, highest_panel_voltage=1.234)
        each = found(SWITCHED, replace(stress, plugged=plugged, plug_in_drive=2.345), Question.PLUGGED_IN)
        assert (each.severity, each.value, each.limit) == (severity, amperes, pytest.approx(0.04))
    assert each.remedy == (
        "it lifts the panel to 1.23 V: the gate-drain capacitance takes 2.35 V of drive at most; add capacitance from"
        " gate to source, or take some from gate to drain"
    )


@pytest.mark.parametrize(
    ("amperes", "drive", "own", "other"),
    [
        # Off is at most a hundredth of the label, 40 mA, and half of the threshold, 0.5 V (own rules).
        (0.04, 0.5, Severity.FINE, Severity.FINE),
        (0.04, 0.51, Severity.NOTE, Severity.NOTE),
        (0.041, 0.5, Severity.CAUTION, Severity.NOTE),
        (0.041, 0.51, Severity.CAUTION, Severity.NOTE),
    ],
)
def test_what_each_driver_leaves_of_a_gates_drive(stress, amperes, drive, own, other):
    state = {
        "peak_current": amperes, "settled_drive": drive, "settled_current": 0.0123, "highest_panel_voltage": 0.987,
    }  # fmt: skip
    given = replace(stress, transistor=replace(stress.transistor, **state), pin=replace(stress.pin, **state))
    mine, others = (found(SWITCHED, given, each) for each in (Question.LEAK_TRANSISTOR, Question.LEAK_PIN))
    assert (mine.severity, others.severity) == (own, other)
    assert (mine.value, mine.limit, others.value) == (amperes, pytest.approx(0.04), amperes)
    if own is not Severity.FINE:
        said = f"it settles with {drive:.2f} V of gate drive, 12.3 mA through it and the panel at up to 0.99 V; "
        assert mine.remedy.startswith(f"{said}give the gate less capacitance")
        assert others.remedy.startswith(f"not this build's driver: {said}a pin without power")


def test_how_the_parts_of_a_stress_come_from_its_starts(stress):
    # Divider of the gate, and of its capacitances; own driver on plugging in; both drivers on the build's own start.
    switch = SWITCHED.switch
    assert stress.drive_at_lowest == pytest.approx(
        stress.lowest_bus_voltage * switch.pullup_resistance / (switch.pullup_resistance + switch.gate_resistance)
    )
    low, high = switch.gate_drain_capacitance, switch.gate_source_capacitance
    assert stress.plug_in_drive == pytest.approx(5.0 * low / (low + high))
    drivers = [(each.driver, each.start) for each in (stress.plugged, stress.transistor, stress.pin)]
    assert drivers == [("transistor", "plug"), ("transistor", "mains"), ("pin", "mains")]
    start = simulate(SWITCHED)
    on = [span for span in start.spans[Actor.GATE] if span.state == "on"]
    times = on[0].start + np.geomspace(1e-9, on[-1].end - on[0].start, 50_001)  # dips are short, right after it
    volts = start.at(times)["bus_voltage"]
    assert stress.lowest_bus_voltage == pytest.approx(volts.min(), abs=2e-3)
    assert volts[np.argmin(np.abs(times - stress.lowest_bus_at))] == pytest.approx(volts.min(), abs=5e-3)


def test_power_and_heat_over_the_last_tenth_and_while_closing(stress):
    duration = stress.start.duration
    start = simulate(SWITCHED.with_values({"run.duration": duration}))
    times = np.linspace(0.9 * duration, duration, 50_001)
    curves = start.at(times)
    power = start.currents(times)[SWITCH] * (curves["bus_voltage"] - curves["panel_voltage"])
    assert stress.start.steady_power == pytest.approx(power.mean(), rel=2e-3)
    switch = SWITCHED.switch
    assert stress.start.steady_junction == pytest.approx(
        switch.ambient + stress.start.steady_power * sum(switch.thermal_resistances)
    )
    closed = next(each.time for each in start.switchings if each.kind is Kind.GATE_LOW)
    times = closed + np.append(0.0, np.geomspace(1e-9, start.ready_at - closed, 50_001))
    curves = start.at(times)
    power = start.currents(times)[SWITCH] * (curves["bus_voltage"] - curves["panel_voltage"])
    assert stress.start.closing_energy == pytest.approx(np.trapezoid(power, times), rel=5e-3)


def fuse(load, given=None):
    return fuse_finding(BUILD.with_values({"adapter.rated_current": 30.0}), load, given or Hardware())


def test_the_advice_for_a_fuse_in_numbers():
    # 3 A: 4 A or more. 22 AWG stands 7 A, 0.5 / 0.29 = 1.72 A2s.
    lead = Conductor(LEAD, THIN, None)
    plain = fuse(Load(lead, 3.0, 1.0, None))
    assert (plain.question, plain.value, plain.limit) == (Question.FUSE, 4.0, 7.0)
    assert plain.remedy == "fit a fuse of 4 A; it protects its wire"
    pulse = fuse(Load(lead, 1.0, 3.0, 0.5))
    assert pulse.remedy == "fit a fuse of 4 A, its melting I2t at least 1.72 A2s; it protects its wire"
    often = fuse(Load(lead, 1.0, 3.0, 0.5), Hardware(starts=100))
    assert "at least 1.04 A2s" in often.remedy  # 0.5 / 0.48
    unsaid = fuse(Load(Conductor(LEAD, None, None), 3.0, 1.0, None))
    assert (unsaid.value, unsaid.limit, unsaid.severity) == (4.0, None, Severity.NOTE)
    assert unsaid.remedy == "at least this; say how thick the wire is (lead.gauge) to learn what it may be at most"
    plug = fuse(Load(Conductor(LEAD, None, "5.08 mm screw terminal"), 3.0, 1.0, None))
    assert plug.limit == 10.0
    assert plug.remedy == (
        "at least this, and at most the 10 A that its 5.08 mm screw terminal connector carries; say how thick the wire"
        " is (lead.gauge) to learn what it may be at most"
    )


def test_the_weakest_part_is_looked_for_behind_the_fuse_too():
    own = Conductor(feed(0), THIN, "5.08 mm screw terminal")
    behind = Conductor(hop(0), awg_area(24), None)  # 3.5 A
    wire = fuse(Load(own, 1.8, 0.0, None, (behind,)))
    assert (wire.value, wire.limit) == (2.5, 3.5)
    assert wire.remedy == "fit a fuse of 2.5 A; it protects jumper 0-1 behind it"
    plug = fuse(Load(own, 1.8, 0.0, None, (Conductor(hop(0), THIN, "USB Type-C"),)))
    assert plug.limit == 3.0
    assert plug.remedy == "fit a fuse of 2.5 A; it protects the USB Type-C connector of jumper 0-1 behind it"


def test_of_two_families_the_first_that_fits_and_else_the_one_that_gets_further():
    given = Load(Conductor(LEAD, awg_area(14), None), 9.0, 0.0, None)  # 12 A or more, 32 A at most
    assert fuse(given).value == 15.0
    assert fuse(given, Hardware(fuse_family="blade")).value == 15.0
    assert fuse(given, Hardware(fuse_family="miniature")).question is Question.FUSE_NONE_FITS
    # 3 A: 4 A of the first family, 4 A of the other.
    low = replace(given, running=1.6)  # 2.13 A: 2.5 A of the first, 3 A of the other
    assert fuse(low).value == 2.5
    assert fuse(low, Hardware(fuse_family="blade")).value == 3.0
