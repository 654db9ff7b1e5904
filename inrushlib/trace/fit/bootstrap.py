"""Errors of a fit from residuals drawn anew in blocks."""

from __future__ import annotations

import numpy as np

from inrushlib.trace.fit.least_squares import Solution
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.prepare import FloatArray

BLOCK_MEMORIES = 5.0  # length of a block, in what the residuals remember
STEPS = 2


def bootstrapped(problem: Problem, solution: Solution, repeats: int, seed: int) -> FloatArray:
    """Return the solutions of fits to the model plus residuals drawn in blocks, shape (repeats, parameters).

    Residuals in units of their own scatter are drawn in blocks that go round the end, so that each place is
    drawn as often as any other (circular block bootstrap: Politis and Romano 1992, from memory). Each repeat
    descends from the solution by two steps with the slopes found there.

    Parameters
    ----------
    problem : Problem
        With the weights of the solution.
    solution : Solution
        The fit.
    repeats : int
        How many [1], at least 1.
    seed : int
        Of the draws, at least 0.
    """
    draw = np.random.default_rng(seed)
    good = problem.averages.good
    scaled = problem.away(solution.values) / problem.weights.alone
    base = problem.residual(solution.values)
    project = np.linalg.pinv(solution.jacobian)
    found = []
    for _ in range(repeats):
        parts = []
        for i, quantity in enumerate(problem.quantities):
            here = good[:, i]
            drawn = _in_blocks(scaled[here, i], problem.weights.memory[quantity], draw)
            parts.append(drawn * problem.weights.alone[here, i] / problem.weights.counted[here, i])
        errors = draw.normal(size=problem.scope.count)
        # New data = model + drawn residuals: the residual at any x moves by drawn minus own.
        added = np.append(np.concatenate(parts), errors) - base
        x = solution.values
        for _ in range(STEPS):
            x = np.clip(x - project @ (problem.residual(x) + added), problem.lower, problem.upper)
        found.append(x)
    return np.array(found)


def _in_blocks(residual: FloatArray, remembers: float, draw: np.random.Generator) -> FloatArray:
    """Residuals of one channel drawn in blocks, their mean taken out."""
    n = len(residual)
    length = int(np.clip(np.ceil(BLOCK_MEMORIES * remembers), 1, max(1, n // 5)))
    first = draw.integers(0, n, size=-(-n // length))
    place = (first[:, None] + np.arange(length)).ravel()[:n] % n
    drawn: FloatArray = (residual - residual.mean())[place]
    return drawn
