"""The values with which the model lies best: from designed points down a ladder of averages.

``minimum``   the lowest foot found, and the other feet

An edge pulls a descent from about as far away as an average is wide, so wide averages come first. One start ends in
the wrong valley on every fourth capture or so; points that fill the neighbourhood of the start evenly do not.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.stats import qmc

from inrushlib.errors import TraceError
from inrushlib.trace.align import rough_shift
from inrushlib.trace.fit.problem import Point, Problem, descend
from inrushlib.trace.prepare import FloatArray

POINTS, KEPT, APART = 128, 8, 0.3  # designed points, those that descents begin at, their least distance in logarithms
FAR = float(np.log(3.0))  # from the start that the points reach
LADDER = ((60, 4), (200, 2), (600, 1))  # stretches, and the feet that are kept
FINE = 2000  # stretches of the last descents
FINE_TOLERANCE = 1e-5
SAME = 0.02  # logarithm within which two feet are one
ROWS = 2000  # steps of a run from which fewer points are tried
TOGETHER = 8  # runs kept at a time: one of many switchings fills some megabytes


def minimum(problem: Problem, tell: Callable[[], None] = lambda: None) -> list[Point]:
    """Return the feet found, lowest first, on the finest averages and with the weights of the lowest.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    tell : callable
        Called when the descents begin.

    Raises
    ------
    TraceError
        Where no point can be run.
    """
    problem.use(LADDER[0][0])
    points = _designed(problem)
    if not points:
        raise TraceError("the model cannot be run at or near the build's values", problem.samples.measured.name)
    problem.cover(max(problem.seen.shift(p.settled.errors) for p in points[:KEPT]))
    tell()
    feet = _apart(points, APART)[:KEPT]
    for count, kept in LADDER:
        problem.use(count)
        feet = [descend(problem, problem.again(foot), fineness=1e-2, steps=8) for foot in feet]
        feet = _apart(feet, SAME)[:kept]
    return finest(problem, feet[0])


def finest(problem: Problem, foot: Point) -> list[Point]:
    """Return the foot on the finest averages, with weights that its own differences show.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    foot : Point
        On wider averages.
    """
    problem.use(FINE, FINE_TOLERANCE)
    foot = problem.again(foot)
    for fineness in (1e-3, 1e-4):
        problem.seen.weigh(foot.settled)
        foot = problem.again(foot)
        problem.set_steps(problem.slopes(foot))
        foot = descend(problem, foot, fineness=fineness)
    problem.seen.weigh(foot.settled)
    return [problem.again(foot)]


def _designed(problem: Problem) -> list[Point]:
    """The start and points around it, each settled from its best shift, lowest first."""
    k = len(problem.keys)
    (first,) = problem.run_all([np.zeros(k)])
    size = 0 if first is None else first.rows
    count = int(np.clip(POINTS * ROWS / max(size * 2, 1), 32, POINTS)) if size > ROWS // 2 else POINTS
    spread = 2.0 * qmc.Sobol(k, seed=1).random(count) - 1.0
    # Closer together near the start, where a build's values usually are.
    trials = np.clip(FAR * spread * np.abs(spread) ** 0.5, problem.lower, problem.upper)
    trials = np.concatenate([np.zeros((1, k)), trials])
    found = []
    for begin in range(0, len(trials), TOGETHER):
        some: list[FloatArray] = list(trials[begin : begin + TOGETHER])
        for x, run in zip(some, problem.run_all(some), strict=True):
            if run is not None:
                shift = rough_shift(problem.samples.measured, run, 600)
                found.append(Point(x, run, problem.seen.settle(run, problem.seen.nothing(shift))))
    return sorted(found, key=lambda point: point.cost)


def _apart(points: list[Point], least: float) -> list[Point]:
    """The points, lowest first, without those nearer than ``least`` to a lower one."""
    kept: list[Point] = []
    for point in sorted(points, key=lambda p: p.cost):
        if all(np.linalg.norm(point.x - other.x) >= least for other in kept):
            kept.append(point)
    return kept
