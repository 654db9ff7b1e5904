"""Where a key may lie: its profile likelihood.

``profile``   hold a key, let all else follow, walk both ways until the misfit has grown by 3.84
``walk``      the walk to one side

3.84 is the square of 1.96: for a straight model the interval of 95 % (Venzon and Moolgavkar 1988, from memory). The
weights stay as they are at the best fit. An instrument's errors follow as well as the other keys do.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from inrushlib.trace.fit.least_squares import Uncertainty
from inrushlib.trace.fit.observation import root_weights
from inrushlib.trace.fit.problem import Places, Point, Problem, Slopes, descend
from inrushlib.trace.prepare import FloatArray

GROWTH = 3.84  # of the sum of squares at the ends of an interval of 95 %
FAR = float(np.log(4.0))  # without a crossing up to here there is none
BACK = 0.1  # of the logarithm, beyond the start
SURE = 0.04  # of the way, within which a good point must lie for a crossing to be believed
MOST_TRIALS = 18
BEYOND, BEYOND_LEAST = 3.0, 0.3  # crossings away, or logarithm, at which what lies past a crossing is looked at
TAIL = 2.0  # half widths, at which a parabola has grown by the square of it times as much
CHORDS, WORTH = 3, 0.03  # steps of the others along the slopes of the best fit, and the fall that is worth one more
UNEXPECTED = 1.5  # growth over that of a straight model, from which the others descend with slopes of their own

State = TypeVar("State")


def walk(
    grown: Callable[[float, State], tuple[float, State]],
    origin: State,
    first: float,
    far: float,
    growth: float = GROWTH,
) -> float | None:
    """Return how far away the misfit has grown by ``growth``; None where it has not up to ``far``.

    What lies past the crossing is looked at too. A limit just touched makes a narrow trough, by chance the best of the
    many places that it could touch, and past it a level that is hardly higher. An interval is read as that of a
    parabola, so where the misfit rises less than one, twice the half width is where it has grown four times as much.

    Parameters
    ----------
    grown : callable
        From a distance and the state of a nearer point to the growth there [1] and its state.
    origin : object
        State at distance 0.
    first, far : float
        First distance to try, and the last [in the unit of the distance].
    growth : float
        To be reached [1].
    """
    found = _crossing(grown, (0.0, 0.0), origin, first, far, growth)
    if found is None:
        return None
    reach, state = found
    for beyond in sorted({min(max(BEYOND * reach, least), far) for least in (0.0, BEYOND_LEAST)}):
        if beyond <= reach * (1 + SURE):
            continue
        value, state = grown(beyond, state)
        if value < growth * np.clip(0.5 * (beyond / reach) ** 2, 1.0, TAIL**2):
            good = (beyond, float(np.sqrt(max(value, 0.0))))
            tail = _crossing(grown, good, state, _next(good, None, TAIL * growth**0.5, far), far, TAIL**2 * growth)
            return None if tail is None else max(reach, tail[0] / TAIL)
    return reach


def _crossing(
    grown: Callable[[float, State], tuple[float, State]],
    good: tuple[float, float],
    state: State,
    at: float,
    far: float,
    growth: float,
) -> tuple[float, State] | None:
    """Where the misfit has grown by ``growth``, and the state of the last point before it.

    A failed descent looks like a crossing, so one is believed only with a good point close before it. Where there is no
    run at all, growth without end, nothing is told.
    """
    bad, root, at = None, float(np.sqrt(growth)), min(at, far)
    for _ in range(MOST_TRIALS):
        if at <= good[0]:
            return None
        value, reached = grown(at, state)
        height = float(np.sqrt(max(value, 0.0)))
        if abs(height - root) < SURE / 2 * root and at < far:
            return at, state
        if height < root:
            good, state = (at, height), reached
        else:
            bad = (at, height)
        if bad is None and at >= far:
            return None
        if bad is not None and bad[0] - good[0] <= SURE * bad[0]:
            if np.isinf(bad[1]):
                return None
            return good[0] + (bad[0] - good[0]) * (root - good[1]) / (bad[1] - good[1]), state
        at = _next(good, bad, root, far)
    return (bad[0], state) if bad is not None and np.isfinite(bad[1]) else None


def _next(good: tuple[float, float], bad: tuple[float, float] | None, root: float, far: float) -> float:
    """Where the root of the growth would reach its end on the straight line from the last points."""
    if bad is None:
        ahead = root * good[0] / good[1] if good[1] > 0 else np.inf
        return min(float(np.clip(ahead, 1.1 * good[0], 3.0 * good[0])), far)
    gap = bad[0] - good[0]
    share = (root - good[1]) / max(min(bad[1], 1e3) - good[1], 1e-12)
    return good[0] + gap * float(np.clip(share, 0.25, 0.75))


@dataclass(frozen=True)
class Profile:
    """Where a key may lie.

    Attributes
    ----------
    low, high : float or None
        Ends of its logarithm [1]; None for an open side.
    points : tuple of Point
        Every point met on the way.
    """

    low: float | None
    high: float | None
    points: tuple[Point, ...]


def profile(problem: Problem, best: Point, slopes: Slopes, known: Uncertainty, i: int) -> Profile:
    """Return where key i may lie.

    Parameters
    ----------
    problem : Problem
        With its weights, which stay.
    best : Point
        The best fit.
    slopes : Slopes
        There.
    known : Uncertainty
        Of the keys there, all else following.
    i : int
        The key's number [1].
    """
    points: list[Point] = []
    others = np.delete(np.arange(len(problem.keys)), i)
    weight = root_weights(best.residual)[:, None]
    chord = np.linalg.pinv(weight * slopes.following[:, others]) * weight.T
    error = float(known.errors[i])
    follow = (
        known.correlation[:, i] * known.errors / error
        if np.isfinite(error) and error > 0
        else np.eye(len(known.errors))[i]
    )
    ends: list[float | None] = []
    for side in (-1.0, 1.0):
        edge = float(best.x[i] - problem.lower[i] if side < 0 else problem.upper[i] - best.x[i])
        # Where the best fit lies far from the start, the way back to it counts too: the start may well not do.
        far = min(max(FAR, -side * float(best.x[i]) + BACK), edge)

        def grown(distance: float, near: Point, side: float = side, far: float = far) -> tuple[float, Point]:
            x = near.x + follow * (best.x[i] + side * distance - near.x[i])
            x[i] = best.x[i] + side * distance
            x = np.clip(x, problem.lower, problem.upper)
            point = problem.point(x, slopes.errors(near, x))
            if point is None:
                return np.inf, near
            point = _chords(problem, point, chord, others)
            growth, straight = point.cost - best.cost, (distance / error) ** 2 if error > 0 else GROWTH
            looks_far = distance >= min(BEYOND_LEAST, far) * (1 - SURE)
            unexpected = growth > max(UNEXPECTED * straight, GROWTH)
            if unexpected or (looks_far and growth > GROWTH):
                # Straight lines lead astray far away: the others may as well stay, and the shift alone follow.
                stays = near.x.copy()
                stays[i] = x[i]
                alone = problem.point(stays, slopes.delayed(near, stays)) or point
                if unexpected or alone.cost < point.cost:
                    point = min(problem.lined_up(point), problem.lined_up(alone), key=lambda p: p.cost)
                    point = _chords(problem, point, chord, others)
                    point = descend(problem, point, others, fineness=1e-3, steps=6)
            points.append(point)
            return point.cost - best.cost, point

        reach = walk(grown, best, float(np.clip(1.96 * error, 1e-7, FAR)), far) if far > 1e-9 else None
        ends.append(None if reach is None else float(best.x[i] + side * reach))
    return Profile(ends[0], ends[1], tuple(points))


def _chords(problem: Problem, point: Point, chord: FloatArray, others: Places) -> Point:
    """Let the others follow, along the slopes of the best fit as long as that helps."""
    for _ in range(CHORDS):
        if not len(others):
            break
        x = point.x.copy()
        x[others] = np.clip(x[others] - chord @ point.residual, problem.lower[others], problem.upper[others])
        other = problem.point(x, point.settled.errors)
        if other is None or other.cost >= point.cost:
            break
        fell, point = point.cost - other.cost, other
        if fell < WORTH:
            break
    return point
