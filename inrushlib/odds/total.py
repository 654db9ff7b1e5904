"""How much of the doubt a value has a part in, alone and together with others: total indices.

``total_indices``  of any quantity over the unit cube
``yes_or_no``      the same of what is either so or not, with the interval that few changes allow
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.interval import Estimate, jackknifed, wilson
from inrushlib.odds.points import Plan, chunks

Array = NDArray[np.float64]


Groups = Sequence[Sequence[int]]


def total_indices(
    evaluate: Callable[[Array], Array], dimensions: int, planned: Plan, seed: int, groups: Groups | None = None
) -> list[Estimate]:
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
    groups : sequence of sequences of int or None
        Dimensions whose index is wanted together [1]; None for each alone. That of a group is no less than that of any
        of its members.

    Returns
    -------
    list of Estimate
        One a dimension, or a group [1].

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
    return _jackknife(*_sums(evaluate, dimensions, planned, seed, groups))


def yes_or_no(
    evaluate: Callable[[Array], Array], dimensions: int, planned: Plan, seed: int, groups: Groups | None = None
) -> list[Estimate]:
    """Return total indices of what is either so (1) or not (0).

    Replicates among which nothing changed would agree that nothing ever does: the interval reaches at least as far
    as Wilson's of the share of changes.

    Parameters
    ----------
    evaluate, dimensions, planned, seed, groups
        As for :func:`total_indices` [1]; the values are 0 or 1.

    Returns
    -------
    list of Estimate
        One a dimension, or a group [1].

    Examples
    --------
    >>> found = yes_or_no(lambda x: (x[:, 0] < 0.5) * 1.0, 2, Plan(8, 64), seed=1)
    >>> found[0].low > 0.9, found[1].value, round(found[1].high, 3)
    (True, 0.0, 0.015)
    """
    moved, total = _sums(evaluate, dimensions, planned, seed, groups)
    runs, share = planned.runs, total[:, 1].sum() / planned.runs
    variance = share * (1 - share)
    found = []
    for estimate, changes in zip(_jackknife(moved, total), 2 * moved.sum(axis=0), strict=True):
        most = wilson(round(changes), runs).high / (2 * variance) if variance > 0 else 1.0
        found.append(Estimate(estimate.value, estimate.low, min(1.0, float(max(estimate.high, most)))))
    return found


def _sums(
    evaluate: Callable[[Array], Array], dimensions: int, planned: Plan, seed: int, groups: Groups | None
) -> tuple[Array, Array]:
    """Half the squared changes of each group, and runs, sum and sum of squares, of each replicate."""
    wanted = [[i] for i in range(dimensions)] if groups is None else groups
    moved = np.zeros((planned.replicates, len(wanted)))
    total = np.zeros((planned.replicates, 3))
    for replicate, base, other in _pairs(planned, dimensions, seed):
        changed = np.repeat(base[None], len(wanted), axis=0)
        for rows, group in zip(changed, wanted, strict=True):
            rows[:, group] = other[:, group]
        found = evaluate(np.concatenate([base, *changed])).reshape(1 + len(wanted), len(base))
        total[replicate] += len(base), found[0].sum(), (found[0] * found[0]).sum()
        moved[replicate] += 0.5 * ((found[1:] - found[0]) ** 2).sum(axis=1)
    return moved, total


def _pairs(planned: Plan, dimensions: int, seed: int) -> Iterator[tuple[int, Array, Array]]:
    for chunk in chunks(planned, 2 * dimensions, seed):
        yield chunk.replicate, chunk.points[:, :dimensions], chunk.points[:, dimensions:]


def _jackknife(moved: Array, total: Array) -> list[Estimate]:
    most, runs = moved.sum(axis=0), total.sum(axis=0)
    without = [
        _ratio(most - each_moved, runs - each_total) for each_moved, each_total in zip(moved, total, strict=True)
    ]
    return jackknifed(_ratio(most, runs), np.array(without))


def _ratio(moved: Array, total: Array) -> Array:
    runs, whole, squares = total
    variance = squares / runs - (whole / runs) ** 2
    if not variance > 1e-12 * squares / runs:
        return np.zeros(len(moved))
    return np.asarray(moved / runs / variance)
