"""The values with which the model lies best: from designed points down a ladder of averages.

``minimum``   the lowest foot found
``finest``    a foot on the finest averages

An edge pulls a descent from about as far away as an average is wide, so wide averages come first. One start ends in
the wrong valley on every fourth capture or so; points that fill the neighbourhood of the start evenly do not.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.trace.align import rough_shift
from inrushlib.trace.fit.neighbours import worst_row
from inrushlib.trace.fit.observation import robust
from inrushlib.trace.fit.problem import ROWS, Point, Problem, descend
from inrushlib.trace.prepare import FloatArray

POINTS, MOST_POINTS = 16, 128  # designed points, doubled by each key, and at most
KEPT, APART = 8, 0.3  # points that descents begin at, and their least distance in logarithms
FAR = float(np.log(3.0))  # from the start that the points reach
LADDER = ((60, 4), (200, 2), (600, 1))  # stretches, and the feet that are kept
FINE = 2000  # stretches of the last descents
COARSE_TOLERANCE, FINE_TOLERANCE = 1e-4, 1e-5  # of those runs: the coarser where it moves the residuals by less
UNSEEN = 0.05  # than this, all together, in units of their noise
SAME = 0.3  # standard deviations, within which what two feet show is one
ROUGH = 600  # stretches that a shift is looked for with
CLEAN = 1.1  # scatter over noise; made captures without defects stay below
NOT_NOISE = 6.0  # standard deviations that the mean of differences in a row is off, which noise does not reach
BESIDE = (-0.5, -0.25, 0.25, 0.5)  # logarithms from a foot, at which valleys beside it are looked for
TOGETHER = 8  # runs kept at a time: one of many switchings fills some megabytes


def minimum(problem: Problem, tell: Callable[[], None] = lambda: None) -> Point:
    """Return the lowest foot found, on the finest averages and with the weights that its differences show.

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
    at_start = _placed(problem, [np.zeros(len(problem.keys))])
    tell()
    heavy = bool(at_start) and at_start[0].run.rows >= ROWS
    from_start = _from_start(problem, at_start[0]) if at_start else None
    if heavy and from_start is not None:
        # What lies below the noise can still have a lower valley beside it, but seldom where no scatter is left over.
        found = finest(problem, from_start)
        if problem.seen.off() < CLEAN:
            return found
    problem.use(LADDER[0][0])
    points = sorted([*at_start, *_designed(problem, heavy)], key=lambda point: point.cost)
    if not points:
        raise TraceError("the model cannot be run at or near the build's values", problem.samples.measured.name)
    heavy = points[0].run.rows >= ROWS  # a quarter of the points and descents, then
    most = KEPT // 4 if heavy else KEPT
    feet = _down(problem, _apart(points, APART)[:most], heavy)
    if from_start is not None:
        feet = sorted([*feet, problem.again(from_start)], key=lambda foot: foot.cost)
    found = finest(problem, feet[0])
    return (
        found
        if worst_row(problem.seen, found.settled).size < NOT_NOISE
        else finest(problem, _beside(problem, found, most))
    )


def _down(problem: Problem, feet: list[Point], heavy: bool = False) -> list[Point]:
    """The lowest feet of valleys, lowest first, from points on the widest averages; one alone where runs take long."""
    for count, kept in LADDER:
        problem.use(count)
        feet = [descend(problem, problem.lined_up(problem.again(foot)), fineness=1e-2, steps=8) for foot in feet]
        feet = _different(problem, feet)[: 1 if heavy else kept]
    return feet


def _beside(problem: Problem, foot: Point, most: int) -> Point:
    """The lowest of a foot and those of the valleys beside it, from ``most`` points at most, on the finest rung.

    Keys that go together make a long bent valley, that on wide averages is level from end to end: its feet on fine ones
    are too close together for designed points to begin at each.
    """
    problem.use(LADDER[0][0])
    trials = []
    for i in range(len(problem.keys)):
        for away in BESIDE:
            trials.append(foot.x.copy())
            trials[-1][i] += away
    placed = sorted(_placed(problem, list(np.clip(trials, problem.lower, problem.upper))), key=lambda p: p.cost)
    feet = [*_down(problem, placed[:most]), problem.again(foot)]
    return min(feet, key=lambda p: p.cost)


def _from_start(problem: Problem, foot: Point) -> Point | None:
    """The foot of the valley that the start is in, where it lies on the capture."""
    for count, _ in LADDER:
        problem.use(count)
        foot = descend(problem, problem.again(foot), fineness=1e-2, steps=8)
    return foot if problem.seen.lies(foot.settled) else None


def finest(problem: Problem, foot: Point) -> Point:
    """Return the foot on the finest averages, with weights that its own differences show.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    foot : Point
        On wider averages.
    """
    problem.use(FINE, COARSE_TOLERANCE)
    coarse = problem.again(foot)
    problem.tolerance = FINE_TOLERANCE
    foot = problem.again(foot)
    if np.linalg.norm(foot.residual - coarse.residual) < UNSEEN:
        problem.tolerance = COARSE_TOLERANCE
    for fineness in (1e-3, 1e-4):
        problem.seen.weigh(foot.run, foot.settled)
        foot = problem.slower(problem.again(foot))
        problem.set_steps(problem.slopes(foot))
        foot = descend(problem, foot, fineness=fineness)
    problem.seen.weigh(foot.run, foot.settled)
    return problem.again(foot)


def _designed(problem: Problem, heavy: bool) -> list[Point]:
    """Points around the start; fewer where a run takes long."""
    count = min(POINTS * 2 ** len(problem.keys), MOST_POINTS) // (4 if heavy else 1)
    from scipy.stats import qmc  # long to import, and only searches need it

    spread = 2.0 * qmc.Sobol(len(problem.keys), seed=1).random(count) - 1.0
    # Closer together near the start, where a build's values usually are.
    return _placed(problem, list(np.clip(FAR * spread * np.abs(spread) ** 0.5, problem.lower, problem.upper)))


def _placed(problem: Problem, trials: list[FloatArray]) -> list[Point]:
    """Runs, each settled from its best shift; without those that fail."""
    found = []
    for begin in range(0, len(trials), TOGETHER):
        some = trials[begin : begin + TOGETHER]
        for x, run in zip(some, problem.run_all(some), strict=True):
            if run is not None:
                shift = rough_shift(problem.samples.measured, run, ROUGH)
                found.append(Point(x, run, problem.seen.settle(run, problem.seen.nothing(shift))))
    return found


def _apart(points: list[Point], least: float) -> list[Point]:
    """The points, lowest first, without those nearer than ``least`` to a lower one."""
    kept: list[Point] = []
    for point in sorted(points, key=lambda p: p.cost):
        if all(np.linalg.norm(point.x - other.x) >= least for other in kept):
            kept.append(point)
    return kept


def _different(problem: Problem, feet: list[Point]) -> list[Point]:
    """The feet, lowest first, without those that show the same as a lower one: values may go with the shift."""
    kept: list[Point] = []
    for foot in sorted(feet, key=lambda p: p.cost):
        away = (problem.seen.flat((foot.settled.shown - o.settled.shown) / problem.seen.spread) for o in kept)
        if all(np.mean(robust(one)) >= SAME**2 for one in away):
            kept.append(foot)
    return kept
