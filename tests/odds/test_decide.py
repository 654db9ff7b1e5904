"""Decisions by odds, on builds whose odds are known."""

import pytest

from inrushlib.build import new_build
from inrushlib.errors import UsageError
from inrushlib.odds import Which, delay_by_odds, rating_by_odds, reservoir_by_odds
from inrushlib.startup import screen

from .holding import VALUES, least_reservoir

SMALL = {
    "title": "one tile", "wiring.sections": 1, "wiring.pixels_per_section": 64, "adapter.rated_current": 1,
    "run.duration": 0.3, "tolerance.adapter.limit_current": {"relative": 0.2},
}  # fmt: skip


def test_the_smallest_rating_boots_at_its_worst_and_the_one_below_does_not():
    """With the limit alone in doubt, all runs boot where its lower end does."""
    build = new_build(SMALL)
    found = rating_by_odds(build, 0.99, runs=128, which=Which.STATED)
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
    share = rating_by_odds(new_build(SMALL), 0.99, runs=64, which=Which.STATED)
    amperes = new_build(SMALL | {"tolerance.adapter.limit_current": {"low": 0.96, "high": 1.44}})
    assert rating_by_odds(amperes, 0.99, runs=64, which=Which.STATED).chosen.value == share.chosen.value


def test_the_smallest_reservoir():
    """Half of the tolerance's range above the least one: the E6 value whose lower end still holds."""
    build = new_build(VALUES | {"tolerance.controller.reservoir": {"relative": 0.2}})
    found = reservoir_by_odds(build, 0.99, runs=64, which=Which.STATED)
    assert found.chosen is not None
    smaller = [choice.value for choice in found.choices if choice.value < found.chosen.value]
    assert 0.8 * found.chosen.value > least_reservoir() > 0.8 * smaller[-1]


def test_the_delay_is_in_the_middle_of_those_that_boot():
    build = new_build(
        SMALL | {"adapter.rated_current": 3, "switch": {}, "tolerance.controller.boot_time": {"relative": 0.2}}
    )
    delays = [0.001, 0.003, 0.01, 0.03, 0.1]
    found = delay_by_odds(build, delays, runs=64, which=Which.STATED)
    boots = [choice.value for choice in found.choices if choice.boots.value == 1]
    assert found.chosen is not None
    assert found.chosen.value == boots[len(boots) // 2]


def test_nothing_boots_often_enough():
    build = new_build(SMALL | {"controller.brownout_rising": 3.4})
    found = rating_by_odds(build, runs=64, which=Which.STATED)
    assert found.chosen is None
    assert all(choice.boots.value == 0 for choice in found.choices)


def test_refused():
    with pytest.raises(UsageError, match="accepted: above 0, below 1"):
        rating_by_odds(new_build(SMALL), 1.0)
    with pytest.raises(UsageError, match="delays: none given"):
        delay_by_odds(new_build(SMALL), [])
