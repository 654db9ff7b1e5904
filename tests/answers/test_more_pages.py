"""What further pages say of made results: fits, comparisons, odds, adapters, reservoirs, edges, and the bench."""

import datetime
from dataclasses import replace
from types import SimpleNamespace as Made

import matplotlib.pyplot as plt
import numpy as np
import pytest

from inrushlib.answers import compare, guide, margins, measured
from inrushlib.answers.blocks import Note, Table
from inrushlib.answers.brightness import brightness_answer
from inrushlib.answers.by_odds import between, percent
from inrushlib.answers.compare import Laid, channels_alone, compare_answer, model_alone
from inrushlib.answers.fit import fit_blocks, with_note
from inrushlib.answers.guide import apart_words, log_answer, next_words
from inrushlib.answers.map import map_answer
from inrushlib.answers.measured import settled_in_words
from inrushlib.answers.pixel import pixel_answer
from inrushlib.answers.reservoir import reservoir_answer
from inrushlib.answers.spread import is_sure, measure_first, odds_in_words, spread_answer
from inrushlib.answers.sure import rating_answer
from inrushlib.answers.terminal import text_of
from inrushlib.build import new_build
from inrushlib.copper import awg_area
from inrushlib.odds import Doubt, Estimate
from inrushlib.plots import Scheme
from inrushlib.search import Axis, HandFormula, ReservoirSize, StandardValue, brightness_caps, firmware_constants
from inrushlib.search.rerun import Rerun
from inrushlib.startup import Rule, simulate
from inrushlib.startup import Verdict as Outcome
from inrushlib.trace import fit_bench, read_bench
from inrushlib.trace.fit.alarm import Cause, Finding
from inrushlib.trace.fit.fit import Fit
from inrushlib.trace.fit.observation import Accuracy
from inrushlib.trace.fit.status import Combination, FittedKey, Status

from .reading import block_of, facts_of, only, rows_of, told

BUILD = new_build({"title": "two tiles", "adapter.rated_current": 8, "adapter.rated_voltage": 4.8,
                   "wiring.sections": 2, "wiring.pixels_per_section": 64, "run.duration": 0.5})  # fmt: skip


@pytest.fixture(scope="module")
def start():
    return simulate(BUILD)


def key(name, value=5.0, start=4.0, interval=(4.51, 5.49), status=Status.INTERVAL, combination=None):
    return FittedKey(key=name, value=value, start=start, interval=interval, status=status, combination=combination)


def fit(**more):
    usual = {
        "keys": {"adapter.limit_current": key("adapter.limit_current")}, "build": BUILD, "shift": 0.0123, "runs": 77,
        "name": "a.csv", "checksum": "abc", "gains": {"bus_voltage": 0.012, "lead_current": -0.034},
        "zeros": {"bus_voltage": 0.004, "lead_current": -0.01},
        "accuracy": Accuracy(gain=0.025, zero=0.015, time_base=5e-5),
    }  # fmt: skip
    return Fit(**(usual | more))


def test_the_report_of_a_fit_number_by_number():
    verdict, table, errors, zeros, origin = fit_blocks(fit())
    assert told(verdict.headline) == ["the capture determines 1 of 1 parameters"]
    assert told(table.rows[0][0]) == ["adapter.limit_current"]
    assert [told(cell) for cell in table.rows[0][1:]] == [["5.00 A"], ["0.25 A"], ["4.51 A to 5.49 A"], ["4 A"], []]
    assert only(errors.words) == (
        "Intervals by profiles, with gains known to 2.5 %, zeros to 1.5 % of the range and the time base to 50 ppm"
        " (standard deviations). Gains, fitted along: bus voltage +1.2 %, lead current -3.4 %."
    )
    assert told(zeros.words) == [
        "Zeros of the channels, fitted along: bus voltage ", (0.004, "V"), "; lead current ", (-0.01, "A"), ".",
    ]  # fmt: skip
    assert text_of(zeros.words) == "Zeros of the channels, fitted along: bus voltage 4 mV; lead current -10 mA."
    assert told(origin.words) == ["77 model runs. Shift ", (0.0123, "s"), ". Capture a.csv, SHA-256 abc."]
    drawn = fit_blocks(fit(bootstrap=200))[2]
    assert only(drawn.words) == "Intervals from 200 fits to residuals drawn anew in blocks."
    assert "Gains" not in only(fit_blocks(fit(gains={}))[2].words)


