"""How much of the doubt a value has a part in, alone and together with others: total indices.

``total_indices``  of any quantity over the unit cube
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.interval import Estimate, from_replicates
from inrushlib.odds.points import Plan, chunks

Array = NDArray[np.float64]


def total_indices(evaluate: Callable[[Array], Array], dimensions: int, planned: Plan, seed: int) -> list[Estimate]:
    """Return the total index of each dimension, with its interval at 95 % by the jackknife over replicates.

    The index is the share of the variance that is left, on average, while all other dimensions are known. One that is
    near 0 can be anything in its range: it does not matter, neither alone nor together with others.

    Parameters
    ----------
    evaluate : callable
        From (n, d) points of the unit cube to (n,) values.
    dimensions : int
        Columns of the points [1], above 0.
    planned : Plan
        How many base points; there are as many values of each, and one more for each dimension.
    seed : int
        Of all points [1].

    Returns
    -------
    list of Estimate
        One a dimension [1].

    Notes
    -----
    Source: M. J. W. Jansen, "Analysis of variance designs for model output", Computer Physics Communications 117
    (1999); the design of points as in A. Saltelli et al., Computer Physics Communications 181 (2010).

    Examples
    --------
    >>> found = total_indices(lambda x: x[:, 0] * 2 + x[:, 1], 3, Plan(8, 64), seed=1)
    >>> [round(each.value, 2) for each in found]
    [0.8, 0.2, 0.0]
    """
    moved = np.zeros((planned.replicates, dimensions))
    total = np.zeros((planned.replicates, 3))
    for replicate, base, other in _pairs(planned, dimensions, seed):
        at_base = evaluate(base)
        total[replicate] += len(base), at_base.sum(), (at_base * at_base).sum()
        for i in range(dimensions):
            changed = base.copy()
            changed[:, i] = other[:, i]
            moved[replicate, i] += 0.5 * ((evaluate(changed) - at_base) ** 2).sum()
    return _jackknife(moved, total)


def _pairs(planned: Plan, dimensions: int, seed: int) -> Iterator[tuple[int, Array, Array]]:
    for chunk in chunks(planned, 2 * dimensions, seed):
        yield chunk.replicate, chunk.points[:, :dimensions], chunk.points[:, dimensions:]


def _jackknife(moved: Array, total: Array) -> list[Estimate]:
    whole = _ratio(moved.sum(axis=0), total.sum(axis=0))
    r = len(total)
    without = np.array([_ratio(moved.sum(axis=0) - moved[k], total.sum(axis=0) - total[k]) for k in range(r)])
    pseudo = r * whole - (r - 1) * without
    found = []
    for i, value in enumerate(whole):
        spread = from_replicates(pseudo[:, i])
        half = (spread.high - spread.low) / 2
        found.append(Estimate(float(value), max(0.0, float(value) - half), min(1.0, float(value) + half)))
    return found


def _ratio(moved: Array, total: Array) -> Array:
    runs, whole, squares = total
    variance = squares / runs - (whole / runs) ** 2
    if not variance > 1e-12 * squares / runs:
        return np.zeros(len(moved))
    return np.asarray(moved / runs / variance)
