"""Where a descent begins: from the build's own values, or, where that ends too far off, from a search.

``starting_point``   keys and shift near enough for a descent on wide averages
``searched_again``   the same after a descent that stayed off the capture
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.startup import Curves, curve_named
from inrushlib.trace.align import find_shift, misfit
from inrushlib.trace.averages import Integrals
from inrushlib.trace.features import curve_figures
from inrushlib.trace.fit.least_squares import Loss, solve
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.prepare import FloatArray

SCAN = (np.geomspace(0.3, 3.0, 9), np.geomspace(0.7, 1.4, 7))  # factors of the first and the second round
FINE_SCAN = np.geomspace(0.9, 1.1, 9)  # of the third, where a descent stayed off the capture
WORTH = 0.9  # of the misfit, that a move must leave to be worth another round
NEAR = 2e-4  # mean square in units of the range: some 1.4 % apart, from which no search is needed
WIDE = (30, 150)  # stretches of the capture, one descent after the other
GRID = 600  # stretches of the capture that a shift is looked for with


def starting_point(problem: Problem, loss: Loss, outlier: float) -> FloatArray:
    """Return x after a descent on wide averages.

    Parameters
    ----------
    problem : Problem
        What is to be fitted; it is left on wide averages.
    loss : str
        Of the descent.
    outlier : float
        Residual from which it is robust [1], above 0.
    """
    problem.use(WIDE[-1])
    x, cost = _try_boot_time(problem, *_place(problem, [problem.nothing])[0])
    x, cost = _down(problem, x, cost, loss, outlier)
    if not cost < NEAR:
        searched, below = _scan(problem, x if np.isfinite(cost) else problem.nothing, cost)
        x, cost = _down(problem, searched, below, loss, outlier)
    if not np.isfinite(cost):
        raise TraceError("the model cannot be run at or near the build's values", problem.measured.name)
    return x


def searched_again(problem: Problem, x: FloatArray, loss: Loss, outlier: float) -> FloatArray:
    """Return x after a search from where a descent ended too far off.

    Parameters
    ----------
    problem : Problem
        What is to be fitted; it is left on wide averages.
    x : (n,) array
        Where the descent ended.
    loss : str
        Of the next descent.
    outlier : float
        Residual from which it is robust [1], above 0.
    """
    ends = []
    for begin in (x, problem.nothing):
        problem.use(WIDE[-1])
        found, cost = _scan(problem, begin, np.inf, (*SCAN, FINE_SCAN), near=0.0)
        ends.append(_down(problem, found, cost, loss, outlier))
    return min(ends, key=lambda end: end[1])[0]


def _cost(problem: Problem, x: FloatArray, curves: Curves | None) -> float:
    if curves is None:
        return np.inf
    total = misfit(problem.averages, Integrals(curves, problem.quantities), problem.shift(x))
    return total / len(problem.quantities)


def _place(problem: Problem, points: Iterable[FloatArray]) -> list[tuple[FloatArray, float]]:
    """Each point at its best shift, and how far off it is."""
    points = list(points)
    placed = []
    for x, curves in zip(points, problem.run_all(points), strict=True):
        moved = x.copy()
        if curves is not None:
            moved[len(problem.keys)] = find_shift(problem.measured, curves, GRID) / problem.span
        placed.append((moved, _cost(problem, moved, curves)))
    return placed


def _down(problem: Problem, x: FloatArray, cost: float, loss: Loss, outlier: float) -> tuple[FloatArray, float]:
    """Descend on averages less and less wide: an edge is felt about as far away as a stretch is wide."""
    for count in WIDE:
        problem.use(count)
        cost = _cost(problem, x, problem.run_all([x])[0])
        x, cost = _better(problem, x, cost, loss, outlier)
    return x, cost


def _better(problem: Problem, x: FloatArray, cost: float, loss: Loss, outlier: float) -> tuple[FloatArray, float]:
    """Descend from x; where that ends farther off, stay."""
    if not np.isfinite(cost):
        return x, cost
    found = solve(
        problem.residual, x, problem.lower, problem.upper, jacobian=problem.jacobian, loss=loss, outlier=outlier,
        fineness=1e-2, most_steps=20,
    )  # fmt: skip
    below = _cost(problem, found.values, problem.run_all([found.values])[0])
    return (found.values, below) if below <= cost else (x, cost)


def _scan(
    problem: Problem, x: FloatArray, cost: float, rounds: Sequence[FloatArray] = SCAN, near: float = NEAR
) -> tuple[FloatArray, float]:
    """Move the one key that helps most up or down, again and again, far at first, then less far."""
    for factors in rounds:
        for _ in range(1 + len(problem.keys)):
            trials = []
            for i in range(len(problem.keys)):
                for factor in factors:
                    trial = x.copy()
                    trial[i] = np.clip(x[i] + np.log(factor), problem.lower[i], problem.upper[i])
                    trials.append(trial)
            best, below = min(_place(problem, trials), key=lambda found: found[1])
            if not below < WORTH * cost:
                break
            x, cost = best, below
            if cost < near:
                return x, cost
    return x, cost


def _try_boot_time(problem: Problem, x: FloatArray, cost: float) -> tuple[FloatArray, float]:
    """Move the boot time by what the release is late, where both show one."""
    key = "controller.boot_time"
    if key not in problem.keys or not np.isfinite(cost):
        return x, cost
    i, time = problem.keys.index(key), problem.measured.time
    run = problem.integrals(x)
    if run is None:
        return x, cost
    trials = []
    for quantity, values, modelled in zip(
        problem.quantities, problem.measured.curves.values(), run.values(time + problem.shift(x)).T, strict=True
    ):
        current = curve_named(quantity).is_current
        ours, theirs = (curve_figures(time, v, current=current).release_at for v in (values, modelled))
        if ours is None or theirs is None or problem.values(x)[i] + ours - theirs <= 0:
            continue
        trial = x.copy()
        trial[i] = np.clip(x[i] + np.log1p((ours - theirs) / problem.values(x)[i]), problem.lower[i], problem.upper[i])
        trials.append(trial)
    return min([(x, cost), *_place(problem, trials)], key=lambda found: found[1])
