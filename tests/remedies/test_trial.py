"""How often designs boot, at few points and no longer than it takes to tell."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.odds.draw import Draw
from inrushlib.odds.key_ranges import key_ranges
from inrushlib.remedies.trial import FIRST, Trial
from inrushlib.remedies.watched import SETTLES, watched
from inrushlib.startup.verdicts import run_columns

BOOTS = 0
TILE = {"title": "t", "wiring.sections": 1, "wiring.pixels_per_section": 64, "run.duration": 1.5}


@pytest.fixture
def now_and_then():
    return new_build(TILE | {"adapter.rated_current": 1.3, "firmware.refresh_interval": 0.03})


def test_share_at_all_points_is_that_of_many(now_and_then):
    many = Trial(None, None).shares([now_and_then], 64)[0]
    assert 0.1 < many < 0.95
    assert Trial(None, None).share(now_and_then, 64, 0.0) == many


def test_what_falls_short_takes_few_points(now_and_then):
    trial = Trial(None, None)
    share = trial.share(now_and_then, 64, 0.97)
    assert share < 0.97
    assert trial.runs == FIRST


def test_a_share_that_is_just_enough_is_told_at_all_points(now_and_then):
    trial = Trial(None, None)
    many = trial.shares([now_and_then], 64)[0]
    again = Trial(None, None)
    assert again.share(now_and_then, 64, many) == many
    assert again.runs == 64
    assert Trial(None, None).share(now_and_then, 64, many + 0.01) < many + 0.01


def _columns(build, count):
    draw = Draw(build, key_ranges(build))
    (packed,) = draw.pack(np.random.default_rng(3).random((count, len(draw.dimensions))))
    return packed


@pytest.mark.parametrize(
    "more",
    [{}, {"switch": {}, "firmware.first_frame_delay": 0.1, "bus.bulk": 4.7e-3}, {"controller.burst_current": 0.2}],
    ids=["as it is", "switch", "bursts"],
)
def test_who_boots_is_the_same_when_watched_for_as_long_as_it_takes(now_and_then, more):
    packed = _columns(now_and_then.with_values(more), 64)
    short = watched(packed)
    assert np.all(short.parts["run_duration"] <= packed.parts["run_duration"])
    assert short.parts["run_duration"].mean() < 0.75 * packed.parts["run_duration"].mean()
    first, last = (run_columns(short, until_lost=True)[0] == BOOTS, run_columns(packed)[0] == BOOTS)
    assert last.any()
    assert np.array_equal(first, last)


def test_what_fills_slowly_or_sees_its_mains_go_keeps_its_duration(now_and_then):
    for more in ({"limiter.cold_resistance": 5.0}, {"run.interruptions": [[0.5, 0.6]]}):
        packed = _columns(now_and_then.with_values(more), 4)
        assert watched(packed) is packed


def test_a_large_capacitor_is_given_the_time_to_fill(now_and_then):
    small, large = (_columns(now_and_then.with_values({"bus.bulk": c}), 1) for c in (1e-3, 30e-3))
    longer = float((watched(large).parts["run_duration"] - watched(small).parts["run_duration"])[0])
    limit = float(large.parts["adapter_limit_current"][0])
    assert longer == pytest.approx(29e-3 * 5 / limit, rel=0.5)  # C V / I, its tolerances aside
    assert SETTLES > 0.25 > new_build(TILE | {"adapter.rated_current": 1}).adapter.trip_delay
