"""A fit's misfit as a function of its keys: bounds, slopes against differences, and where it begins far away."""

from types import SimpleNamespace

import numpy as np
import pytest

from inrushlib.startup import hold_lumps
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.observation import root_weights
from inrushlib.trace.fit.problem import Point, Problem, Slopes, descend

from . import made

BOTH = ("bus_voltage", "lead_current")
KEYS = ("adapter.limit_current", "controller.boot_time")


@pytest.fixture(scope="module")
def problem():
    """The fit of a build's own capture, begun at its true values."""
    build = hold_lumps(made.reference("0100"))
    found = Problem(build, Samples.of(made.capture(build, BOTH, count=3000, noise=0.01)), KEYS)
    found.use(600, 1e-6)
    return found


@pytest.fixture(scope="module")
def begin(problem):
    return problem.point(np.zeros(2), problem.seen.nothing(0.0))


def test_keys_move_by_a_factor_of_30_at_most_and_stay_what_a_build_may_have(problem):
    assert problem.lower == pytest.approx(-np.log([30.0, 30.0]))
    assert problem.upper == pytest.approx(np.log([30.0, 30.0]))
    build = made.reference("0100").with_values({"adapter.limit_current": 300.0})
    far = Problem(build, problem.samples, ("adapter.limit_current",))
    assert far.upper[0] == pytest.approx(np.log(400.0 / 300.0))  # the most that a build may say


def test_values_are_the_start_times_the_exponential_and_exactly_the_start_where_nothing_moved(problem):
    start = [problem.build.get(key) for key in KEYS]
    assert problem.start.tolist() == start
    assert problem.values(np.array([0.0, np.log(2.0)])) == pytest.approx([start[0], 2.0 * start[1]])
    assert problem.values(np.zeros(2)).tolist() == start


def test_a_point_s_residual_ends_with_the_pulls_of_its_keys(problem, begin):
    # A deviation of 3 of a logarithm: factors of 20 are one.
    point = Point(np.array([0.3, -0.6]), begin.run, begin.settled)
    assert point.residual[-2:] == pytest.approx([0.1, -0.2])
    assert len(point.residual) == len(begin.settled.residual) + 2
    # Its cost is the loss of that and all else.
    far = np.append(begin.settled.residual, [0.1, -0.2])
    assert point.cost == pytest.approx(np.sum(18.0 * (np.sqrt(1.0 + far**2 / 9.0) - 1.0)))


def test_slopes_are_those_of_differences(problem, begin):
    # With the errors held: from two runs, farther apart than the fit's own, shown by the same instrument.
    problem.steps[:] = 5e-5
    slopes = problem.slopes(begin)
    rows = len(begin.settled.residual) - problem.seen.count
    for i in range(2):
        ends = [np.zeros(2), np.zeros(2)]
        ends[0][i], ends[1][i] = 1e-4, -1e-4
        up, down = (problem.seen.at(run, begin.settled.errors).residual[:rows] for run in problem.run_all(ends))
        apart = (up - down) / 2e-4
        assert np.linalg.norm(slopes.held[:rows, i] - apart) < 0.03 * np.linalg.norm(apart)
        small = (np.abs(apart) > 1e-3) & (np.abs(apart) < 0.5)
        assert slopes.held[:rows, i][small] == pytest.approx(apart[small], abs=0.05)
    # With the errors following: what is left of a key has nothing in it that an error could take away.
    weight = root_weights(begin.settled.residual)[:, None]
    errors = weight * begin.settled.slopes
    left = errors.T @ (weight * slopes.following[:-2])
    length = np.linalg.norm(errors, axis=0)[:, None] * np.linalg.norm(weight * slopes.held[:-2], axis=0)
    assert np.abs(left / length).max() < 1e-6
    # Where the shift alone follows, nothing that a shift could take away.
    alone = slopes.held[:-2] + np.outer(begin.settled.slopes[:, 0], slopes.delay)
    assert np.abs(errors[:, 0] @ (weight * alone) / length[0]).max() < 1e-9
    assert slopes.held[-2:] == pytest.approx(np.eye(2) / 3.0)
    assert slopes.following[-2:] == pytest.approx(np.eye(2) / 3.0)
    assert (slopes.held[rows:-2] == 0.0).all()
    assert np.linalg.norm(slopes.following[:-2], axis=0)[0] <= np.linalg.norm(slopes.held[:-2], axis=0)[0]
    assert slopes.x.tolist() == [0.0, 0.0]
    rough = problem.slopes(begin, np.array([1]), rough=True)
    assert (rough.held[:rows, 0] == 0.0).all()
    away = rough.held[:rows, 1] - slopes.held[:rows, 1]
    assert np.linalg.norm(away) < 0.1 * np.linalg.norm(slopes.held[:rows, 1])


