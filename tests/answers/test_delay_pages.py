"""What pages say of the delay before the first frame and of the choice of a gate, number by number."""

import math
from types import SimpleNamespace as Made

import numpy as np
import pytest

from inrushlib.answers.by_odds import NOMINAL
from inrushlib.answers.delay import delay_answer
from inrushlib.answers.gate import gate_map_answer
from inrushlib.answers.map import _scale, _tall
from inrushlib.answers.stretches import stretches
from inrushlib.build import new_build
from inrushlib.search import Axis, Island, NoWindow
from inrushlib.search.quiet import WhyNone

from .made import GOOD, TILES
from .reading import block_of, facts_of, only, rows_of, told


def island(low, high):
    return Island(
        low=low,
        high=high,
        low_fails=None,
        high_fails=None if math.isinf(high) else high,
        low_verdict=None,
        high_verdict=None,
    )


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
        [NOMINAL],
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


def test_without_a_window_the_reason_stands_alone():
    none = NoWindow(why=WhyNone.NO_DELAY_BOOTS, detail="it sticks", scanned_to=2.0, runs=9)
    answer = delay_answer(new_build(TILES), none, None)
    (verdict,) = answer.blocks
    assert (answer.title, answer.good, verdict.good) == ("two tiles", False, False)
    assert told(verdict.headline) == ["no window"]
    assert told(verdict.sentences[0])[0].endswith(": it sticks.")


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
    assert told(late[-2]) == [
        "The build's run of ", (0.5, "s"), " ends before that can be seen: with this delay the display is ready at ",
        (0.51, "s"), ".",
    ]  # fmt: skip
    assert len(delayed(ready_at=0.5).blocks[0].sentences) == 5


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
