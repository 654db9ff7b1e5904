"""What pages say of made results, number by number: each row against the result's own attribute."""

import math
from dataclasses import replace
from types import SimpleNamespace as Made

import numpy as np
import pytest

from inrushlib.answers import by_odds
from inrushlib.answers.assumed import assumed_block, hangs_on, reservation
from inrushlib.answers.blocks import Beyond, Caution, FindingRow, Table, Temperature, Value, Verdict
from inrushlib.answers.delay import delay_answer
from inrushlib.answers.findings import counted, findings_block, safety_blocks
from inrushlib.answers.gate import gate_map_answer
from inrushlib.answers.map import _scale, _tall
from inrushlib.answers.panel import feeding_blocks, state_blocks
from inrushlib.answers.start import QUIET, _switchings, figures, headline, overstress, start_answer
from inrushlib.answers.stretches import stretches
from inrushlib.answers.switch import switch_answer
from inrushlib.answers.wires import _awg, wire_list_answer
from inrushlib.build import new_build
from inrushlib.odds import Estimate
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, PlaceKind, feed, hop
from inrushlib.safety import FuseOutcome, switch_stress
from inrushlib.safety.finding import Finding, Question
from inrushlib.search import Axis, Island
from inrushlib.severity import Severity
from inrushlib.startup import simulate

from .reading import block_of, facts_of, only, rows_of, told

TILES = {
    "title": "two tiles", "adapter.rated_current": 8, "adapter.rated_voltage": 4.8,
    "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "firmware.first_frame_delay": "10 ms", "run.duration": 0.5, "lead.gauge": "18 AWG", "switch": {},
}  # fmt: skip


def island(low, high):
    return Island(
        low=low,
        high=high,
        low_fails=None,
        high_fails=None if math.isinf(high) else high,
        low_verdict=None,
        high_verdict=None,
    )


GOOD = Made(words="boots", overstressed=False)


@pytest.fixture(scope="module")
def start():
    return simulate(new_build(TILES))


def test_every_figure_of_a_start(start):
    f, build, lead = start.figures, start.build, start.conductors[0]
    when, current, voltage = map(facts_of, figures(start))
    assert when == {
        "program runs at": [(start.running_at, "s")],
        "all pixels have data at": [(start.ready_at, "s")],
        "lit before the first data for": [(f.lit_before_data, "s")],
        "brown-outs, adapter trips": ["0, 0"],
    }
    assert current == {
        "in the lead, peak": [
            (f.peak_lead_current, "A"), " at ", (f.peak_lead_current_at, "s"), " (limit ",
            (build.adapter.limit_current, "A"), ")",
        ],
        "in the lead, while lit (ammeter)": [(start.lit_lead_current, "A")],
        "in the lead, settled": [(f.settled_lead_current, "A")],
        "lead, charge": [(lead.charge, "C")],
        "lead, heat": [(lead.energy, "J")],
        "lead, I2t": [(lead.i2t, "A2s")],
        "switch, hottest junction": [
            (f.highest_junction_temperature, "C"), " (absolute maximum ", (build.switch.highest_junction, "C"), ")",
        ],
    }  # fmt: skip
    low, high = min(f.final_section_voltages), max(f.final_section_voltages)
    assert low < high
    lowest = f"lowest lump, section {f.final_lowest_lump_section}"
    assert voltage == {
        "bus, lowest out of reset": [(f.lowest_bus_voltage, "V"), " at ", (f.lowest_bus_voltage_at, "s")],
        "bus, at the end": [(f.final_bus_voltage, "V")],
        "rail, lowest out of reset": [(f.lowest_rail_voltage, "V"), " at ", (f.lowest_rail_voltage_at, "s")],
        "rail, at the end": [(f.final_rail_voltage, "V")],
        "sections, at the end": [(low, "V"), " to ", (high, "V")],
        lowest: [(f.final_lowest_lump_voltage, "V")],
        "lumps of the panel": [f"{len(start.steps.lumps)}, {start.steps.lumps.each} a section"],
        "highest at the pixels": [(f.highest_section_voltage, "V"), " (absolute maximum ", (5.5, "V"), ")"],
        "highest at the controller": [(f.highest_reservoir_voltage, "V"), " (absolute maximum ", (6.0, "V"), ")"],
    }


