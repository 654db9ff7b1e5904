"""Other valleys of the misfit than the one that a descent ended in.

``lowest_valley``   the lowest foot of descents that begin where one key was moved and the misfit is less

A weak edge lies below what a search in units of the range sees, and a descent feels it only from next to it:
so keys are moved one by one over a wide range, and judged in units of the noise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

import numpy as np

from inrushlib.build import build_keys
from inrushlib.startup import Curves
from inrushlib.startup.simulate import SCREEN_TOLERANCE
from inrushlib.trace.align import find_shift
from inrushlib.trace.fit.descent import MIDDLE, cost, descend
from inrushlib.trace.fit.least_squares import Loss, Solution
from inrushlib.trace.fit.problem import COARSE, USUAL, Problem
from inrushlib.trace.prepare import FloatArray

# Factors of a key. An instant meets its edge within a few hundredths; all else moves levels, in wider valleys.
INSTANTS = np.geomspace(0.4, 2.5, 62)
LEVELS = np.geomspace(0.4, 2.5, 18)
BETTER = 2.0  # fall of the sum of squares from which another valley is worth a descent
SLIGHTLY_OFF = 1.1  # scatter over noise, from which start values and shift are doubted too
ROUNDS = 3  # of looking and descending
DESCENTS = 3  # a round
TOGETHER = 8  # runs kept at a time
GRID = 600  # stretches of the capture that a shift is looked for with

Begin = tuple[float, FloatArray]


def lowest_valley(problem: Problem, solution: Solution, loss: Loss) -> Solution:
    """Return the solution, or a lower one.

    Parameters
    ----------
    problem : Problem
        What is fitted; it is left on averages of middle width.
    solution : Solution
        Where a descent on such averages ended.
    loss : str
        Of the descents.
    """
    for _ in range(ROUNDS):
        problem.use(MIDDLE)
        problem.weigh(solution.values)
        problem.run_as_told(solution.values, COARSE, USUAL)
        level = cost(problem.residual(solution.values))
        lower = None
        for _, x in _begins(problem, solution.values)[:DESCENTS]:
            other = descend(problem, x, loss, 1e-3)
            if cost(other.residual) < level - BETTER:
                lower, level = other, cost(other.residual)
        if lower is None:
            break
        solution = lower
    return descend(problem, solution.values, loss, 1e-4)


def _begins(problem: Problem, x: FloatArray) -> list[Begin]:
    """Where descents are worth it, lowest first: one a key of those that lie lower, and one near the start values."""
    off = problem.off(x) > SLIGHTLY_OFF
    fine = problem.tolerance
    problem.run_to(SCREEN_TOLERANCE)
    level = cost(problem.residual(x))
    found = [min(_along(problem, x, i, placed=off), key=lambda begin: begin[0]) for i in range(len(problem.keys))]
    found = [begin for begin in found if begin[0] < level - BETTER]
    if off:
        start = problem.nothing
        start[len(problem.keys) :] = x[len(problem.keys) :]
        around = [begin for i in range(len(problem.keys)) for begin in _along(problem, start, i, placed=True)]
        found.append(min(around, key=lambda begin: begin[0]))
    problem.run_to(fine)
    return sorted(found, key=lambda begin: begin[0])


def _along(problem: Problem, x: FloatArray, i: int, *, placed: bool) -> list[Begin]:
    """One key moved to either side, as it is, and ``placed`` at the shift that lies best as well."""
    factors = INSTANTS if build_keys()[problem.keys[i]].unit == "s" else LEVELS
    trials = []
    for factor in factors:
        trial = x.copy()
        trial[i] = np.clip(x[i] + np.log(factor), problem.lower[i], problem.upper[i])
        trials.append(trial)
    return _judged(problem, trials, placed=placed)


def _runs(problem: Problem, trials: Sequence[FloatArray]) -> Iterator[Iterable[tuple[FloatArray, Curves | None]]]:
    """Trials with their runs, a few at a time: a run of many switchings fills some megabytes."""
    for first in range(0, len(trials), TOGETHER):
        some = trials[first : first + TOGETHER]
        yield zip(some, problem.run_all(some), strict=True)


def _judged(problem: Problem, trials: Sequence[FloatArray], *, placed: bool) -> list[Begin]:
    k, found = len(problem.keys), []
    for trial, run in chain.from_iterable(_runs(problem, trials)):
        problem.keep(trial, run)
        found.append((cost(problem.residual(trial)) if run is not None else np.inf, trial))
        if placed and run is not None:
            moved = trial.copy()
            moved[k] = find_shift(problem.measured, run, GRID) / problem.span
            found.append((cost(problem.residual(moved)), moved))
    return found
