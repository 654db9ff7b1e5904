"""Averages of modelled and measured curves over stretches."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from inrushlib.build import load_build
from inrushlib.startup import run_curves
from inrushlib.trace.averages import Integrals, stretches
from inrushlib.trace.prepare import Measured

from .. import make_captures

QUANTITIES = ("bus_voltage", "lead_current", "section_3_voltage")


@pytest.fixture(scope="module")
def run():
    return run_curves(load_build(make_captures.ROOT / "workbook/builds/tide_board_with_switch.toml"))


def test_values_are_the_runs_own_also_outside_it(run):
    times = np.linspace(-0.1, 0.9, 5001)
    expected = run.at(times)
    values = Integrals(run, QUANTITIES).values(times)
    for i, name in enumerate(QUANTITIES):
        np.testing.assert_allclose(values[:, i], expected[name], rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize(("start", "end"), [(0.2871, 0.2879), (0.001, 0.0012), (-0.01, 0.0005), (0.799, 0.83)])
def test_means_against_adaptive_quadrature(run, start, end):
    means = Integrals(run, QUANTITIES).means(np.array([start, end]), 0.0)[0]
    inner = run.steps.rows[:, 0]
    breaks = inner[(inner > start) & (inner < end)]
    for name, mean in zip(QUANTITIES, means, strict=True):
        edges = [start, *breaks, end]
        total = sum(
            quad(lambda t, name=name: run.at(np.array([t]))[name][0], a, b, epsabs=1e-13)[0]
            for a, b in pairwise(edges)
            if b > a
        )
        assert abs(mean - total / (end - start)) < 1e-8


def test_slopes_are_those_of_the_means(run):
    integrals = Integrals(run, QUANTITIES)
    edges, h = np.linspace(0.28, 0.32, 41), 1e-7
    differences = (integrals.means(edges, 3e-3 + h) - integrals.means(edges, 3e-3 - h)) / (2 * h)
    slopes = integrals.slopes(edges, 3e-3)
    np.testing.assert_allclose(slopes, differences, atol=1e-6 * np.abs(slopes).max())


def test_stretches_of_a_straight_line_average_to_their_middles():
    time = 1e-3 * np.arange(103)
    found = stretches(Measured(time, {"bus_voltage": 2.0 + 5.0 * time}, {"bus_voltage": 1e-3}, 0), 10)
    assert len(found.edges) == 10  # of 11 samples each; four samples are left over
    middles = 0.5 * (found.edges[1:] + found.edges[:-1])
    np.testing.assert_allclose(found.means[:, 0], 2.0 + 5.0 * middles, rtol=1e-12)
    np.testing.assert_array_equal(found.counts[:, 0], 11)


def test_a_stretch_that_gaps_make_lopsided_is_left_out_and_an_even_one_kept():
    time = 1e-3 * np.arange(30)
    values = time.copy()
    values[[0, 1, 2]] = np.nan  # one end of the first stretch
    values[[11, 18]] = np.nan  # both sides of the second
    values[20:] = np.nan  # all of the third
    found = stretches(Measured(time, {"bus_voltage": values}, {"bus_voltage": 1e-3}, 15), 3)
    np.testing.assert_array_equal(found.good[:, 0], [False, True, False])
    assert found.means[1, 0] == pytest.approx(14.5e-3, rel=1e-12)
    np.testing.assert_array_equal(found.counts[:, 0], [7, 8, 0])


def test_pairs_of_one_time_are_averaged_together():
    time = np.repeat(1e-3 * np.arange(8), 2)
    values = np.tile([1.0, 3.0], 8)
    found = stretches(Measured(time, {"bus_voltage": values}, {"bus_voltage": 1.0}, 0), 16)
    assert np.all(np.diff(found.edges) > 0)
    assert np.nansum(found.counts) == 16
    assert np.average(found.means[:, 0], weights=found.counts[:, 0]) == pytest.approx(2.0)