def test_what_a_start_without_its_figures_says():
    never = simulate(new_build({**TILES, "switch": None, "controller.brownout_rising": 4.9, "wiring.sections": 1}))
    _, current, voltage = map(facts_of, figures(never))
    assert voltage["bus, lowest out of reset"] == [(None, "V")]
    assert voltage["sections, at the end"] == [(never.figures.final_section_voltages[0], "V")]
    assert "switch, hottest junction" not in current


def test_what_is_past_a_limit_is_pointed_out():
    hot = simulate(new_build(TILES | {"adapter.rated_voltage": 7.0}))
    _, _, voltage = (dict(each.rows) for each in figures(hot))
    for name, limit in (("highest at the pixels", 5.5), ("highest at the controller", 6.0)):
        assert isinstance(voltage[name], Beyond)
        assert told(voltage[name])[1:] == [" (absolute maximum ", (limit, "V"), ": too much)"]
    assert overstress(hot.headline) == (headline(hot.headline),)
    assert overstress(None) == ()


def test_switchings_are_listed_without_the_quiet_ones_up_to_24(start):
    loud = [each for each in start.switchings if each.kind not in QUIET]
    table = block_of(start_answer(start), "Switchings")
    assert rows_of(table) == [[(each.time, "s"), each.what] for each in loud]
    for count, more in ((24, None), (25, "and 1 more (all of them with --json)"), (30, "and 6 more")):
        rows = rows_of(_switchings(Made(switchings=[Made(time=1.0 * k, kind=None, what="x") for k in range(count)])))
        assert len(rows) == min(count, 24) + (more is not None)
        assert rows[23] == [(23.0, "s"), "x"]
        if more:
            assert rows[24][0] == "..."
            assert rows[24][1].startswith(more)


def test_a_start_that_boots_is_good_and_what_was_assumed_stands_beside(start):
    answer = start_answer(start)
    assert (answer.good, answer.title) == (True, "two tiles")
    assumed = [value(key, True) for key in ("bus.bulk", "panel.bulk")]
    first = start_answer(start, assumed).blocks[0]
    assert first.headline == f"{start.headline.words}, but hangs on two values that were assumed"
    assert (first.hangs, first.good) == (True, True)
    assert answer.blocks[0].hangs is False


def value(key, matters, low=1e-4, high=1e-3):
    return Made(key=key, matters=matters, value=4.7e-4, low=low, high=high, turns_to=Made(words="sticks"))


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (0, ""),
        (1, ", but hangs on one value that was assumed"),
        (2, ", but hangs on two values that were assumed"),
        (10, ", but hangs on ten values that were assumed"),
        (11, ", but hangs on 11 values that were assumed"),
    ],
)
def test_the_reservation_counts(count, words):
    assert reservation(count) == words


def test_what_was_assumed_and_matters_is_listed_up_to_eight():
    assert assumed_block([value("bus.bulk", False)]) is None
    (row,) = rows_of(assumed_block([value("bus.bulk", True), value("panel.bulk", False)]))
    assert row == ["bus.bulk", row[1], (1e-4, "F"), (1e-3, "F"), "sticks"]
    assert "470 uF" in row[1]
    assert [each.key for each in hangs_on([value("a", True), value("b", False), value("c", True)])] == ["a", "c"]
    for count in (8, 9, 12):
        rows = rows_of(assumed_block([value("bus.bulk", True)] * count))
        assert len(rows) == min(count, 8) + (count > 8)
        assert rows[-1][0] == ("bus.bulk" if count == 8 else f"and {count - 8} more")


def finding(severity, place=LEAD, value=2.0, limit=1.5, **more):
    return Finding(place, Question.WIRE_RATING, severity, value, limit, more.pop("unit", "A"), "a table", **more)


