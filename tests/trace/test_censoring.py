"""Samples that only bound a curve: what a converter cut off, and which side of it the curve lies on."""

import numpy as np
import pytest

from inrushlib.trace.fit.censoring import Samples, _noise_in_steps
from inrushlib.trace.prepare import Measured, sample_noise

STEP = 0.05
TIME = np.arange(2000) * 1e-4


def samples(values):
    """A capture of one channel through a converter."""
    values = STEP * np.rint(np.asarray(values) / STEP)
    return Samples.of(Measured(TIME, {"bus_voltage": values}, {"bus_voltage": sample_noise(values)}, 0, "made"))


def wave(noise=0.03):
    return 3.0 + 2.0 * np.sin(40.0 * TIME) + np.random.default_rng(1).normal(0.0, noise, len(TIME))


@pytest.mark.parametrize(
    ("low", "high", "rails"),
    [(-9, 9, ()), (-9, 4.5, ("top",)), (2.0, 9, ("bottom",)), (2.0, 4.5, ("top", "bottom"))],
)
def test_each_end_that_was_cut_off_is_found(low, high, rails):
    found = samples(np.clip(wave(), low, high))
    assert found.rails == tuple(("bus_voltage", end) for end in rails)


@pytest.mark.parametrize("noise", [0.3, 1.0, 3.0, 9.0, 30.0])  # steps of the converter
def test_a_cut_is_found_however_many_steps_the_noise_spans(noise):
    assert samples(np.clip(wave(noise * STEP), -9, 4.5)).rails == (("bus_voltage", "top"),)


def test_two_levels_of_a_channel_without_visible_noise_are_no_cuts():
    steps = np.where(TIME < 0.05, 0.0, 4.0 * (1.0 - np.exp(-(TIME - 0.05) / 1e-3)))
    found = samples(steps + np.random.default_rng(3).normal(0.0, 0.002, len(TIME)))
    assert found.rails == ()
    assert found.noise_in_steps == {"bus_voltage": (pytest.approx(STEP), 0.0)}


@pytest.mark.parametrize(("noise", "least"), [(0.3, 0.0), (0.5, 0.46), (3.0, 2.9)])
def test_noise_in_steps_is_not_taken_for_more_than_it_is(noise, least):
    """Where a level lies half way between two steps, rounding alone makes noise of what are two steps: 0.39 of 0.3."""
    values = np.rint(7.5 + np.random.default_rng(1).normal(0.0, noise, 4000))
    assert least <= _noise_in_steps(values, 1.0) < 1.02 * noise