@pytest.mark.parametrize(
    ("interval", "status", "error", "said"),
    [
        ((4.51, None), Status.AT_LEAST, "undetermined", "at least 4.51 A"),
        ((None, 5.49), Status.AT_MOST, "undetermined", "at most 5.49 A"),
        (None, Status.UNDETERMINED, "undetermined", (None, "A")),
    ],
)
def test_intervals_with_an_open_side(interval, status, error, said):
    found = fit(keys={"adapter.limit_current": key("adapter.limit_current", interval=interval, status=status)})
    (row,) = fit_blocks(found)[1].rows
    assert only(row[2]) == error
    assert only(row[3]) == said
    assert told(fit_blocks(found)[0].headline) == ["the capture determines 0 of 1 parameters"]


def test_an_alarm_comes_first_and_keys_told_together_point_above():
    both = Combination(("adapter.limit_current", "lead.resistance"), (1.0, 2.0), 1.0, 0.1)
    keys = {each: key(each, status=Status.ONLY_TOGETHER, interval=None, combination=both) for each in both.keys}
    alarm = (Finding(Cause.TIME_BASE), Finding(Cause.TURNED, "lead_current"))
    verdict, table, *_ = fit_blocks(fit(keys=keys, alarm=alarm))
    assert verdict.good is False
    assert told(verdict.headline) == ["alarm: the time base would have to be off by more than its accuracy allows"]
    assert [told(each) for each in verdict.sentences[:3]] == [
        ["Lead current is turned round."],
        ["No interval is given, since the model does not lie on the capture."],
        ["The capture determines 0 of 2 parameters."],
    ]
    assert only(table.rows[1][5]) == "Cannot be told apart from another by this capture, see above."
    note = with_note(fit(keys=keys | {"bus.bulk": key("bus.bulk", 1e-3, 2e-3, (0.9e-3, 1.1e-3))})).splitlines()
    assert note[0] == "# Fitted to the capture a.csv, SHA-256 abc:"
    assert note[1].startswith("#   adapter.limit_current = 5 A (this capture cannot tell")
    assert note[1].endswith(", from 4 A")
    assert note[3] == "#   bus.bulk = 1000 uF +- 51 uF, from 2000 uF"


def figures_of(**changes):
    return Made(**({"plateau": 4.5, "release_at": 0.1, "charge": 0.2, "i2t": 0.3} | changes))


def test_a_comparison_row_by_row(start):
    found = Made(
        rms=0.011, largest_difference=-0.5, largest_difference_at=0.2, peak_measured=3.0, peak_modelled=3.1,
        measured=figures_of(), modelled=figures_of(plateau=4.6, release_at=None, charge=0.21, i2t=0.31),
    )  # fmt: skip
    alignment = Made(error=0.0001, doubts=("it may lie elsewhere",))
    comparison = Made(channels={"lead_current": found, "bus_voltage": found}, shift=0.05, alignment=alignment, gaps=3)
    laid = Laid(
        measured=Made(name="a.csv", time=np.zeros(500)), start=start, comparison=comparison,
        channels={"lead_current": "CH2"}, inferred=("encoding: UTF-8",),
    )  # fmt: skip
    answer = compare_answer(laid)
    assert (answer.good, answer.title) == (True, "a.csv over two tiles")
    assert not compare_answer(replace(laid, start=simulate(BUILD.with_values({"adapter.rated_voltage": 7.0})))).good
    verdict = answer.blocks[0]
    assert told(verdict.headline) == [
        "model and capture differ by ", (0.011, "A"), " rms in lead current, ", (0.011, "V"), " rms in bus voltage",
    ]  # fmt: skip
    assert told(verdict.sentences[0]) == ["It may lie elsewhere."]
    assert told(verdict.sentences[1]) == ["Lead current: at most ", (0.5, "A"), ", at ", (0.25, "s"), "."]
    lead = block_of(answer, "lead current, from channel CH2")
    assert rows_of(lead) == [
        ["peak", (3.0, "A"), (3.1, "A")],
        ["plateau", (4.5, "A"), (4.6, "A")],
        ["largest lasting change at", (pytest.approx(0.15), "s"), (None, "s")],
        ["charge", (0.2, "C"), (0.21, "C")],
        ["I2t", (0.3, "A2s"), (0.31, "A2s")],
    ]
    assert len(block_of(answer, "bus voltage").rows) == 3
    facts = facts_of(block_of(answer, "The capture; all times are those of the run"))
    assert facts["samples"] == ["500"]
    assert facts["gaps"] == ["3"]
    assert facts["shift, added to the capture's time"] == ["50.00 ms +- 0.10 ms"]
    alignment.error = np.inf
    facts = facts_of(block_of(compare_answer(laid), "The capture; all times are those of the run"))
    assert facts["shift, added to the capture's time"] == [(0.05, "s")]
    picture = next(block for block in answer.blocks if hasattr(block, "lowest"))
    assert (picture.height, picture.lowest) == pytest.approx((7.2, 3.4))


