"""A check of the intervals: residuals drawn anew in blocks."""

from __future__ import annotations

import numpy as np

from inrushlib.trace.fit.observation import root_weights
from inrushlib.trace.fit.problem import Point, Problem, Slopes
from inrushlib.trace.prepare import FloatArray

BLOCK_MEMORIES = 5.0  # length of a block, in what the residuals remember
STEPS = 2


def bootstrapped(problem: Problem, best: Point, slopes: Slopes, repeats: int, seed: int) -> FloatArray:
    """Return where fits to the model plus residuals drawn in blocks end, shape (repeats, keys).

    The blocks go round the end, so that each place is drawn as often as any other (circular block bootstrap: Politis
    and Romano 1992, from memory). Each repeat descends from the best fit by two steps with the slopes found there.

    Parameters
    ----------
    problem : Problem
        With the weights of the best fit.
    best : Point
        The best fit.
    slopes : Slopes
        There.
    repeats : int
        How many [1], at least 1.
    seed : int
        Of the draws [1], at least 0.
    """
    draw, seen = np.random.default_rng(seed), problem.seen
    weight = root_weights(best.residual)[:, None]
    project = np.linalg.pinv(weight * slopes.following) * weight.T
    counts = seen.good.sum(axis=0)
    channels = np.split(best.settled.residual[: counts.sum()], np.cumsum(counts)[:-1])
    found = []
    for _ in range(repeats):
        parts = [_in_blocks(c, seen.memory[q], draw) for q, c in zip(seen.quantities, channels, strict=True)]
        errors = draw.normal(size=len(best.residual) - counts.sum())
        errors[0] = 0.0
        errors[-len(problem.keys) :] = 0.0
        # New data are the model and drawn residuals, so the residual at any x moves by drawn minus own.
        added = np.append(np.concatenate(parts), errors) - best.residual
        x, residual = best.x, best.residual
        for step in range(STEPS):
            x = np.clip(x - project @ (residual + added), problem.lower, problem.upper)
            point = problem.point(x, slopes.errors(best, x)) if step + 1 < STEPS else None
            if point is None:
                break
            residual = point.residual
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