@pytest.mark.parametrize(("low", "high", "rail"), [(-9, 4.5, 4.5), (2.0, 9, 2.0)])
def test_a_curve_cut_off_may_lie_beyond_and_not_on_this_side(low, high, rail):
    found = samples(np.clip(wave(), low, high))
    stretches, above, below = found.averages(200)
    away = np.abs(stretches.means[:, 0] - rail)
    cut, apart = away < 1e-9, away > 4.0 * found.measured.noise["bus_voltage"]
    beyond, inside = (above, below) if high == rail else (below, above)
    assert 20 < cut.sum() < 180
    assert apart.sum() > 100
    assert np.isinf(beyond[cut, 0]).all()
    assert not beyond[apart, 0].any()
    assert not inside[cut | apart].any()


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("noise", [0.6, 2.0, 6.0])  # steps of the converter
def test_where_noise_decides_which_samples_are_cut_off_no_average_is_believed(noise, side):
    """A slow ramp through the level: the samples that are left beside it lie on this side of the curve."""
    count, sigma = 40_000, noise * STEP
    ramp = side * np.linspace(0.0, 4.0, count)
    values = ramp + np.random.default_rng(5).normal(0.0, sigma, count)
    values = side * np.minimum(side * STEP * np.rint(values / STEP), 2.0)
    found = Samples.of(
        Measured(np.arange(count) * 1e-5, {"bus_voltage": values}, {"bus_voltage": sample_noise(values)}, 0, "made")
    )
    assert len(found.rails) == 1
    stretches, above, below = found.averages(count // 4)
    away = (stretches.means - ramp.reshape(-1, 4).mean(axis=1)[:, None])[:, 0]
    left = away - np.clip(away, -above[:, 0], below[:, 0])
    near = np.isfinite(left) & (np.abs(side * ramp[::4] - 2.0) < 8.0 * sigma)
    assert near.sum() > 100
    expected = np.hypot(sigma, STEP / 12**0.5) / 2.0
    assert abs(left[near].mean()) < 4.0 * expected / near.sum() ** 0.5


@pytest.mark.parametrize(("in_a_row", "found"), [(5, 0), (12, 12)])
def test_a_few_equal_samples_at_the_top_are_no_cut(in_a_row, found):
    values = 3.0 + np.random.default_rng(2).normal(0.0, 0.1, len(TIME))
    values[500 : 500 + in_a_row] = 4.5
    assert (samples(values).clipped["bus_voltage"] == 1).sum() == found


def test_a_spike_is_taken_away_and_a_step_is_not():
    values = wave(0.01)
    values[1000:] += 5.0
    values[300] += 4.0
    kept = samples(values).measured.curves["bus_voltage"]
    assert np.isnan(kept[300])
    assert np.isnan(kept).sum() == 1


def test_where_a_curve_moves_a_missing_sample_leaves_its_average_open_by_as_much_as_it_may_be():
    clean = 3.0 + 2.0 * np.tanh((TIME - 0.1) / 5e-4)
    marred = clean.copy()
    marred[[405, 1005]] = 4.0, np.nan
    stretches, above, below = samples(marred).averages(200)
    means = clean.reshape(200, 10).mean(axis=1)
    away = means - stretches.means[:, 0]
    assert np.all(away <= above[:, 0] + STEP)
    assert np.all(-away <= below[:, 0] + STEP)
    assert set(np.flatnonzero(above[:, 0] + below[:, 0] > 0.01)) == {40, 100}


def test_an_inrush_peak_that_falls_at_once_is_no_spike():
    """It rises within a sample and falls by a fifth in the next one: far above the median, but beside a step of it."""
    after = np.arange(len(TIME) - 1000)
    values = np.concatenate([np.zeros(1000), 20.0 * np.exp(-after / 5.0)])
    kept = samples(values + np.random.default_rng(3).normal(0.0, 0.05, len(TIME))).measured
    assert values[1000] - values[1002] > 50 * kept.noise["bus_voltage"]
    assert not np.isnan(kept.curves["bus_voltage"]).any()


def plateau(share, noise=0.01, top=2.0):
    """A channel whose highest plateau holds a share of its samples, with noise on it."""
    level = np.where(np.arange(len(TIME)) < (1.0 - share) * len(TIME), 0.5, top)
    values = level + np.random.default_rng(7).normal(0.0, noise, len(TIME))
    return Samples.of(Measured(TIME, {"bus_voltage": values}, {"bus_voltage": noise}, 0, "made")), level


@pytest.mark.parametrize(("share", "cut"), [(0.5, True), (0.03, True), (0.015, False)])
def test_a_plateau_may_be_taken_as_cut_off_before_its_noise(share, cut):
    found, level = plateau(share)
    other = found.with_top("bus_voltage")
    assert (other is not None) == cut
    if cut:
        assert np.array_equal(other.clipped["bus_voltage"] == 1, level == 2.0)
        assert other.rails == (("bus_voltage", "top"),)
        assert found.rails == ()
        # What is cut off already is not cut off again.
        assert other.with_top("bus_voltage") is None
        _, above, below = other.averages(100)
        assert np.isinf(above[:, 0]).sum() == round(100 * share)
        assert not below.any()


def test_noise_is_that_of_the_samples_that_are_not_cut_off():
    noise = 0.03
    found = samples(np.clip(wave(noise), -9, 3.0))
    assert found.measured.noise["bus_voltage"] == pytest.approx(np.hypot(noise, STEP / 12**0.5), rel=0.15)
    # In steps of the converter, where nothing is cut off.
    step, share = samples(wave(noise)).noise_in_steps["bus_voltage"]
    assert step == pytest.approx(STEP)
    assert share == pytest.approx(noise / STEP, abs=0.15)


@pytest.mark.parametrize("noise", [0.4, 0.5, 0.6])  # steps of the converter
def test_noise_in_steps_is_that_of_the_samples_that_are_not_cut_off(noise):
    levels = np.repeat([2.013, 5.0, 2.52, 1.487], 500) + np.random.default_rng(2).normal(0.0, noise * STEP, 2000)
    found = samples(np.clip(levels, -9, 4.0))
    assert found.rails == (("bus_voltage", "top"),)
    assert found.noise_in_steps["bus_voltage"][1] == pytest.approx(noise, abs=0.08)


def test_pairs_of_least_and_most_are_bounds():
    # Peak detection: two values to each instant, 0.2 V apart, about a level of 3 V.
    time = np.repeat(np.arange(1000) * 1e-4, 2)
    values = np.where(np.arange(2000) % 2 == 0, 2.9, 3.1) + np.random.default_rng(3).normal(0.0, 1e-3, 2000)
    found = Samples.of(Measured(time, {"bus_voltage": values}, {"bus_voltage": 0.1}, 0, "made"))
    stretches, above, below = found.averages(100)
    assert stretches.means[:, 0] == pytest.approx(np.full(100, 3.0), abs=0.01)
    for bound in (above, below):
        assert bound[:, 0] == pytest.approx(np.full(100, 0.1), abs=0.01)
    assert found.measured.noise["bus_voltage"] < 0.01  # of the middles, not of what lies between least and most