def test_findings_are_counted_worst_first():
    fine, note, caution, danger = map(finding, Severity)
    assert counted([caution]) == "One finding: 1 caution."
    assert counted([fine, fine]) == "Of 2 findings: 2 fine."
    assert counted([danger, danger, caution, note, note, fine]) == (
        "Of 6 findings: 2 dangers, 1 caution, 2 notes, 1 fine."
    )


def test_findings_on_a_display_are_grouped_and_the_fine_ones_counted():
    found = [
        finding(Severity.CAUTION, hop(0), 2.0), finding(Severity.CAUTION, hop(1), 3.0, remedy="take a thicker one"),
        finding(Severity.NOTE, limit=None), finding(Severity.FINE, hop(2)), finding(Severity.FINE, hop(3)),
    ]  # fmt: skip
    verdict, listed, left, scale, defers = safety_blocks(found, fine=False)
    assert (verdict.headline, verdict.good) == ("the worst finding is a caution", True)
    assert verdict.sentences == (
        "past a recommendation: it may fail or misbehave.", "Of 5 findings: 2 cautions, 1 note, 2 fine.",
    )  # fmt: skip
    assert [(row.what, only(row.value), only(row.limit), row.remedy) for row in listed.rows] == [
        ("jumper 1-2: current against the wire's rating (the worst of 2 like it)", (3.0, "A"), (1.5, "A"),
         "Take a thicker one."),
        ("lead: current against the wire's rating", (2.0, "A"), (None, "A"), ""),
    ]  # fmt: skip
    assert only(left.words) == "2 more are within their limits (all of them with --json)."
    assert only(scale.words).startswith("Danger: past a limit")
    assert "licensed" in only(defers.words)
    every = safety_blocks(found, fine=True)
    assert [row.severity for row in every[1].rows] == [Severity.CAUTION, Severity.NOTE, Severity.FINE]
    assert len(every) == 4
    assert safety_blocks([finding(Severity.DANGER)], fine=True)[0].good is False
    assert safety_blocks([finding(Severity.FINE)], fine=True)[0].headline == "the worst finding is fine"


def test_each_kind_of_number_of_a_finding():
    def shown(**more) -> FindingRow:
        (row,) = findings_block([finding(Severity.NOTE, **more)]).rows
        return row

    assert shown(unit="C").value == Temperature(2.0)
    assert shown(value=math.inf, unit="C").value == "above 250 C"
    assert shown(unit="").value == "2"
    assert told(shown(minimum=True).limit) == ["at least ", (1.5, "A")]
    assert shown(value=None).value == Value(None, "A")
    assert shown().what == "lead: current against the wire's rating"


def test_the_stress_of_a_switch_row_by_row():
    stress = switch_stress(new_build(TILES))
    answer = switch_answer("t", stress)
    heat, off = block_of(answer, "Heat"), block_of(answer, "While it should be off")
    both = stress.start, stress.stays_lit
    assert rows_of(heat) == [
        ["ends as", *(each.headline.words for each in both)],
        ["hottest junction", *((each.hottest_junction, "C") for each in both)],
        ["at", *((each.hottest_at, "s") for each in both)],
        ["heat while closing", *((each.closing_energy, "J") for each in both)],
        ["heat over the whole run", *((each.energy, "J") for each in both)],
        ["power at the end", *((each.steady_power, "W") for each in both)],
        ["junction in the long run", *((each.steady_junction, "C") for each in both)],
    ]
    names = ("plugged in, its own driver", "open-drain transistor as driver", "bare controller pin as driver")
    assert rows_of(off) == [
        [name, (each.peak_current, "A"), (each.highest_panel_voltage, "V"), (each.settled_drive, "V"),
         (each.settled_current, "A")]
        for name, each in zip(names, (stress.plugged, stress.transistor, stress.pin), strict=True)
    ]  # fmt: skip
    danger = replace(stress, findings=(finding(Severity.DANGER),))
    for each, good, words in (
        (replace(stress, findings=(finding(Severity.CAUTION),)), True, "the switch stays within its limits"),
        (danger, False, "something is past a limit"),
    ):
        page = switch_answer("t", each)
        assert page.good is good
        assert (page.blocks[0].headline, page.blocks[0].good) == (words, good)


