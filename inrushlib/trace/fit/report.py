"""From the foot of a search to what is said of each key.

``told_by``   values, intervals and statuses, by profiles or a bootstrap
``Told``      them
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from inrushlib.build import build_keys
from inrushlib.trace.fit.bootstrap import bootstrapped
from inrushlib.trace.fit.least_squares import Uncertainty, uncertainty
from inrushlib.trace.fit.observation import root_weights
from inrushlib.trace.fit.problem import Point, Problem, Slopes, descend
from inrushlib.trace.fit.profile import GROWTH, Profile, profile
from inrushlib.trace.fit.stages import Stage
from inrushlib.trace.fit.status import Combination, FittedKey, Status
from inrushlib.trace.prepare import FloatArray

ALONE = 0.1  # relative error if all else were known, below which a key is felt
TIED, WIDE = 0.97, 0.03  # correlation from which two keys go together, if this logarithm of the other is open at least
FOLLOWED = 20.0  # times that an error grows once the shift follows, from which that takes all of the key
UNSURE = 0.6  # logarithm from end to end, from which a key that goes with others counts as open
LOWER = 1.0  # fall of the sum of squares at which a profile has met a better fit
ROUNDS = 4  # of profiles; all but the last end where they meet a better fit, and begin anew from it
AT_ITS_BOUND = 1e-3  # logarithm from a bound, within which a value counts as at it
LOOSE = 0.03  # least relative half width of an interval once a defect is fitted along


@dataclass(frozen=True)
class Told:
    """What a fit says.

    Attributes
    ----------
    best : Point
        The best fit.
    keys : dict of str to FittedKey
        By name.
    correlation : (k, k) array
        Of the keys [1].
    drawn : bool
        Whether the intervals come from a bootstrap.
    """

    best: Point
    keys: dict[str, FittedKey]
    correlation: FloatArray
    drawn: bool


def told_by(
    problem: Problem, best: Point, repeats: int, seed: int, tell: Callable[[Stage], None], *,
    withheld: bool, loose: bool,
) -> Told:  # fmt: skip
    """Return what the capture tells of each key.

    Parameters
    ----------
    problem : Problem
        With the weights of the best fit.
    best : Point
        The best fit of the search.
    repeats, seed : int
        Of a bootstrap that intervals are taken from [1]; none where 0.
    tell : callable
        Called with each stage.
    withheld : bool
        Whether there is an alarm that stays.
    loose : bool
        Whether a defect of the capture has been allowed for.
    """
    slopes, known = _known(problem, best)
    if withheld:
        keys = {
            key: FittedKey(key=key, value=float(value), start=float(start), interval=None, status=Status.WITHHELD)
            for key, value, start in zip(problem.keys, problem.values(best.x), problem.start, strict=True)
        }
        return Told(best, keys, known.correlation, False)
    profiles, met = list[Profile](), list[Point]()
    for begun in range(ROUNDS):
        profiles, lowest = _profiles(problem, best, slopes, known, to_the_end=begun == ROUNDS - 1)
        # The weights stay, so points met from a fit that was bettered count as well.
        met += [point for one in profiles for point in one.points]
        if lowest is None:
            break
        best = descend(problem, lowest, fineness=1e-4)
        slopes, known = _known(problem, best)
    ends = _hull(best, profiles, met)
    valleys = _valleys(problem, best, slopes, known, ends)
    best = _put_back(problem, best, slopes, ends)
    draws = None
    if repeats:
        tell(Stage.REPEATS)
        draws = bootstrapped(problem, best, slopes, repeats, seed)
    return Told(best, _keys(problem, best, ends, valleys, draws, loose), known.correlation, bool(repeats))


def _profiles(
    problem: Problem, best: Point, slopes: Slopes, known: Uncertainty, *, to_the_end: bool
) -> tuple[list[Profile], Point | None]:
    """Profiles of the keys, up to the first that meets a better fit unless all are wanted; and the best such fit."""
    found, lowest = list[Profile](), best
    for i in range(len(problem.keys)):
        found.append(profile(problem, best, slopes, known, i))
        lowest = min((lowest, *found[-1].points), key=lambda point: point.cost)
        if lowest.cost < best.cost - LOWER and not to_the_end:
            break
    return found, lowest if lowest.cost < best.cost - LOWER else None


def _known(problem: Problem, best: Point) -> tuple[Slopes, Uncertainty]:
    slopes = problem.slopes(best)
    return slopes, uncertainty(root_weights(best.residual)[:, None] * slopes.following)


def _hull(best: Point, profiles: list[Profile], met: list[Point]) -> FloatArray:
    """Ends of each key's logarithm, infinite where open: the crossings, and all points met that lie as well."""
    ends = np.array([[-np.inf if p.low is None else p.low, np.inf if p.high is None else p.high] for p in profiles])
    for point in met:
        if point.cost - best.cost < GROWTH:
            ends[:, 0], ends[:, 1] = np.minimum(ends[:, 0], point.x), np.maximum(ends[:, 1], point.x)
    return ends


