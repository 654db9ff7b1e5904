"""A panel in few nodes: where Newton's method begins on a long chain.

Each step is clipped, so that a panel that sags by two volts takes some twenty steps, whatever its size. They are
taken where they cost little, on a chain whose every node stands for a group of neighbours.

``Lumped``
    the rail and the picture in groups, and the way back to pixels
"""

from __future__ import annotations

import numpy as np

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.network import IntArray, Rail
from inrushlib.panel.newton import Voltages
from inrushlib.panel.settle import Settled

GROUP = 10
"""Pixels in a node."""
FEWEST_PIXELS = 1000
"""Below this a panel takes no longer than its groups would."""


class Lumped:
    """A rail in groups of neighbours, each drawn together in its middle pixel.

    Parameters
    ----------
    rail : Rail
        The network [SI].
    counts : array
        Pixels at each of its nodes [1].

    Attributes
    ----------
    rail : Rail
        The network of groups [SI].
    counts : array
        Pixels in each group [1].
    """

    def __init__(self, rail: Rail, counts: FloatArray) -> None:
        self._starts = np.arange(0, rail.pixels, GROUP)
        self._nodes = counts
        self.counts: FloatArray = np.add.reduceat(counts, self._starts)
        # A place on the chain is the resistance from its first pixel.
        self._places = np.append(0.0, np.cumsum(rail.segments))
        self._middles = self._places[(self._starts + np.append(self._starts[1:], rail.pixels)) // 2]
        ends, resistances = _joined(rail.link_ends // GROUP, rail.link_resistances, len(self.counts))
        self.rail = Rail(
            segments=np.diff(self._middles),
            feed_pixels=rail.feed_pixels // GROUP,
            feed_resistances=rail.feed_resistances,
            link_ends=ends,
            link_resistances=resistances,
        )

    def mean_duty(self, duty: FloatArray) -> FloatArray:
        """Duty of each group.

        Parameters
        ----------
        duty : array
            Of each node, shape (3, 1) or (3, N) [1].

        Returns
        -------
        array
            The mean over a group's pixels [1].
        """
        if duty.shape[1] == 1:
            return duty
        mean: FloatArray = np.add.reduceat(self._nodes * duty, self._starts, axis=1) / self.counts
        return mean

    def spread(self, found: Settled) -> Voltages:
        """Voltage of each node, straight from one group's middle to the next.

        Parameters
        ----------
        found : Settled
            Voltages of the groups [V].

        Returns
        -------
        Voltages
            Of front and nodes [V].
        """
        return Voltages(found.front, np.interp(self._places, self._middles, found.pixels))


def _joined(ends: IntArray, resistances: FloatArray, count: int) -> tuple[IntArray, FloatArray]:
    """Links between different groups, those between the same two as one."""
    low, high = ends.min(axis=1), ends.max(axis=1)
    apart = low != high
    pairs, which = np.unique(low[apart] * count + high[apart], return_inverse=True)
    conductances = np.bincount(which, weights=1.0 / resistances[apart], minlength=len(pairs))
    return np.stack([pairs // count, pairs % count], axis=1), 1.0 / conductances