def window(**changes):
    spare = Made(rail=0.4, listening=0.3, heat=12.4)
    usual = {
        "recommended": 6e-3, "flat": (5e-3, 7e-3), "earliest": 2e-3, "latest": 20e-3, "too_early": None,
        "too_late": None, "too_hot_from": None, "first_frame_takes_from": 1.5e-3, "margin_early": 4e-3,
        "margin_late": 14e-3, "flash": 3e-3, "ready_at": 0.2, "runs": 31, "spare": spare,
        "islands": (island(2e-3, 20e-3),),
    }  # fmt: skip
    return Made(**(usual | changes))


def delayed(**changes):
    build = new_build(TILES)
    rerun = Made(words="as it is: boots; with it: boots", after=GOOD)
    return delay_answer(build, window(**changes), rerun)


def test_the_window_of_a_delay_row_by_row():
    answer = delayed()
    assert answer.good
    verdict = answer.blocks[0]
    assert told(verdict.headline) == ["wait ", (6e-3, "s")]
    assert [told(each) for each in verdict.sentences] == [
        ["that is from the start of the program to the first frame."],
        ["Between ", (5e-3, "s"), " and ", (7e-3, "s"), " the margin is widest."],
        ["The build's own ", (10e-3, "s"), " boots, too."],
        ["Start as it is: boots; with it: boots."],
    ]
    assert facts_of(block_of(answer, "The window")) == {
        "earliest that boots": [(2e-3, "s"), " (from the start of the program on)"],
        "latest that boots": [(20e-3, "s")],
        "first frame is not lost from": [(1.5e-3, "s")],
        "gate is pulled low at": [(new_build(TILES).firmware.gate_delay, "s")],
        "recommended": [(6e-3, "s")],
        "from the earliest to that delay": [(4e-3, "s")],
        "from that delay to the latest": [(14e-3, "s")],
        "lit before data, at that delay": [(3e-3, "s")],
        "switch too hot": ["at no delay"],
    }
    assert facts_of(block_of(answer, "To spare, at that delay")) == {
        "rail above its reset level": [(0.4, "V")],
        "pixels above the supply for data, while the frame comes": [(0.3, "V")],
        "switch below its absolute maximum": ["12 K"],
    }
    assert only(answer.blocks[-1].words) == "From 31 starts of the model."
    ruler = answer.blocks[1]
    assert ruler.stretches == ((2e-3, 20e-3),)
    assert [(mark.name, mark.value, mark.above) for mark in ruler.marks] == [
        ("recommended", 6e-3, True), ("this build", 10e-3, False),
    ]  # fmt: skip
    assert ruler.about == "Delays that boot, from 2 ms to 20 ms; recommended 6 ms"


@pytest.mark.parametrize(("low", "high", "boots"), [(10e-3, 20e-3, True), (2e-3, 10e-3, True), (10.1e-3, 1, False),
                                                    (2e-3, 9.9e-3, False), (2e-3, math.inf, True)])  # fmt: skip
def test_whether_the_builds_own_delay_boots(low, high, boots):
    sentences = delayed(islands=(island(low, high),)).blocks[0].sentences
    assert told(sentences[2])[-1] == (" boots, too." if boots else " does not boot.")


