"""Noise in steps of the converter, and what a fit makes of steps that it does not hide."""

import numpy as np
import pytest

from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.fit import fit_build
from inrushlib.trace.fit.observation import Accuracy, Observation
from inrushlib.trace.fit.quantisation import BLOCK, FEWEST, dither, rounding

from . import made


@pytest.mark.parametrize("share", [0.0, 0.05, 0.165, 0.25, 0.35, 0.45, 0.6])
@pytest.mark.parametrize("levels", [[0.5], [0.5, 3.52], [0.02, 5.0], [0.3, 0.7, 0.1, 7.9]])
def test_noise_is_told_by_scatter_and_place_of_a_level(share, levels):
    values = np.repeat(levels, 4000 // len(levels)) + np.random.default_rng(1).normal(0.0, share, 4000)
    found = dither(0.02 * np.rint(values), 0.02)
    # A lower bound: below a third of a step a level may hide all of it, or go to and fro without any.
    assert found <= share + 0.01
    assert found > share - 0.05 or share < 0.3


@pytest.mark.parametrize("samples", [0, 1, BLOCK, (FEWEST - 1) * BLOCK, FEWEST * BLOCK - 1])
def test_too_few_samples_tell_no_noise(samples):
    values = np.rint(np.full(samples, 7.5) + np.random.default_rng(1).normal(0.0, 0.5, samples))
    assert dither(values, 1.0) is None
    enough = np.rint(7.5 + np.random.default_rng(1).normal(0.0, 0.5, FEWEST * BLOCK))
    assert 0.0 <= dither(enough, 1.0) <= 0.6


def test_spikes_and_gaps_do_not_matter():
    values = np.rint(np.repeat([0.3, 5.1], 3000) + np.random.default_rng(2).normal(0.0, 0.5, 6000))
    values[np.random.default_rng(3).choice(6000, 60, replace=False)] = 40.0
    values[100:110] = np.nan
    assert dither(values, 1.0) == pytest.approx(0.5, abs=0.06)
    assert dither(values[:100], 1.0) is None


@pytest.mark.parametrize("share", [0.0, 0.1, 0.2, 0.4])
def test_rounding_that_averages_keep(share):
    draw = np.random.default_rng(4)
    levels = np.linspace(0.0, 1.0, 200, endpoint=False)[:, None]
    means = np.rint(levels + draw.normal(0.0, share, (200, 20000))).mean(axis=1)
    assert np.std(means - levels[:, 0]) == pytest.approx(rounding(share), abs=0.003)


def test_true_values_lie_inside_the_interval_where_noise_hides_no_steps():
    keys, inside = made.KEYS[1:3], []
    for seed, name in enumerate(("0126", "0122", "1016", "0130", "0103")):
        build = made.reference(name)
        measured = made.capture(
            build, ("bus_voltage", "lead_current"), window=(-0.05, 1.0), count=4000, noise=0.0008, levels=256,
            zero=0.003, seed=seed,
        )  # fmt: skip
        fit = fit_build(made.moved(build, (1.06, 0.95), keys), measured, keys)
        for key, found in fit.keys.items():
            assert found.error is None or abs(found.value - build.get(key)) < 3 * found.error, (name, key)
            low, high = found.interval or (None, None)
            truth = build.get(key)
            inside.append((low is None or low <= truth) and (high is None or truth <= high))
        assert fit.excess["bus_voltage"] < 1.2
    assert sum(inside) >= 8


@pytest.mark.parametrize(("noise", "shows"), [(0.0, True), (0.02, False)])
def test_rounding_is_expected_of_averages_where_no_noise_hides_the_steps(noise, shows):
    """A hundred levels: without noise each level is off by q / sqrt(12), however many samples it has."""
    samples = Samples.of(made.capture(made.reference("0100"), ["bus_voltage"], levels=100, noise=noise))
    seen = Observation(samples, 200, Accuracy())
    step, share = samples.noise_in_steps["bus_voltage"]
    assert (share < 0.3) == shows
    rounded = step / np.sqrt(12.0)
    if shows:
        assert seen.expected.min() >= 0.95 * rounded
    else:
        assert np.median(seen.expected) == pytest.approx(samples.measured.noise["bus_voltage"] / np.sqrt(10), rel=1e-6)
