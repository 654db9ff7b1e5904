"""One linear solve of a Newton step on a panel's network.

``Steps``
    what both have in common: a definite system of the pixels, bordered by the front
``ChainSteps``
    a chain: tridiagonal
``LinkedSteps``
    with extra links: sparse
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

import numpy as np

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.network import Rail

REFINED = 1e-10
"""Largest residual of a refined solution, as a share of the largest right-hand side [1]."""
MOST_REFINEMENTS = 20
"""Refinements with an old factorisation, beyond which a new one costs less."""


class Steps(ABC):
    """Newton steps of pixels behind a front."""

    def __init__(self, rail: Rail) -> None:
        self.feed = 1.0 / rail.feed_resistances
        self.feed_pixels = rail.feed_pixels
        self.right = np.zeros((rail.pixels, 2), order="F")
        np.add.at(self.right[:, 1], rail.feed_pixels, self.feed)

    @abstractmethod
    def solve(self, slope: FloatArray) -> FloatArray:
        """Both columns of ``right`` solved for the pixels' conductances and their loads' ``slope`` [S]."""

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
        self.right[:, 0] = -surplus
        own, per_root = self.solve(slope).T
        # The pixels answer the root's step linearly; put that into the root's own row.
        reduced, right = jacobian.copy(), -front
        reduced[-1, -1] += self.feed.sum() - self.feed @ per_root[self.feed_pixels]
        right[-1] += self.feed @ own[self.feed_pixels]
        front_step = np.asarray(np.linalg.solve(reduced, right), dtype=np.float64)
        return front_step, own + per_root * front_step[-1]


class ChainSteps(Steps):
    """Newton steps of a chain without links: a definite tridiagonal system, time and memory linear."""

    def __init__(self, rail: Rail) -> None:
        # Long to import, and a start-up has no use for it.
        from scipy.linalg import solveh_banded

        super().__init__(rail)
        self._banded = solveh_banded
        conductance = 1.0 / rail.segments
        self.matrix = np.zeros((2, rail.pixels))
        self.matrix[1, :-1] = -conductance
        self.diagonal = self.right[:, 1].copy()
        self.diagonal[:-1] += conductance
        self.diagonal[1:] += conductance

    def solve(self, slope: FloatArray) -> FloatArray:
        """Both columns of ``right`` solved for the pixels' conductances and their loads' ``slope`` [S]."""
        self.matrix[0] = self.diagonal + slope
        if len(slope) == 1:
            # scipy's tridiagonal path does not take a matrix of one row.
            return np.asarray(self.right / self.matrix[0], dtype=np.float64)
        solved: FloatArray = self._banded(self.matrix, self.right, lower=True, check_finite=False)
        return solved


class LinkedSteps(Steps):
    """Newton steps of a network with extra links: a sparse factorisation, kept while it still serves.

    From one step to the next only the loads' slopes change, which are small beside the wires' conductances. A solution
    with the factors of an earlier step, refined by conjugate gradients, is as good and costs a fraction.
    """

    def __init__(self, rail: Rail) -> None:
        from scipy import sparse

        super().__init__(rail)
        chain = np.arange(rail.pixels)
        a = np.concatenate([chain[:-1], rail.link_ends[:, 0]])
        b = np.concatenate([chain[1:], rail.link_ends[:, 1]])
        g = 1.0 / np.concatenate([rail.segments, rail.link_resistances])
        rows, columns = np.concatenate([a, b, a, b, chain]), np.concatenate([a, b, b, a, chain])
        values = np.concatenate([g, g, -g, -g, self.right[:, 1]])
        self.matrix: Any = sparse.csc_array((values, (rows, columns)), shape=(rail.pixels, rail.pixels))
        self._on_diagonal = np.flatnonzero(self.matrix.indices == np.repeat(chain, np.diff(self.matrix.indptr)))
        self._diagonal = self.matrix.data[self._on_diagonal].copy()
        self._factors: Any = None

    def solve(self, slope: FloatArray) -> FloatArray:
        """Both columns of ``right`` solved for the pixels' conductances and their loads' ``slope`` [S]."""
        self.matrix.data[self._on_diagonal] = self._diagonal + slope
        refined = None if self._factors is None else self._refined()
        if refined is not None:
            return refined
        from scipy.sparse.linalg import splu

        # Symmetric and definite: nothing to pivot.
        self._factors = splu(
            self.matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        solved: FloatArray = self._factors.solve(self.right)
        return solved

    def _refined(self) -> FloatArray | None:
        """Conjugate gradients on both columns, the old factors as preconditioner; None where that takes too long."""
        wanted = REFINED * np.abs(self.right).max(axis=0)
        solution = self._factors.solve(self.right)
        left = self.right - self.matrix @ solution
        direction, before = np.zeros_like(left), np.ones(2)
        for _ in range(MOST_REFINEMENTS):
            if (np.abs(left).max(axis=0) <= wanted).all():
                return np.asarray(solution)
            towards = self._factors.solve(left)
            gain = (left * towards).sum(axis=0)
            direction = towards + gain / before * direction
            image = self.matrix @ direction
            bent = (direction * image).sum(axis=0)
            # A column that is solved to the last digit moves no more.
            length = np.divide(gain, bent, out=np.zeros(2), where=bent > 0.0)
            solution += length * direction
            left -= length * image
            before = np.where(gain > 0.0, gain, 1.0)
        return None