def test_a_window_without_an_upper_edge_and_one_whose_switch_gets_hot():
    spare = Made(rail=0.4, listening=0.3, heat=None)
    open_ = delayed(latest=None, flat=(5e-3, None), margin_late=None, spare=spare, islands=(island(2e-3, math.inf),))
    facts = facts_of(block_of(open_, "The window"))
    assert facts["latest that boots"] == ["no upper edge: however late the first frame, it boots"]
    assert "from that delay to the latest" not in facts
    assert "switch below its absolute maximum" not in facts_of(block_of(open_, "To spare, at that delay"))
    assert told(open_.blocks[0].sentences[1])[:2] == ["From ", (5e-3, "s")]
    assert open_.blocks[1].stretches == ((2e-3, None),)
    assert open_.blocks[1].about == "Delays that boot, from 2 ms on; recommended 6 ms"
    hot = facts_of(block_of(delayed(latest=None, too_hot_from=15e-3), "The window"))
    assert hot["latest that boots"] == [
        "no upper edge: however late the first frame, it boots, but the switch gets too hot"
    ]
    assert hot["from that delay to too hot"] == [(14e-3, "s")]
    assert hot["switch too hot"] == ["from ", (15e-3, "s"), " on"]
    never = facts_of(block_of(delayed(too_hot_from=1.5e-3), "The window"))
    assert never["switch too hot"] == ["at every delay"]
    assert "from that delay to the latest" in never  # it is hot from before the earliest on
    words = facts_of(block_of(delayed(too_early=Made(words="sticks"), too_late=Made(words="resets")), "The window"))
    assert words["earliest that boots"] == [(2e-3, "s"), " (earlier: sticks)"]
    assert words["latest that boots"] == [(20e-3, "s"), " (later: resets)"]


def test_delays_in_several_stretches_and_a_run_that_ends_before_its_display_is_ready():
    several = delayed(islands=(island(1e-3, 2e-3), island(5e-3, math.inf)))
    table = block_of(several, "It boots only within these delays; the widest was taken")
    assert rows_of(table) == [[(1e-3, "s"), (2e-3, "s")], [(5e-3, "s"), "no end"]]
    late = delayed(ready_at=0.51).blocks[0].sentences
    assert told(late[-1]) == [
        "The build's run of ", (0.5, "s"), " ends before that can be seen: with this delay the display is ready at ",
        (0.51, "s"), ".",
    ]  # fmt: skip
    assert len(delayed(ready_at=0.5).blocks[0].sentences) == 4


def test_a_panel_figure_by_figure():
    build = new_build(TILES)
    state = solve_panel(build)
    verdict, facts = state_blocks(build, state)
    assert told(verdict.headline) == [
        f"the worst pixel, number {state.worst_pixel}, gets ", (state.lowest_voltage, "V"),
    ]  # fmt: skip
    assert told(verdict.sentences[1]) == [
        "The adapter gives ", (state.adapter_current, "A"), "; its limit is ", (state.adapter_limit, "A"), ".",
    ]  # fmt: skip
    assert verdict.good
    found = facts_of(facts)
    given = state.adapter_voltage * state.adapter_current
    lost = sum(watts for kind, watts in state.losses.items() if kind not in (PlaceKind.PIXELS, PlaceKind.CONTROLLER))
    assert found.pop("adapter's output, bus, root of the panel") == [
        (state.adapter_voltage, "V"), ", ", (state.bus_voltage, "V"), ", ", (state.root_voltage, "V"),
    ]  # fmt: skip
    assert found.pop("best-fed pixel") == [(state.highest_voltage, "V"), f", number {state.best_pixel}"]
    assert found.pop("worst pixel") == [(state.lowest_voltage, "V"), f", number {state.worst_pixel}"]
    assert found.pop("lead carries") == [(state.lead_current, "A")]
    assert found.pop("feed to section 0 carries") == [(float(state.feed_currents[0]), "A")]
    assert found.pop("largest current between sections") == [(state.largest_hop_current, "A")]
    power = found.pop("lost on the way to the pixels")
    assert power == [(pytest.approx(lost, rel=1e-6), "W"), " of ", (pytest.approx(given), "W")]
    assert "of a pixel's light in another channel" in found.pop("largest colour shift")[0]
    assert found == {f"heat: {kind.together}": [(watts, "W")] for kind, watts in state.losses.items() if watts > 0}
    limited = new_build(TILES | {"adapter.rated_current": 1})
    verdict, _ = state_blocks(limited, solve_panel(limited))
    assert verdict.good is False
    assert told(verdict.sentences[1])[-1] == ", and it is at it: the whole panel sags."


def way(feeds, worsens=False, start=True):
    return Made(
        name="a way", feeds=feeds, start=Made(words="as it is: boots", after=GOOD) if start else None,
        worsens=worsens, lowest_voltage=4.1, voltage_spread=0.2, lowest_brightness=0.9, largest_feed_current=2.0,
        largest_hop_current=1.0, adapter_current=3.0,
    )  # fmt: skip


