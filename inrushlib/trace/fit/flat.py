"""Keys that a capture minds no more where they started than where they ended.

``settling``        how the misfit grows once a key is moved and all else has given way
``allowed``         how much it may grow without telling anything
``without_untold``  the problem without keys that the slopes do not tell
``without_flat``    the problem without keys whose start lies on the capture as well
``without_adrift``  the same for keys that the fit has nothing to say about in the end
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from inrushlib.trace.fit.descent import OUTLIER, cost, descend
from inrushlib.trace.fit.least_squares import Loss, Solution, uncertainty
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.fit.remark import Outcome, Remark
from inrushlib.trace.fit.report import UNTOLD
from inrushlib.trace.prepare import FloatArray

# Scatter of the differences over the noise, from which it says nothing about what is told: 136 made captures that
# the model lies on reach 1.25, with jitter and bandwidth limit.
FAR_OFF = 1.3
FAR_FROM_START = 6.0  # errors, from which a start is no part of what the slopes tell
FLAT = 9.0  # growth of the sum of squares, below which a start lies on the capture as well
SHARE = 0.01  # of the sum of squares, that a model not quite right may gain anywhere
SHAPE = 0.2  # of the parabola of the slopes, below which a growth is no parabola's
GIVING_WAY = 3  # steps of the others

# Where a model is far off a capture the differences are no noise, and would drown what the capture does tell: then
# no key is put back that moves the model by more than the noise, but in the end those that still are not told.

Settled = Callable[[FloatArray, int], float]


def settling(problem: Problem, x: FloatArray) -> Settled:
    """Return a function from x with one key moved, and that key's number, to the sum of squares once all else gave way.

    The others step along the slopes at x, as long as that helps: a key may be moved along a ridge, where it alone
    would be minded and it together with others is not.

    Parameters
    ----------
    problem : Problem
        With its weights.
    x : (n,) array
        A solution.
    """
    slopes = problem.jacobian(x)

    def settled(moved: FloatArray, i: int) -> float:
        others = np.delete(np.arange(len(x)), i)
        columns = slopes[:, others]
        length = np.maximum(np.sqrt(np.sum(columns**2, axis=0)), 1e-12)
        best, here = np.inf, moved.copy()
        for _ in range(GIVING_WAY):
            residual = problem.residual(here)
            if not cost(residual) < best:
                break
            best = cost(residual)
            weight = (1.0 + (residual / OUTLIER) ** 2) ** -0.25
            step = np.linalg.lstsq(weight[:, None] * columns / length, -weight * residual, rcond=1e-9)[0] / length
            here = here.copy()
            here[others] = np.clip(here[others] + step, problem.lower[others], problem.upper[others])
        return best

    return settled


def allowed(least: float, steps: float) -> float:
    """Return the growth of a sum of squares that tells nothing, where a parabola would have grown by ``steps`` squared.

    Parameters
    ----------
    least : float
        The sum of squares at the solution.
    steps : float
        How far a key was moved, in its errors [1].
    """
    return min(SHARE * least, SHAPE * steps**2)


def without_flat(problem: Problem, solution: Solution, loss: Loss) -> tuple[Problem, FloatArray]:
    """Put keys back to their start that lies on the capture as well, whether or not their slopes tell them.

    A limit that is hardly reached pulls on one side only, and so does the descent, up to the kink.

    Parameters
    ----------
    problem, solution : Problem, Solution
        A fit on narrow averages, with its weights.
    loss : str
        Of the descent without those keys.
    """
    x, known = solution.values, uncertainty(solution.jacobian)
    if problem.off(x) > FAR_OFF:
        return problem, x
    least, settled, flat = cost(solution.residual), settling(problem, x), []
    for i in range(len(problem.keys)):
        back = x.copy()
        back[i] = 0.0
        steps = abs(x[i]) / max(float(known.errors[i]), 1e-12)
        doubtful = steps > FAR_FROM_START or not known.alone[i] < UNTOLD
        if doubtful and settled(back, i) - least < max(FLAT, allowed(least, steps)):
            flat.append(i)
    if not flat:
        return problem, x
    fewer = problem.without(flat)
    x = np.delete(x, flat)
    fewer.weigh(x)
    return fewer, descend(fewer, x, loss, 1e-5).values


def without_adrift(
    problem: Problem, solution: Solution, ties: list[Remark], loss: Loss
) -> tuple[Problem, Solution, dict[str, Remark]]:
    """Put keys that are not told, or told from one side only, back to their start, if that lies on the capture too.

    Parameters
    ----------
    problem, solution : Problem, Solution
        The fit, with its weights.
    ties : list of Remark
        What is said about it.
    loss : str
        Of the descent without those keys.

    Returns
    -------
    tuple of Problem, Solution and dict of str to Remark
        What is left, and what was said about each key that was put back.
    """
    x, known = solution.values, uncertainty(solution.jacobian)
    alone = {tie.keys[0]: tie for tie in ties if len(tie.keys) == 1}
    together = {key for tie in ties if len(tie.keys) > 1 for key in tie.keys}
    least, said, settled = cost(solution.residual), {}, settling(problem, x)
    off = problem.off(x) > FAR_OFF
    for i, key in enumerate(problem.keys):
        if key in together or (key not in alone and known.errors[i] < UNTOLD):
            continue
        back = x.copy()
        back[i] = 0.0
        steps = abs(x[i]) / max(float(known.errors[i]), 1e-12)
        if off or settled(back, i) - least < max(FLAT, allowed(least, steps)):
            said[key] = _of_start(alone.get(key, untold(key)), float(x[i]))
    if not said:
        return problem, solution, {}
    places = [problem.keys.index(key) for key in said]
    fewer = problem.without(places)
    x = np.delete(x, places)
    fewer.weigh(x)
    return fewer, descend(fewer, x, loss, 1e-7), said


def untold(key: str) -> Remark:
    """Return the remark that the capture does not tell a key."""
    return Remark(Outcome.UNDETERMINED, (key,))


def _of_start(remark: Remark, moved: float) -> Remark:
    """What is said about a key put back from ``moved``: a bound that its start is beyond is none."""
    side = Outcome.AT_LEAST if moved > 0 else Outcome.AT_MOST
    return untold(remark.keys[0]) if moved != 0 and remark.outcome is side else remark


def without_untold(problem: Problem, solution: Solution, loss: Loss) -> tuple[Problem, FloatArray]:
    """Put keys that the capture does not feel back to their start, if that lies on it as well.

    Parameters
    ----------
    problem, solution : Problem, Solution
        A fit on averages of middle width.
    loss : str
        Of the descent without those keys.
    """
    k, x, off = len(problem.keys), solution.values, problem.off(solution.values)
    # Residuals are not in units of their scatter yet, so the errors take it from themselves.
    scatter = float(np.mean(solution.residual**2)) / (off**2 if off > FAR_OFF else 1.0)
    alone = uncertainty(solution.jacobian, scatter).alone[:k]
    untold = [i for i in range(k) if not alone[i] < UNTOLD]
    back = x.copy()
    back[untold] = 0.0
    if not untold or np.sum(problem.residual(back) ** 2) > 1.01 * np.sum(solution.residual**2):
        return problem, x
    fewer = problem.without(untold)
    return fewer, descend(fewer, np.delete(x, untold), loss, 1e-4).values
