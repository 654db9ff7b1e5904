"""Samples are values at instants: what is shorter than an interval, and instants that scatter."""

from dataclasses import replace

import numpy as np
import pytest

from inrushlib.startup import hold_lumps
from inrushlib.trace.fit.alarm import Cause, alarmed, causes
from inrushlib.trace.fit.bootstrap import bootstrapped
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.least_squares import uncertainty
from inrushlib.trace.fit.observation import root_weights
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.fit.sampling import jitter
from tests import fit_coverage

from . import made

BOTH = ("bus_voltage", "lead_current")
LATE = -0.02137  # of the run; no multiple of an interval


def at_the_truth(name, **bench):
    """The fit of a build's own capture at the true values, with the weights that its differences show."""
    build = hold_lumps(made.reference(name))
    bench = fit_coverage.Bench(late=LATE, bits=12, noise=0.001, **bench)
    problem = Problem(build, Samples.of(fit_coverage.seen(build, BOTH, bench, 1)), ("adapter.output_resistance",))
    problem.use(2000, 1e-5)
    return problem, problem.point(np.zeros(1), problem.seen.nothing(LATE * build.run.duration))


@pytest.mark.parametrize("samples", [300, 1000, 8000])
def test_a_peak_shorter_than_an_interval_makes_no_difference_at_the_truth(samples):
    # The power-on peak of this build lasts 20 us; 8,000 samples are 128 us apart.
    problem, point = at_the_truth("1006", samples=samples)
    before = np.abs(point.settled.residual).max()
    problem.seen.weigh(point.run, point.settled)
    residual = problem.again(point).settled.residual
    assert before > 8.0
    assert np.abs(residual[: -problem.seen.count]).max() < 4.5
    assert np.std(residual[: -problem.seen.count]) == pytest.approx(1.0, abs=0.15)


@pytest.mark.parametrize(("share", "least", "most"), [(0.0, 0.0, 0.0), (0.3, 0.15, 0.35), (0.45, 0.25, 0.5)])
def test_instants_that_scatter_are_seen_by_the_steep_parts(share, least, most):
    # What is expected of an edge between two samples is some of it already.
    problem, point = at_the_truth("1006", samples=8000, jitter=share)
    seen = problem.seen
    beside, steep, interval = seen._at_instants(point.run, point.settled.errors)
    away = seen.averages.means - point.settled.shown
    found = jitter(*map(seen.flat, (away, np.hypot(seen.expected, beside), steep)), interval)
    assert least <= found / interval <= most


def test_a_value_ten_times_from_its_start_is_an_alarm_that_names_it():
    problem, point = at_the_truth("1016", samples=1000)
    problem.seen.weigh(point.run, point.settled)
    point = problem.again(point)
    assert not alarmed(problem, point)
    far = replace(point, x=np.array([np.log(15.0)]))
    assert alarmed(problem, far)
    (found,) = causes(problem, far, [])
    assert found.cause is Cause.FAR_VALUE
    assert found.sentence == "adapter.output_resistance would have to be 15 times what the build says"


def test_draws_of_a_bootstrap_scatter_as_the_slopes_say_and_a_seed_gives_them_again():
    problem, point = at_the_truth("1016", samples=2000)
    problem.seen.weigh(point.run, point.settled)
    best = problem.again(point)
    problem.set_steps(problem.slopes(best))
    slopes = problem.slopes(best)
    drawn, again = (bootstrapped(problem, best, slopes, 200, 1) for _ in range(2))
    np.testing.assert_array_equal(drawn, again)
    # The scatter of a standard deviation from 200 draws is 5 %.
    error = uncertainty(root_weights(best.residual)[:, None] * slopes.following).errors[0]
    assert np.std(drawn) == pytest.approx(error, rel=0.25)
