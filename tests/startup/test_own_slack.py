"""The slacks that a run alone tells are those of all the runs that a slack may need, as far as they are told."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.errors import Cancelled
from inrushlib.startup import Rule, pack, screen_packed, screen_slacks, slack_many

TILES = new_build(
    {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
)
BUILDS = [
    TILES,
    TILES.with_values({"adapter.rated_current": 2}),
    TILES.with_values({"switch": {}, "controller.feed_diode": True, "controller.reservoir": 470e-6}),
    TILES.with_values({"adapter.limit_style": "hiccup", "adapter.rated_current": 1}),
]
PACKED = [pack(build) for build in BUILDS]
OF_RULES = {rule: place for place, rule in enumerate(Rule)}


@pytest.fixture(scope="module")
def told():
    return screen_slacks(PACKED)


def test_answers_are_those_of_a_run_without_slacks(told):
    answers, _ = told
    plain = screen_packed(PACKED, until_decided=True)
    for name in ("verdicts", "running_at", "ready_at", "peak_lead_current", "final_bus_voltage", "statuses"):
        np.testing.assert_array_equal(getattr(answers, name), getattr(plain, name))


def test_slacks_of_rules_that_took_no_effect_are_those_of_all_runs(told):
    _, shares = told
    whole = slack_many(PACKED).shares
    for own, all_runs in zip(shares, whole, strict=True):
        for rule in (Rule.BROWN_OUT, Rule.LISTEN, Rule.FORGET, Rule.TRIP, Rule.ALLOWANCE):
            place = OF_RULES[rule]
            if own[place] != 0.0:
                np.testing.assert_equal(own[place], all_runs[place])


def test_release_is_told_by_how_high_the_rail_was_held(told):
    """Never released: as far as all runs say. Released: by as much as the regulator has to give, at the most."""
    _, shares = told
    whole = slack_many(PACKED).shares
    release = OF_RULES[Rule.RELEASE]
    assert shares[1, release] == whole[1, release] < 0.0
    for i in (0, 2):
        assert 0.0 < shares[i, release] <= whole[i, release] + 1e-9


def test_a_rule_that_took_effect_is_told_as_none(told):
    answers, shares = told
    assert answers.verdict(3).value == "adapter-trips"
    assert shares[3, OF_RULES[Rule.TRIP]] == 0.0 > slack_many(PACKED).shares[3, OF_RULES[Rule.TRIP]]


def test_stops_when_asked():
    with pytest.raises(Cancelled):
        screen_slacks(PACKED, cancelled=lambda: True)