def test_channels_that_nobody_said_of_what_they_show(start, monkeypatch):
    def channel(unit, *values):
        return Made(unit=unit, values=np.array(values, float))

    monkeypatch.setattr(compare, "idle_level", lambda each: float(np.nanmedian(each.values)))
    volts, other, none = channel("V", 1, np.nan, 3, 2), channel("", 1.23456, 7, 4), channel("A", np.nan)
    names = {f"CH{n}": each for n, each in enumerate((volts, other, none))}
    answer = channels_alone(Made(channels=names, name=""), start)
    many = channels_alone(Made(channels={f"C{n}": volts for n in range(8)}, name="x.csv"), start)
    assert rows_of(block_of(answer, "What was recorded")) == [
        ["CH0", "V", (1.0, "V"), (2.0, "V"), (3.0, "V")],
        ["CH1", "not said", "1.23", "4", "7"],
        ["CH2", "A", (None, "A"), (None, "A"), (None, "A")],
    ]
    assert answer.title == "capture"
    picture, more = answer.blocks[1], many.blocks[1]
    assert "more are in the table" not in picture.about
    assert "; 2 more are in the table" in more.about
    assert (picture.height, more.height) == pytest.approx((3 * 1.8, 6 * 1.8))
    assert (picture.lowest, more.lowest) == (3.0, 6.0)


def test_without_a_capture_the_model_stands_alone(start):
    answer = model_alone(start)
    *others, verdict, picture = answer.blocks
    assert (answer.title, answer.good, verdict.good, others) == (start.build.title, True, None, [])
    figure, axes = plt.subplots()
    picture.draw(axes, Scheme.LIGHT)
    assert axes not in figure.axes
    curves = [line.get_ydata() for each in figure.axes for line in each.lines]
    last = {round(float(curve[-1]), 2) for curve in curves if len(curve)}
    assert round(float(start.at(start.time)["bus_voltage"][-1]), 2) in last
    plt.close(figure)


def estimate(value, low, high):
    return Estimate(value, low, high)


def influence(name, value, low, total=None, pooled=False, of_slack=None):
    return Made(name=name, keys=(name,), settles=estimate(value, low, value + 0.1), total=total, pooled=pooled,
                of_slack=of_slack)  # fmt: skip


def odds(boots=0.96, failed=0, influences=(), slack=(), corner=None, watched=0):
    worst = Made(verdict=Outcome.STUCK, rule=Rule.RELEASE, slack=-0.25, values={"bus.bulk": 1e-3, "lead.resistance": 0})
    return Made(
        build=BUILD, boots=estimate(boots, boots - 0.05, boots + 0.01), runs=400, failed=failed,
        influences=influences, slack=slack, corner=corner, worst=worst, watched=watched, more_runs=50,
        ranges={"a": 1, "b": 2},
        odds={Outcome.BOOTS: estimate(boots, 0.9, 0.97), Outcome.STUCK: estimate(0.04, 0.03, 0.1)},
    )  # fmt: skip


@pytest.mark.parametrize(("share", "sure"), [(0.95, True), (0.949, False)])
def test_nineteen_in_twenty_are_a_yes(share, sure):
    assert is_sure(odds(share)) is sure
    answer = spread_answer(odds(share))
    assert (answer.good, answer.blocks[0].good) == (sure, sure)