def test_ways_of_feeding_side_by_side():
    ways = [way((0,), worsens=True), way((1, 3)), way((2,), worsens=True), way((4,), start=False)]
    verdict, table = feeding_blocks(ways, ways[1], stay=False)
    numbers = [(4.1, "V"), (0.2, "V"), "90 %", (2.0, "A"), (1.0, "A"), (3.0, "A")]
    assert rows_of(table) == [
        ["a way", "0", "boots", *numbers],
        ["a way", "1, 3", "boots", *numbers],
        ["a way", "2", "boots (worse: not recommended)", *numbers],
        ["a way", "4", "cannot be computed", *numbers],
    ]
    assert table.chosen == 1
    assert told(verdict.headline) == ["feed sections 1, 3"]
    assert told(verdict.sentences[0]) == ["the worst pixel then gets ", (4.1, "V"), "."]
    assert told(verdict.sentences[1]) == ["Start as it is: boots."]
    one, _ = feeding_blocks(ways, ways[3], stay=False)
    assert told(one.headline) == ["feed section 4"]
    assert "no recommendation" in only(one.sentences[1])
    stay, table = feeding_blocks(ways, ways[0], stay=True)
    assert (stay.headline, table.chosen) == ("leave the feeds as they are", None)


def test_gauges_above_0_awg():
    assert [_awg(gauge) for gauge in (22, 1, 0, -1, -3)] == ["22 AWG", "1 AWG", "1/0 AWG", "2/0 AWG", "4/0 AWG"]


def wire_run(place, enough=True, fuse=None, **changes):
    wire = Made(length=0.5, gauge=20, carried=3.0, ampacity=11.0, drop=0.05, decided_by=Made(value="drop"),
                table="chassis wiring")  # fmt: skip
    usual = {
        "place": place, "wire": wire, "area": 0.5e-6, "ampacity": 9.0, "drop": 0.07, "enough": enough,
        "connector": "USB Type-C", "connector_enough": True, "wanted_connector": "5.08 mm screw terminal",
        "fuse": fuse,
    }  # fmt: skip
    return Made(**(usual | changes))


def wire_list(*runs, kept=True, metres=None, worsens=False):
    found = Made(
        plan=Made(from_what="from what."), runs=runs, lead_drop_kept=kept, metres=metres or {}, pulses=None,
        enough=all(run.enough for run in runs),
    )  # fmt: skip
    rerun = Made(words="as it is: boots", worsens=worsens)
    return wire_list_answer("t", found, rerun)


