"""One linear solve of a Newton step on a panel's network.

``ChainSteps``
    a chain: a tridiagonal system bordered by the front
``LinkedSteps``
    with extra links: a sparse system
"""

from __future__ import annotations

from typing import Any

import numpy as np

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.network import Rail


class ChainSteps:
    """Newton steps of a chain without links: a definite tridiagonal system, time and memory linear."""

    def __init__(self, rail: Rail) -> None:
        # Long to import, and a start-up has no use for it.
        from scipy.linalg import solveh_banded

        self._solve = solveh_banded
        conductance = 1.0 / rail.segments
        self.feed = 1.0 / rail.feed_resistances
        self.feed_pixels = rail.feed_pixels
        self.matrix = np.zeros((2, rail.pixels))
        self.matrix[1, :-1] = -conductance
        self.diagonal = np.zeros(rail.pixels)
        self.diagonal[:-1] += conductance
        self.diagonal[1:] += conductance
        np.add.at(self.diagonal, rail.feed_pixels, self.feed)
        self.right = np.zeros((rail.pixels, 2), order="F")
        np.add.at(self.right[:, 1], rail.feed_pixels, self.feed)

    def step(
        self, surplus: FloatArray, slope: FloatArray, front: FloatArray, jacobian: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Steps of the front's nodes and of the pixels [V] that would cancel the surplus currents [A].

        Parameters
        ----------
        surplus, slope : array
            What leaves each pixel's node beyond what arrives [A], and the slope of its load [S].
        front, jacobian : array
            The same of the front's nodes [A], and their Jacobian [S].
        """
        self.matrix[0] = self.diagonal + slope
        self.right[:, 0] = -surplus
        if len(surplus) == 1:
            # scipy's tridiagonal path does not take a matrix of one row.
            own, per_root = (self.right / self.matrix[0]).T
        else:
            own, per_root = self._solve(self.matrix, self.right, lower=True, check_finite=False).T
        # The pixels answer the root's step linearly; put that into the root's own row.
        reduced, right = jacobian.copy(), -front
        reduced[-1, -1] += self.feed.sum() - self.feed @ per_root[self.feed_pixels]
        right[-1] += self.feed @ own[self.feed_pixels]
        front_step = np.asarray(np.linalg.solve(reduced, right), dtype=np.float64)
        return front_step, own + per_root * front_step[-1]


class LinkedSteps:
    """Newton steps of a network with extra links: sparse LU of the whole."""

    def __init__(self, rail: Rail, front_size: int) -> None:
        from scipy import sparse

        self.core = front_size
        chain = np.arange(rail.pixels)
        a = np.concatenate([chain[:-1], rail.link_ends[:, 0]]) + front_size
        b = np.concatenate([chain[1:], rail.link_ends[:, 1]]) + front_size
        g = 1.0 / np.concatenate([rail.segments, rail.link_resistances])
        a = np.concatenate([a, np.full(len(rail.feed_pixels), front_size - 1)])
        b = np.concatenate([b, rail.feed_pixels + front_size])
        g = np.concatenate([g, 1.0 / rail.feed_resistances])
        rows, columns = np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])
        size = rail.pixels + front_size
        self.rail_part = sparse.csc_array((np.concatenate([g, g, -g, -g]), (rows, columns)), shape=(size, size))

    def step(
        self, surplus: FloatArray, slope: FloatArray, front: FloatArray, jacobian: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Steps of the front's nodes and of the pixels [V] that would cancel the surplus currents [A].

        Parameters
        ----------
        surplus, slope : array
            What leaves each pixel's node beyond what arrives [A], and the slope of its load [S].
        front, jacobian : array
            The same of the front's nodes [A], and their Jacobian [S].
        """
        from scipy import sparse
        from scipy.sparse.linalg import splu

        rest = sparse.block_diag([sparse.coo_array(jacobian), sparse.diags_array(slope)], format="csc")
        matrix: Any = (self.rail_part + rest).tocsc()
        step = splu(matrix, permc_spec="MMD_AT_PLUS_A").solve(-np.concatenate([front, surplus]))
        return step[: self.core], step[self.core :]