def test_the_odds_row_by_row():
    influences = (influence("bus.bulk", 0.4, 0.3, estimate(0.5, 0.45, 0.55)), influence("lead.resistance", 0.0, 0.0))
    slack = Made(rule=Rule.RELEASE, quantiles={0.05: 0.1, 0.5: 0.2, 0.95: 0.3}, kept=0.9, closest=0.4)
    answer = spread_answer(odds(0.8, failed=20, influences=influences, slack=(slack,), watched=64))
    assert told(answer.blocks[0].headline) == ["boots in 80 %"]
    assert told(answer.blocks[0].sentences[0])[0].endswith("75 % to 81 % with what these runs can tell.")
    assert answer.blocks[0].sentences[-1] == "20 of 400 runs could not be finished; they count as none of these."
    assert rows_of(block_of(answer, "Odds")) == [
        [Outcome.BOOTS.words, "80 %", "90 % to 97 %"],
        [Outcome.STUCK.words, "4 %", "3 % to 10 %"],
        ["could not be finished", "5 %", "20 runs"],
    ]
    what = "What knowing one value would settle; with others: in how much of the doubt it has a part"
    assert [row[1:] for row in rows_of(block_of(answer, what))] == [["40 %", "30 % to 50 %", "45 % to 55 %"]]
    spare = block_of(answer, "What each rule had to spare; below zero where it took effect")
    unit = Rule.RELEASE.unit
    assert rows_of(spare) == [[Rule.RELEASE.sentence, (0.1, unit), (0.2, unit), (0.3, unit), "90 %", "40 %"]]
    worst = facts_of(block_of(answer, "The worst run, by the values that matter most"))
    assert worst["ends as"] == [Outcome.STUCK.words]
    assert worst["closest rule"] == [f"{Rule.RELEASE.sentence}: ", (0.25, unit), " short"]
    assert list(worst.values())[2:] == [[(1e-3, "F")], [(0, "ohm")]]
    notes = [only(block.words) for block in answer.blocks if isinstance(block, Note)]
    assert "From 400 starts of the model over the ranges of 2 values." in notes
    assert notes[-1].startswith("What was to spare is read off 64 of them")
    assert "took 50 runs more" in notes[-1]
    assert odds_in_words(odds(0.8)) == (
        "Over the ranges of its values it boots at the first try in 80 % (75 % to 81 %) of 400 runs."
    )


def test_rankings_are_cut_to_eight_and_five():
    slacks = [estimate(0.1 * n, 0.05, 0.9) for n in range(1, 8)]
    many = tuple(influence("bus.bulk", 0.1, 0.05, of_slack=each) for each in slacks)
    slack = Made(rule=Rule.RELEASE, quantiles={0.05: 0.1, 0.5: 0.2, 0.95: 0.3}, kept=0.9, closest=0.4)
    answer = spread_answer(odds(influences=many * 2, slack=(slack,)))
    assert len(block_of(answer, "What knowing one value would settle").rows) == 8
    ranking = rows_of(block_of(answer, "What moves the smallest of these, as a share of its threshold"))
    assert [row[1] for row in ranking] == ["70 %", "70 %", "60 %", "60 %", "50 %"]


def test_what_hardly_matters_is_below_two_per_cent_with_all_others():
    best = influence("bus.bulk", 0.4, 0.3)
    for most, said in ((0.0199, True), (0.02, False)):
        little = influence("lead.resistance", 0.0, 0.0, estimate(0.01, 0.0, most))
        assert ("hardly matters" in measure_first([best, little])) == said