@pytest.mark.parametrize(
    ("runs", "head"),
    [
        ((wire_run(LEAD),), "every wire that is there does"),
        ((wire_run(LEAD, enough=False),), "1 wire too thin"),
        ((wire_run(LEAD, enough=False), wire_run(feed(0), enough=False)), "2 wires too thin"),
        ((wire_run(LEAD, connector_enough=False),), "1 connector too weak"),
        ((wire_run(LEAD, enough=False, connector_enough=False), wire_run(feed(0), connector_enough=False)),
         "1 wire too thin and 2 connectors too weak"),
        ((wire_run(LEAD, enough=None), wire_run(feed(0), enough=None)), "2 wires not described: what they need is"
         " below"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_wires_is_counted(runs, head):
    assert only(wire_list(*runs).blocks[0].headline) == head


def test_wires_and_their_ends_row_by_row():
    fuse = Made(outcome=FuseOutcome.FITS, rating=5.0)
    runs = (
        wire_run(LEAD, fuse=None),
        wire_run(feed(0), enough=False, fuse=fuse, connector_enough=False),
        wire_run(feed(1), area=None, ampacity=None, fuse=Made(outcome=FuseOutcome.NOT_NEEDED, rating=None),
                 wanted_connector=None, connector=None, connector_enough=None),
        wire_run(hop(0), fuse=Made(outcome=FuseOutcome.MELTS, rating=None)),
    )  # fmt: skip
    answer = wire_list(*runs, metres={20: 2.5, -1: 0.75})
    wires = block_of(answer, "Wires, supply and return alike")
    rows = rows_of(wires)
    assert [row[0] for row in rows] == ["lead", "feed to section 0", "feed to section 1", "jumper 0-1"]
    numbers = [(3.0, "A"), (9.0, "A"), (11.0, "A"), (0.07, "V"), (0.05, "V"), "drop"]
    assert rows[0][3:] == ["20 AWG", *numbers]
    assert rows[2][2] == "not said"
    assert rows[2][5] == "-"
    assert [isinstance(row[2], Beyond) for row in wires.rows] == [False, True, False, False]
    ends = block_of(answer, "Connectors and fuses")
    assert rows_of(ends) == [
        ["lead", "USB Type-C", "as it is", "that of the feeds"],
        ["feed to section 0", "USB Type-C", "5.08 mm screw terminal", (5.0, "A")],
        ["feed to section 1", "not said", "none of the classes does: bolt or solder it",
         "none: it stands what the adapter gives"],
        ["jumper 0-1", "USB Type-C", "as it is", FuseOutcome.MELTS.value],
    ]  # fmt: skip
    assert [isinstance(row[1], Beyond) for row in ends.rows] == [False, True, False, False]
    buy = block_of(answer, "To buy, supply and return together, without waste")
    assert rows_of(buy) == [["20 AWG", "2.50 m"], ["2/0 AWG", "0.75 m"]]
    bare = wire_list(wire_run(LEAD, fuse=None))
    assert rows_of(block_of(bare, "Connectors and fuses"))[0][3] == "none: it stands what the adapter gives"
    assert not [block for block in bare.blocks if isinstance(block, Table) and block.caption.startswith("To buy")]
    assert isinstance(bare.blocks[-1], Caution)
    assert bare.good
    for bad in (wire_list(wire_run(LEAD), worsens=True), wire_list(wire_run(LEAD, enough=False))):
        assert (bad.good, bad.blocks[0].good) == (False, False)
    assert len(wire_list(wire_run(LEAD), kept=False, worsens=True).blocks[0].sentences) == 4


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0 %"), (1.0, "100 %"), (0.01, "1 %"), (0.99, "99 %"), (0.5049, "50 %"), (0.0099, "0.99 %"),
        (0.000123, "0.012 %"), (0.9901, "99.01 %"), (0.99994, "99.99 %"), (0.99996, "more than 99.99 %"),
    ],
)  # fmt: skip
def test_shares_have_the_digits_that_tell_them_from_none_and_all(share, text):
    assert by_odds.percent(share) == text


def choice(value, share):
    return Made(value=value, boots=Estimate(share, share - 0.05, share + 0.02))


def decision(chosen):
    choices = (choice(1.0, 0.2), choice(2.0, 0.5), choice(3.0, 0.97))
    found = Made(choices=choices, chosen=choices[2] if chosen else None, best=choices[1], wanted=0.95, runs=512)
    found.at = lambda value: next((each for each in choices if each.value == value), None)
    return found


def test_a_choice_by_odds_beside_the_nominal_one():
    nominal = Verdict(("take ", Value(2.0, "A")), ("the start decides.", "And so on."), True)

    def take(value):
        return ("take ", Value(value, "A"))

    assert by_odds.recommending(nominal, None, 2.0, "A", take, 2.0, "rating") is nominal
    found = by_odds.recommending(nominal, decision(True), 2.0, "A", take, 3.0, "rating")
    assert told(found.headline) == ["take ", (3.0, "A")]
    assert [told(each) for each in found.sentences] == [
        ["boots in 97 % of the runs (92 % to 99 %), over the ranges of its values."],
        ["With the values as they stand: ", (2.0, "A"),
         ", which boots in 50 % of the runs (45 % to 52 %); the start decides."],
        ["And so on."],
    ]  # fmt: skip
    same = by_odds.recommending(nominal, decision(True), 3.0, "A", take, 3.0, "rating")
    assert same.headline == nominal.headline
    assert same.sentences[0] == "the start decides."
    assert same.sentences[1].startswith("It boots in 97 % of the runs")
    none = by_odds.recommending(nominal, decision(False), 2.0, "A", take, 2.0, "rating")
    assert none.hangs
    assert told(none.headline) == ["take ", (2.0, "A"), ", but no rating is sure"]
    (as_it_stands,) = told(none.sentences[0])
    assert as_it_stands.startswith("with the values as they stand")
    assert as_it_stands.endswith("the start decides.")
    assert told(none.sentences[1]) == [
        "Over the ranges of its values no rating boots in 95 % of the runs: the best, ", (2.0, "A"),
        ", boots in 50 % of the runs (45 % to 52 %).",
    ]  # fmt: skip
    other = by_odds.recommending(nominal, decision(False), 1.0, "A", take, 1.0, "rating")
    assert told(other.sentences[1])[0] == (
        "Over the ranges of its values it boots in 20 % of the runs (15 % to 22 %), and no rating does in 95 %: the"
        " best, "
    )
    assert [by_odds.recommended(each, 2.0, least) for each, least in (
        (None, 9.0), (decision(False), 9.0), (decision(True), 0.0), (decision(True), 4.0),
    )] == [2.0, 2.0, 3.0, 4.0]  # fmt: skip
    table = by_odds.odds_table(decision(True), "A", "rating", 3.0)
    assert rows_of(table)[0] == [(1.0, "A"), "20 %", "15 % to 22 %"]
    assert (table.chosen, table.heads[0]) == (2, "rating")
    assert table.caption.endswith("from 512 starts")
    assert by_odds.odds_table(decision(True), "A", "rating", 7.0).chosen is None


def test_stretches_are_told_where_there_are_several():
    assert stretches((island(1.0, 2.0),), "A", "current") == ()
    (table,) = stretches((island(1.0, 2.0), island(3.0, 4.0)), "A", "current")
    assert rows_of(table) == [[(1.0, "A"), (2.0, "A")], [(3.0, "A"), (4.0, "A")]]


def test_the_widest_window_of_a_map_of_gates():
    nan, inf = math.nan, math.inf
    found = Made(
        earliest=np.array([[nan, 0.01], [0.02, 0.03]]), latest=np.array([[nan, 0.05], [0.1, 0.06]]),
        resistance=np.array([10.0, 100.0]), capacitance=np.array([1e-9, 2e-9]),
    )  # fmt: skip
    verdict = gate_map_answer("t", found).blocks[0]
    assert told(verdict.headline) == ["some delay boots at 75 % of these gates"]
    assert [told(each) for each in verdict.sentences] == [
        ["The widest window is from ", (0.02, "s"), " to ", (0.1, "s"), ", with a gate resistance of ", (10.0, "ohm"),
         " and a gate-drain capacitance of ", (2e-9, "F"), "."]
    ]  # fmt: skip
    found.latest[0, 1] = inf
    assert told(gate_map_answer("t", found).blocks[0].sentences[0])[:3] == [
        "The widest window is from ", (0.01, "s"), " on, with no upper edge, with a gate resistance of ",
    ]  # fmt: skip
    found.earliest[:] = nan
    none = gate_map_answer("t", found)
    assert (none.good, none.blocks[0].good, none.blocks[0].sentences) == (False, False, ())


def test_ticks_of_a_chart_are_a_dozen_letters_apart_with_both_ends():
    axis = Axis("adapter.rated_current", 1.0, 5.0, 40)
    values = np.linspace(1.0, 5.0, 40)
    found = _scale(axis, values, 13)
    assert [place for place, _ in found.ticks] == [0, 13, 26, 39]
    assert [text for _, text in found.ticks] == ["1 A", "2.33 A", "3.67 A", "5 A"]
    assert found.spacing == "by equal differences"
    few = _scale(Axis("bus.bulk", 1e-5, 1e-3, 6, log=True), np.geomspace(1e-5, 1e-3, 6), 13)
    assert [place for place, _ in few.ticks] == [0, 5]
    assert few.spacing == "by equal factors"
    assert [_tall(width) for width in (3.0, 6.0, 9.5)] == pytest.approx([3.9, 4.32, 6.2])