def _put_back(problem: Problem, best: Point, slopes: Slopes, ends: FloatArray) -> Point:
    """Leave keys exactly where they were that may as well be there."""
    opened = ~np.isfinite(ends)
    back = [i for i in range(len(ends)) if opened[i].any() and ends[i, 0] <= 0.0 <= ends[i, 1]]
    if not back:
        return best
    found, stay = best, list[int]()
    for i in back:
        x = found.x.copy()
        x[i] = 0.0
        moved = problem.point(x, slopes.errors(found, x))
        if moved is None:
            continue
        moved = problem.lined_up(moved) if moved.cost - best.cost > GROWTH else moved
        others = np.setdiff1d(np.arange(len(ends)), [*stay, i])
        moved = descend(problem, moved, others, fineness=1e-3)
        if moved.cost - best.cost < GROWTH:
            found, stay = moved, [*stay, i]
    return found


def _keys(
    problem: Problem, best: Point, ends: FloatArray, valleys: dict[int, Combination], draws: FloatArray | None,
    loose: bool,
) -> dict[str, FittedKey]:  # fmt: skip
    values, found = problem.values(best.x), {}
    for i, key in enumerate(problem.keys):
        low, high = (float(end) for end in ends[i])
        opened = (not np.isfinite(low), not np.isfinite(high))
        if draws is not None and not any(opened):
            # Reflected about the solution: a repeat that strays up says that the truth lies down.
            low, high = (float(best.x[i] - a) for a in np.quantile(draws[:, i] - best.x[i], [0.975, 0.025]))
        if loose and not any(opened):
            low, high = min(low, best.x[i] - LOOSE), max(high, best.x[i] + LOOSE)
        status, combination = Status.INTERVAL, valleys.get(i)
        if combination is not None:
            status = Status.ONLY_TOGETHER
        elif all(opened):
            status = Status.UNDETERMINED
        elif any(opened):
            status = Status.AT_MOST if opened[0] else Status.AT_LEAST
            if min(best.x[i] - problem.lower[i], problem.upper[i] - best.x[i]) < AT_ITS_BOUND:
                status = Status.AT_BOUND
        limits = [None if np.isinf(end) else float(problem.start[i] * np.exp(end)) for end in (low, high)]
        interval = None if status in (Status.UNDETERMINED, Status.ONLY_TOGETHER) else (limits[0], limits[1])
        found[key] = FittedKey(
            key=key, value=float(values[i]), start=float(problem.start[i]), interval=interval, status=status,
            combination=combination,
        )  # fmt: skip
    return found


def _valleys(
    problem: Problem, best: Point, slopes: Slopes, known: Uncertainty, ends: FloatArray
) -> dict[int, Combination]:
    """Keys that are felt but open, each with the others or with the time shift that it goes with."""
    k = len(problem.keys)
    moved = slopes.held[:-k] + np.outer(best.settled.slopes[:, 0], slopes.delay)
    held, delayed = (1.0 / np.maximum(np.linalg.norm(columns, axis=0), 1e-12) for columns in (slopes.held[:-k], moved))
    opened = [i for i in range(k) if not ends[i, 1] - ends[i, 0] < UNSURE and held[i] < ALONE]
    wide = [i for i in range(k) if ends[i, 1] - ends[i, 0] > 2 * WIDE and held[i] < ALONE]
    found: dict[int, Combination] = {}
    for i in opened:
        group = [j for j in wide if j == i or abs(known.correlation[i, j]) > TIED]
        if len(group) > 1:
            found |= dict.fromkeys(group, _combination(problem, best, known, group))
        elif i not in found and delayed[i] > FOLLOWED * held[i]:
            found[i] = Combination((problem.keys[i],))
    return found


def _combination(problem: Problem, best: Point, known: Uncertainty, group: list[int]) -> Combination:
    """The combination of a group's keys that is determined best."""
    errors = known.errors[group]
    covariance = known.correlation[np.ix_(group, group)] * np.outer(errors, errors)
    variances, directions = np.linalg.eigh(covariance)
    direction, error = directions[:, 0], float(np.sqrt(max(variances[0], 0.0)))
    keys, values = tuple(problem.keys[i] for i in group), problem.values(best.x)[group]
    if len({build_keys()[key].unit for key in keys}) == 1:
        weights = direction / values
        return Combination(
            keys, tuple(float(w) for w in weights / weights[0]), float(values @ weights / weights[0]),
            float(error / abs(weights[0])), True,
        )  # fmt: skip
    powers = direction / direction[0]
    return Combination(keys, tuple(float(p) for p in powers), 1.0, float(error / abs(direction[0])))