def test_edges_are_told_with_how_far_they_are():
    def edge(**changes):
        usual = {"key": "bus.bulk", "above": True, "value": 2e-3, "verdict": Outcome.STUCK, "uneven": False,
                 "relative": 0.5, "in_tolerances": None, "stated": False}  # fmt: skip
        return Made(**(usual | changes))

    def said(**changes):
        (line,) = margins.edges([edge(**changes)], Outcome.BOOTS).items
        return told(line)

    assert said() == ["sticks if bus.bulk is above ", (2e-3, "F"), " (+50 %)"]
    assert said(above=False, relative=-0.123)[0] == "sticks if bus.bulk is below "
    assert said(above=False, relative=-0.123)[2] == " (-12 %)"
    assert said(relative=0.989)[2] == " (+99 %)"
    assert said(relative=12.3456)[2] == " (+1235 %)"
    assert said(relative=0.0123)[2] == " (+1.2 %)"
    assert said(relative=None)[2] == " (now 0)"
    assert said(in_tolerances=0.456, stated=True)[2] == " (+50 %, 0.46 of its tolerance)"
    assert said(in_tolerances=0.456)[2] == " (+50 %, 46 % of the way to the end of its range)"
    assert said(uneven=True)[0] == "sticks if bus.bulk, all in proportion, is above (at its largest) "
    thin = said(key="lead.gauge", value=awg_area(22))
    assert thin == ["sticks if lead.gauge is above 22 AWG (+50 %)"]
    assert [len(margins.edges([edge()] * count, Outcome.BOOTS).items) for count in (0, 4, 5, 9)] == [0, 4, 5, 5]
    assert margins.edges([], Outcome.BOOTS).caption == ""
    plain = "The verdict changes with any one of these"
    helps = edge(verdict=Outcome.BOOTS)
    for now, found, said_of_none in (
        (Outcome.BOOTS, [edge()], False),
        (Outcome.STUCK, [edge()], True),
        (None, [edge()], True),
        (Outcome.STUCK, [edge(), helps], False),
    ):
        none = ", but none of them makes it boot" if said_of_none else ""
        assert margins.edges(found, now).caption == plain + none


def slack(rule=Rule.RELEASE, kept=True, share=0.1, value=0.2, bus=None):
    return Made(rule=rule, kept=kept, share=share, value=value if kept else -value, unit=rule.unit, at=0.15,
                where=Made(name="section 1"), bus_voltage=bus)  # fmt: skip


def test_which_slacks_are_shown():
    near, whole, fired = slack(share=0.5), slack(share=1.0), slack(kept=False, share=-1.0)
    boots = Made(slack=(near, whole, fired), verdict=Outcome.BOOTS)
    assert margins.shown(boots) == (near,)
    assert margins.shown(Made(slack=(fired, whole, near), verdict=Outcome.STUCK)) == (fired, near)
    assert len(margins.shown(Made(slack=(near,) * 5, verdict=Outcome.BOOTS))) == 3


@pytest.mark.parametrize("kept", [True, False])
@pytest.mark.parametrize("rule", list(Rule))
def test_each_slack_is_told_as_a_size_with_its_instant(start, rule, kept):
    line = told(margins.closest_line(start, slack(rule, kept)))
    assert (0.2, rule.unit) in line
    assert (0.15, "s") in line
    assert "{" not in "".join(each for each in line if isinstance(each, str))
    shown = told(margins.closest_line(start, slack(rule, kept, bus=3.21)))
    assert shown[-1].endswith("(bus at 3.21 V, 2.88 V needed)") or len(shown) == len(line)


def test_the_map_counts_what_is_overstressed_among_what_starts():
    x, y = Axis("adapter.rated_current", 1, 3, 3), Axis("bus.bulk", 1e-4, 1e-3, 2, log=True)
    verdicts = np.array([[0, 0, 5], [0, 0, 5]])
    over = np.array([[True, False, False], [False, False, False]])
    found = Made(
        x=x, y=y, x_values=np.array([1.0, 2.0, 3.0]), y_values=np.array([1e-4, 1e-3]), verdicts=verdicts,
        good=np.array([[False, True, False], [True, True, False]]), boots=verdicts == 0, overstressed=over, own=None,
        overstress=(Made(words="the pixels see 6 V", cause=Made(advice="a lower voltage")),), notes=("a note",),
        runs=44, fineness=0.0123, build=BUILD,
    )  # fmt: skip
    answer = map_answer(found)
    assert told(answer.blocks[0].headline) == ["overstressed on 25 % of where it starts"]
    assert told(answer.blocks[0].sentences[0]) == ["At worst the pixels see 6 V."]
    assert told(answer.blocks[1].headline) == ["it boots at the first try on 50 % of this map"]
    assert only(answer.blocks[2].words) == "A note."
    assert answer.blocks[0].good is False
    chart = answer.blocks[3]
    assert chart.rows == ("BBS", "OBS")
    assert chart.legend == (("B", Outcome.BOOTS.words), ("S", Outcome.STUCK.words), ("O", "starts, but overstressed"))
    assert only(answer.blocks[-2].words) == "A lower voltage."
    assert only(answer.blocks[-1].words).startswith(
        "From 44 starts of the model. The edge is followed to 0.0123 of the distance"
    )
    assert answer.good


