"""How much knowing one value would settle, from the very runs of the odds: first-order indices.

``FirstOrder``  sums by bins of each dimension, in constant memory
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.interval import Estimate, jackknifed

Array = NDArray[np.float64]


class FirstOrder:
    """First-order indices of a quantity, from points and values as they come.

    The index of a dimension is the share of the variance that is gone, on average, once that dimension is known:
    ``S = Var(E(Y | x)) / Var(Y)``. Each dimension is cut into bins of equal width; the variance between their
    means, less what that of the values within the bins adds to it, is that of the conditional mean. For a yes or no
    it is the share of the doubt that knowing the dimension settles.

    Parameters
    ----------
    replicates, dimensions : int
        Independent replicates of the points, columns of them [1].
    points : int
        Points of a replicate [1].

    Notes
    -----
    Source: I. M. Sobol, "Sensitivity estimates for nonlinear mathematical models", Mathematical Modelling and
    Computational Experiment 1 (1993); the estimator is the correlation ratio by one-way analysis of variance.
    """

    def __init__(self, replicates: int, dimensions: int, points: int) -> None:
        self.bins = int(np.clip(points * replicates // 128, 4, 64))
        shape = (replicates, dimensions, self.bins)
        self._count, self._sum = np.zeros(shape), np.zeros(shape)
        self._total = np.zeros((replicates, 3))  # runs, sum, sum of squares

    def add(self, replicate: int, points: Array, values: Array) -> None:
        """Take in some points of one replicate and their values.

        Parameters
        ----------
        replicate : int
            Which [1].
        points : (n, d) array
            In the unit cube [1].
        values : (n,) array
            Of the quantity [any].
        """
        places = np.minimum((points * self.bins).astype(int), self.bins - 1)
        for i in range(points.shape[1]):
            self._count[replicate, i] += np.bincount(places[:, i], minlength=self.bins)
            self._sum[replicate, i] += np.bincount(places[:, i], weights=values, minlength=self.bins)
        self._total[replicate] += len(values), values.sum(), (values * values).sum()

    def indices(self) -> list[Estimate]:
        """Return the index of each dimension with its interval at 95 %, by the jackknife over replicates."""
        total = self._total.sum(axis=0)
        count, sums = self._count.sum(axis=0), self._sum.sum(axis=0)
        whole = self._index(count, sums, total)
        without = np.array(
            [
                self._index(count - each_count, sums - each_sum, total - each_total)
                for each_count, each_sum, each_total in zip(self._count, self._sum, self._total, strict=True)
            ]
        )
        return jackknifed(whole, without)

    def _index(self, count: Array, sums: Array, total: Array) -> Array:
        runs, whole, squares = total
        mean = whole / runs
        variance = squares / runs - mean * mean
        if not variance > 1e-12 * squares / runs:
            return np.zeros(len(count))
        with np.errstate(invalid="ignore", divide="ignore"):
            means = np.where(count > 0, sums / count, mean)
        between = (count * (means - mean) ** 2).sum(axis=1) / runs
        within = variance - between
        used = (count > 0).sum(axis=1)
        # The means of bins scatter by themselves: less that.
        return np.asarray((between - within * (used - 1) / np.maximum(runs - used, 1)) / variance)
