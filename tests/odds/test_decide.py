"""Decisions by odds, on builds whose odds are known."""

import numpy as np
import pytest
from scipy.stats import binomtest

from inrushlib.build import new_build
from inrushlib.errors import UsageError
from inrushlib.odds import (
    Draw,
    Which,
    decide,
    delays_to_try,
    key_ranges,
    ratings_to_try,
    reservoirs_to_try,
)
from inrushlib.odds.candidates import delays_between
from inrushlib.search import delay_window, with_delay
from inrushlib.search.window import DelayWindow
from inrushlib.startup import screen
from inrushlib.startup.verdicts import run_columns

from .holding import VALUES, least_reservoir

SMALL = {
    "title": "one tile", "wiring.sections": 1, "wiring.pixels_per_section": 64, "adapter.rated_current": 1,
    "run.duration": 0.3, "tolerance.adapter.limit_current": {"relative": 0.2},
}  # fmt: skip


def test_the_smallest_rating_boots_at_its_worst_and_the_one_below_does_not():
    """With the limit alone in doubt, all runs boot where its lower end does."""
    build = new_build(SMALL)
    found = decide(ratings_to_try(build), 0.99, runs=128, which=Which.STATED)
    assert found.chosen is not None
    at = [choice.value for choice in found.choices]
    below = at[at.index(found.chosen.value) - 1]
    for rating, boots in ((found.chosen.value, True), (below, False)):
        worst = build.with_values({"adapter.rated_current": rating, "adapter.limit_current": 0.8 * 1.2 * rating})
        assert (screen(worst).verdict.value == "boots") is boots
    odds = [choice.boots.value for choice in found.choices]
    assert odds == sorted(odds)
    assert found.chosen.boots.low <= found.chosen.boots.value <= found.chosen.boots.high


def test_a_range_in_amperes_moves_along_with_the_rating():
    share = decide(ratings_to_try(new_build(SMALL)), 0.99, runs=64, which=Which.STATED)
    amperes = new_build(SMALL | {"tolerance.adapter.limit_current": {"low": 0.96, "high": 1.44}})
    assert decide(ratings_to_try(amperes), 0.99, runs=64, which=Which.STATED).chosen.value == share.chosen.value


def test_the_smallest_reservoir():
    """Half of the tolerance's range above the least one: the E6 value whose lower end still holds."""
    build = new_build(VALUES | {"tolerance.controller.reservoir": {"relative": 0.2}})
    found = decide(reservoirs_to_try(build), 0.99, runs=64, which=Which.STATED)
    assert found.chosen is not None
    smaller = [choice.value for choice in found.choices if choice.value < found.chosen.value]
    assert 0.8 * found.chosen.value > least_reservoir() > 0.8 * smaller[-1]


def test_the_delay_is_in_the_middle_of_those_that_boot():
    build = new_build(
        SMALL | {"adapter.rated_current": 3, "switch": {}, "tolerance.controller.boot_time": {"relative": 0.2}}
    )
    delays = [0.001, 0.003, 0.01, 0.03, 0.1]
    found = decide(delays_between(build, delays), None, runs=64, which=Which.STATED)
    boots = [choice.value for choice in found.choices if choice.boots.value == 1]
    assert found.chosen is not None
    assert found.chosen.value == boots[len(boots) // 2]


def test_nothing_boots_often_enough():
    build = new_build(SMALL | {"controller.brownout_rising": 3.4})
    found = decide(ratings_to_try(build), runs=64, which=Which.STATED)
    assert found.chosen is None
    assert all(choice.boots.value == 0 for choice in found.choices)


def test_a_rating_that_a_first_look_refuses_is_not_run_further():
    found = decide(ratings_to_try(new_build(SMALL)), 0.9, runs=256, which=Which.STATED)
    at = [choice.value for choice in found.choices].index(found.chosen.value)
    assert found.chosen.runs == 256
    assert found.choices[0].runs == 64
    assert all(choice.boots.value < 0.9 for choice in found.choices[:at])
    assert found.runs >= sum(choice.runs for choice in found.choices)
    assert found.at(found.chosen.value) is found.chosen
    assert found.at(0.123) is None


#: Builds whose display draws the rail down for as long as it is lit: the frame must not come too late, and the smaller
#: the reservoir turns out, the sooner that is.
HELD_UP = {
    "title": "four tiles on half an ampere", "adapter.limit_style": "constant-current", "wiring.sections": 4,
    "wiring.pixels_per_section": 64, "switch": {}, "controller.feed_diode": True, "controller.boot_time": 7.6e-3,
    "run.duration": 0.3,
}  # fmt: skip
MADE = [
    HELD_UP | {"adapter.rated_current": rated, "controller.reservoir": reservoir, "pixel.power_on": [lit] * 3,
               "tolerance.controller.reservoir": {"low": 0.25 * reservoir, "high": 1.1 * reservoir},
               "tolerance.controller.run_current": {"relative": 0.3}}
    for rated, reservoir, lit in (
        (0.51, 470e-6, 0.46), (0.5, 680e-6, 0.45), (0.52, 330e-6, 0.46), (0.49, 1000e-6, 0.45)
    )
]  # fmt: skip


@pytest.mark.parametrize("values", MADE)
def test_the_delay_by_odds_beats_the_middle_of_the_nominal_window(values):
    """Paired: both delays at the same other points, none of which the decision has seen."""
    build = new_build(values)
    window = delay_window(build)
    assert isinstance(window, DelayWindow)
    assert window.latest is not None
    middle = 0.5 * (window.earliest + window.latest)
    chosen = decide(delays_to_try(build, window), None, which=Which.STATED).chosen.value
    ranges = key_ranges(build, Which.STATED)
    points = np.random.default_rng(11).random((256, len(ranges)))
    by_odds, by_middle = (
        run_columns(Draw(with_delay(build, delay), ranges).pack(points)[0])[0] == 0 for delay in (chosen, middle)
    )
    better, worse = (by_odds & ~by_middle).sum(), (by_middle & ~by_odds).sum()
    assert better > worse
    assert binomtest(int(better), int(better + worse)).pvalue < 0.01


def test_delays_to_try_have_the_nominal_one_among_them():
    window = delay_window(new_build(MADE[0]))
    delays = delays_to_try(new_build(MADE[0]), window).values
    assert list(delays) == sorted(delays)
    assert window.recommended in delays
    assert delays[0] < window.earliest
    assert delays[-1] > window.latest


def test_refused():
    with pytest.raises(UsageError, match="accepted: above 0, below 1"):
        decide(ratings_to_try(new_build(SMALL)), 1.0)
    with pytest.raises(UsageError, match="delays: none given"):
        decide(delays_between(new_build(SMALL), []), None)