def test_the_odds_of_ratings():
    choices = tuple(Made(value=v, boots=estimate(s, s - 0.02, s + 0.01)) for v, s in ((1.0, 0.3), (2.0, 0.97)))
    found = Made(choices=choices, chosen=choices[1], best=choices[1], wanted=0.95, runs=128,
                 at=lambda value: next((c for c in choices if c.value == value), None))  # fmt: skip
    answer = rating_answer("t", found)
    assert answer.good
    assert told(answer.blocks[0].headline) == ["take ", (2.0, "A"), ": it boots in 97 % of the runs"]
    assert only(answer.blocks[0].sentences[0]) == "the smallest standard rating that does so in 95 %"
    found.chosen, found.best = None, choices[0]
    none = rating_answer("t", found)
    assert (none.good, none.blocks[0].good) == (False, False)
    assert told(none.blocks[0].headline) == ["no standard rating boots in 95 % of the runs"]
    assert told(none.blocks[0].sentences[0])[:2] == ["at best ", (1.0, "A")]


def test_a_reservoir_row_by_row():
    headline = simulate(BUILD).headline
    standard = StandardValue(value=1.5e-3, least=1.2e-3, lowest_rail_voltage=3.1, highest_reservoir_voltage=4.7,
                             peak_feed_current=2.2, start=Rerun(headline, headline))  # fmt: skip
    hand = HandFormula(current=0.1, time=0.02, voltage_drop=1.5, capacitance=1.33e-3)
    size = ReservoirSize(smallest=1.1e-3, needed=True, standard=standard, by_hand=hand, islands=(), runs=9)
    answer = reservoir_answer("t", size)
    assert answer.good
    assert told(answer.blocks[0].headline) == ["take ", (1.5e-3, "F"), " behind a diode"]
    assert told(answer.blocks[0].sentences[0]) == [
        "the next E6 value up that holds with 20 % less too (", (1.2e-3, "F"), ").",
    ]  # fmt: skip
    assert list(facts_of(block_of(answer, "By the model")).values()) == [
        [(1.1e-3, "F")], [(1.5e-3, "F")], [(3.1, "V")], [(4.7, "V")], [(2.2, "A")],
    ]  # fmt: skip
    assert list(facts_of(block_of(answer, "By hand: C = I t / dV")).values()) == [
        [(0.1, "A")], [(0.02, "s")], [(1.5, "V")], [(1.33e-3, "F")],
    ]  # fmt: skip


def test_what_was_measured_against_what_the_model_had():
    def line(inside, holds=True, stands=None, value=2.0):
        row = Made(key="adapter.limit_current", day=datetime.date(2026, 3, 4), value=value, low=1.9, high=2.1,
                   modelled=2.2, how=Made(value="card"), source="limit")  # fmt: skip
        return Made(row=row, inside=inside, holds=holds, stands=stands)

    answer = log_answer(BUILD, [line(True), line(False), line(None), line(True, holds=False), line(True, stands=2.5)])
    assert answer.blocks[0].headline == "5 measured values"
    assert answer.blocks[0].sentences == ("of 4 the model had 3 inside the interval.",)
    rows = rows_of(answer.blocks[1])
    assert [row[5] for row in rows] == [
        "inside", "outside", None, "measured again", "the build has another value now",
    ]  # fmt: skip
    assert rows[0][1:5] == ["2026-03-04", "2.00 A", "1.90 A to 2.10 A", (2.2, "A")]
    assert rows[0][6] == "card: limit"
    assert log_answer(BUILD, [line(True)]).blocks[0].headline == "1 measured value"
    assert log_answer(BUILD, [line(None)]).blocks[0].sentences == ("the model's own are not known.",)
    assert log_answer(BUILD, []).blocks[0].headline == "nothing has been measured yet"
    same = log_answer(BUILD, [line(True, stands=2.0 * (1 + 5e-10))])
    assert rows_of(same.blocks[1])[0][5] == "inside"


