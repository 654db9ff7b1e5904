"""False valleys: a fit leaves them, and moves shift and boot time together where it has to."""

import numpy as np
import pytest

from inrushlib.trace.fit import minimum as search
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.fit import fit_build
from inrushlib.trace.fit.minimum import minimum
from inrushlib.trace.fit.neighbours import worst_row
from inrushlib.trace.fit.problem import Point, Problem, descend

from .. import fit_coverage
from . import made

BOTH = ("bus_voltage", "lead_current")


@pytest.mark.parametrize(("name", "factor"), [("0100", 0.6), ("0100", 2.2), ("1016", 1.6)])
def test_an_edge_that_a_descent_does_not_feel_is_found(name, factor):
    build = made.reference(name)
    measured = made.capture(build, BOTH, window=(-0.05, 1.0), count=4000, noise=0.01, levels=256)
    problem = Problem(made.moved(build, (1.0, 1.0, 1.0, factor)), Samples.of(measured), made.KEYS)
    problem.use(600)
    begin = problem.point(0.0 * problem.start, problem.seen.nothing(-0.05 * build.run.duration))
    stuck = descend(problem, begin, fineness=1e-4, steps=30)
    true = build.get("controller.boot_time")
    assert abs(problem.values(stuck.x)[3] / true - 1.0) > 0.1
    assert problem.values(minimum(problem).x)[3] == pytest.approx(true, rel=1e-3)


def test_shift_and_boot_time_are_moved_together():
    # The start is not shown, and a descent from here ends with a boot time 2.7 times too long, 0.15 s too late.
    build = made.reference("0101")
    measured = made.capture(build, ("lead_current",), window=(0.0, 0.7), count=20000, noise=0.01, late=0.45)
    fit = fit_build(made.moved(build, (1.07, 1.18, 1.2, 0.9)), measured, made.KEYS)
    assert fit.shift == pytest.approx(0.45, abs=1e-3)
    assert fit.keys["controller.boot_time"].value == pytest.approx(build.get("controller.boot_time"), rel=1e-3)
    assert fit.keys["controller.boot_time"].error is not None
    assert fit.excess["lead_current"] < 1.05


# Limit, channel current and resistance go together along a bent valley, with another foot at these values.
FALSE_FOOT = {"adapter.limit_current": 1.1925, "pixel.channel_resistance": 102.7, "pixel.channel_current": 6.06e-3}


def test_a_false_foot_is_known_by_neighbouring_differences_and_left_for_the_valley_beside_it():
    found = fit_coverage.case(24217)
    true = {key: found.true.get(key) for key in found.keys}
    problem = Problem(found.start, Samples.of(found.measured), found.keys)

    def foot(**values):
        x = np.log([(true | values)[key] / start for key, start in zip(found.keys, problem.start, strict=True)])
        return search.finest(problem, problem.lined_up(problem.point(x, problem.seen.nothing(0.0))))

    right = foot()
    assert worst_row(problem.seen, right.settled).size < search.NOT_NOISE
    false = foot(**FALSE_FOOT)
    assert worst_row(problem.seen, false.settled).size > search.NOT_NOISE
    beside = search.finest(problem, search._beside(problem, false, search.KEPT))
    assert problem.values(beside.x) == pytest.approx(problem.values(right.x), rel=3e-3)


def test_a_capture_does_not_slide_past_the_end_of_the_run():
    build = made.reference("0100")
    measured = made.capture(build, BOTH, window=(-0.05, 1.0), count=2000, noise=0.01, levels=256)
    problem = Problem(build, Samples.of(measured), made.KEYS)
    begin, past = 0.0 * problem.start, problem.seen.nothing(10.0 * build.run.duration)
    assert problem.point(begin, past) is None
    assert problem.build.run.duration == build.run.duration
    (run,) = problem.run_all([begin])
    late = Point(begin, run, problem.seen.at(run, past))
    problem.use(200)
    assert len(problem.again(late).residual) == len(problem.point(begin, problem.seen.nothing(0.0)).residual)