def test_at_the_upper_bound_a_difference_goes_back(problem, begin):
    asked = []

    def run_all(points):
        asked.extend(points)
        return [None] * len(points)

    at_bound = Point(problem.upper.copy(), begin.run, begin.settled)
    few = SimpleNamespace(
        keys=KEYS, seen=problem.seen, two_sided=False, steps=np.full(2, 1e-3), upper=problem.upper, run_all=run_all
    )
    found = Problem.slopes(few, at_bound)
    assert [x[i] for i, x in enumerate(asked)] == pytest.approx(problem.upper - 1e-3)
    assert not found.held[:-2].any()  # where there is no run nothing is told
    asked.clear()
    Problem.slopes(few, begin)
    assert [x[i] for i, x in enumerate(asked)] == pytest.approx([1e-3, 1e-3])


def test_a_difference_is_as_long_as_what_a_key_s_error_would_be(problem):
    given, kept = np.zeros((5, 2)), problem.steps
    given[:3, 0], given[:3, 1], given[3:] = 400.0, [0.0, 3.0, 4.0], 1e9  # the keys' own rows do not count
    problem.set_steps(SimpleNamespace(held=given))
    assert problem.steps == pytest.approx([1.0 / (400.0 * 3**0.5), 3e-3])  # a fifth would be too long
    problem.set_steps(SimpleNamespace(held=1e7 * np.ones((5, 2))))
    assert problem.steps == pytest.approx([3e-6, 3e-6])
    problem.steps = kept


def near(errors, x=(0.1, 0.0)):
    return SimpleNamespace(x=np.array(x), settled=SimpleNamespace(errors=np.array(errors)))


def test_errors_to_begin_with_follow_straight_and_the_shift_with_the_values():
    follow = np.array([[2.0, 0.0], [3.0, -1.0], [0.5, 4.0]])
    slopes = Slopes(np.zeros((1, 2)), np.zeros((1, 2)), follow, np.array([0.1, 0.2]), np.array([5.0, 7.0]))
    begin, x = near([1.0, 10.0, 100.0]), np.array([0.4, 0.3])
    grown = np.array([np.exp(0.3) - 1.0, np.exp(0.1) - np.exp(-0.2)])
    assert slopes.errors(begin, x) == pytest.approx(
        [1.0 + 2.0 * grown[0], 10.0 + 3.0 * 0.3 - 0.3, 100.0 + 0.5 * 0.3 + 4.0 * 0.3]
    )
    assert slopes.delayed(begin, x) == pytest.approx([1.0 + 5.0 * grown[0] + 7.0 * grown[1], 10.0, 100.0])
    assert begin.settled.errors.tolist() == [1.0, 10.0, 100.0]  # the point itself stays


def test_a_run_is_made_longer_where_the_capture_ends_behind_it(problem):
    build, end = problem.build, problem.build.run.duration
    last = float(problem.samples.measured.time[-1])
    assert not problem.cover(end - last)
    assert problem.build is build
    assert problem.cover(end - last + 0.01)
    assert problem.build.run.duration == pytest.approx(end + 0.01 + 0.1 * problem.seen.span)
    problem.build = build


def test_runs_are_counted_and_those_that_fail_are_none(problem):
    before = problem.runs
    good, bad = problem.run_all([np.zeros(2), np.array([np.nan, 0.0])])
    assert good is not None
    assert bad is None
    assert problem.runs == before + 2


def test_a_descent_moves_only_the_keys_that_are_free(problem, begin):
    away = problem.point(np.array([0.05, 3e-4]), problem.seen.nothing(0.0))
    found = descend(problem, away, np.array([0]))
    assert found.x[1] == 3e-4
    assert found.x[0] == pytest.approx(0.0, abs=2e-3)
    assert found.cost < begin.cost + 10.0 < away.cost
    assert descend(problem, away, np.array([], int)) is away
    assert descend(problem, away).cost < 1.01 * found.cost
    # One trial is the point itself.
    assert descend(problem, away, steps=1).x.tolist() == away.x.tolist()
    assert begin.x.tolist() == [0.0, 0.0]


def test_another_resolution_begins_with_the_same_errors(problem, begin):
    again = problem.again(begin)
    assert again.x.tolist() == begin.x.tolist()
    assert again.settled.errors == pytest.approx(begin.settled.errors, abs=0.05)
    assert len(again.residual) == len(begin.residual)


@pytest.mark.parametrize("away", [-0.02, 0.004, 0.03])
def test_a_point_is_lined_up_from_the_shift_that_lies_best_however_far_it_was(problem, begin, away):
    errors = begin.settled.errors.copy()
    errors[0] += problem.seen.nothing(away)[0]
    off = Point(begin.x, begin.run, SimpleNamespace(errors=errors, residual=begin.settled.residual + 10.0))
    found = problem.lined_up(off)
    assert problem.seen.shift(found.settled.errors) == pytest.approx(problem.seen.shift(begin.settled.errors), abs=1e-5)
    assert found.cost == pytest.approx(begin.cost, rel=1e-3)