def test_a_reading_beyond_what_the_build_lets_expect():
    asked = Made(name="current", unit="A", low=1.0, high=2.0)
    entered = Made(name=Made(words="the adapter's limit"), apart=((asked, 3.0), (asked, 0.5)))
    first, second = apart_words([entered])
    assert told(first)[:6] == [
        "the adapter's limit, current: ", (3.0, "A"), " is beyond the ", (1.0, "A"), " to ", (2.0, "A"),
    ]  # fmt: skip
    assert told(second)[1] == (0.5, "A")
    hopeful, hopeless = (Made(boots=estimate(0.01, 0.0, high)) for high in (0.051, 0.049))
    card = Made(name=Made(words="the limit"), settles=0.42)
    for odds_now, first in ((hopeful, ""), (hopeless, "It hardly ever does, whatever is measured: ")):
        assert next_words(Made(cards=(), odds=odds_now)).startswith(first or "Nothing that can be read")
        said = next_words(Made(cards=(card, None), odds=odds_now))
        assert said.endswith("Measure next: the limit; it is expected to settle 42 % of the doubt.")
        assert said.startswith(first or "Measure next")


def test_the_share_of_the_doubt_is_told_only_where_some_was_settled():
    before = Made(boots=Estimate(0.7, 0.6, 0.8))
    settled = Estimate(0.46, 0.31, 0.58)
    said = {
        doubt: settled_in_words(Made(before=before, doubt=doubt, settled=settled))
        for doubt in Doubt
        if doubt is not Doubt.NONE_BEFORE
    }
    said[Doubt.NONE_BEFORE] = settled_in_words(Made(before=before, doubt=Doubt.NONE_BEFORE, settled=None))
    assert len(set(said.values())) == len(Doubt)
    assert [doubt for doubt in Doubt if percent(0.46) in said[doubt]] == [Doubt.LESS]
    assert all(percent(0.7) in words and between(before.boots) in words for words in said.values())


def test_a_measured_gauge_is_told_as_one():
    built = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8,
                       "lead.gauge": "20 AWG"})  # fmt: skip
    row = Made(key="lead.gauge", value=awg_area(18), low=awg_area(19), high=None, source="label",
               day=datetime.date(2026, 3, 4), level=0.95)  # fmt: skip
    cells = [told(cell) for cell in measured._row(built, row)]
    assert [cell[0] for cell in cells[:5]] == ["lead.gauge", "20 AWG", "18 AWG", "19 AWG", "not told"]
    assert guide._measured(row) == ("18 AWG", "from 19 AWG")  # the log says the same


def test_a_bench_fits_values_each_with_its_error_and_all_forward_voltages():
    table = read_bench(b"voltage [V],current [mA],count,colour\n5,45,1,white\n5,178,5,white\n", pixels=14)
    law = fit_bench(table)
    facts = facts_of(pixel_answer(table, law).blocks[0])
    volts = [each for each in facts["pixel.forward_voltages"] if isinstance(each, tuple)]
    assert volts == [(each, "V") for each in law.forward_voltages]
    assert len(volts) == 3
    assert facts["pixel.forward_voltages"][1::2] == [", ", ", "]
    assert facts["readings off the law, rms"] == [(law.rms, "A")]


@pytest.mark.parametrize(("share", "said"), [(0.01, "1 %"), (0.00996, "1 %"), (0.99, "99 %"), (0.0099, "0.99 %")])
def test_shares_near_their_ends_have_more_digits(share, said):
    assert percent(share) == said


def test_columns_of_numbers_of_the_largest_levels():
    caps = brightness_caps(BUILD)
    answer = brightness_answer(BUILD, caps, firmware_constants(BUILD, caps))
    tables = [part for block in answer.blocks for part in getattr(block, "blocks", (block,)) if isinstance(part, Table)]
    assert len(tables) > 2
    for table in tables:
        rows_of(table)
