"""Points of the unit cube: replicates of a scrambled Sobol net, in chunks.

``Plan``    how many replicates of how many points
``plan``    the plan for a number of runs
``chunks``  the points, one chunk after the other
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.errors import UsageError

Array = NDArray[np.float64]

LEAST_REPLICATES: Final = 8
LEAST_RUNS: Final = 64
MOST_RUNS: Final = 2**31
LEAST_WATCHED: Final = 64
MOST_WATCHED: Final = 512
"""Runs of a replicate whose slacks are read, at least and at most [1]: a slack takes several runs."""
CHUNK: Final = 256
"""Most points of a chunk [1]: what a thread takes at a time, and what is held in memory."""


@dataclass(frozen=True)
class Plan:
    """How runs are shared out.

    Attributes
    ----------
    replicates : int
        Scrambles that are independent of each other [1], 8 to 15.
    points : int
        Points of each [1], a power of two.
    """

    replicates: int
    points: int

    @property
    def runs(self) -> int:
        """Runs in all [1]."""
        return self.replicates * self.points

    @property
    def watched(self) -> int:
        """Runs of each replicate whose slacks are read [1]: an eighth of them, not too few, not too many.

        They are the first of the replicate, a net of their own.
        """
        return min(self.points, max(LEAST_WATCHED, self.points // 8), MOST_WATCHED)


@dataclass(frozen=True)
class Chunk:
    """Some points of one replicate.

    Attributes
    ----------
    replicate : int
        Which [1].
    first : int
        Place of the first point among all [1].
    points : (n, d) array
        The points [1].
    watched : int
        How many of them, from the first, have their slacks read [1].
    """

    replicate: int
    first: int
    points: Array
    watched: int = 0


def plan(runs: int) -> Plan:
    """Return the plan for at least so many runs: 8 to 15 replicates of the most points that are a power of two.

    Parameters
    ----------
    runs : int
        Runs [1], 64 or more.

    Raises
    ------
    UsageError
        For fewer runs, or more than can be counted.

    Examples
    --------
    >>> plan(10_000), plan(10_000).runs
    (Plan(replicates=10, points=1024), 10240)
    """
    if not LEAST_RUNS <= runs <= MOST_RUNS:
        raise UsageError(f"runs: value {runs}; accepted: {LEAST_RUNS} to {MOST_RUNS}, whole")
    points = 1 << ((runs // LEAST_REPLICATES).bit_length() - 1)
    return Plan(-(-runs // points), points)


def chunks(planned: Plan, dimensions: int, seed: int, *, watch: bool = False) -> Iterator[Chunk]:
    """Yield the points, replicate by replicate; the same for the same seed.

    Two columns of a net can go together in short stretches of it, whatever scrambles them, and always the same two:
    which column a dimension has is drawn anew for each replicate.

    Parameters
    ----------
    planned : Plan
        How many.
    dimensions : int
        Columns of the points [1].
    seed : int
        Of all scrambles [1], 0 or more.
    watch : bool
        Whether slacks of the first points of each replicate are to be read.

    Yields
    ------
    Chunk
        The next points, a power of two of them.

    Examples
    --------
    >>> [found.points.shape for found in chunks(Plan(2, 256), 3, seed=1)]
    [(256, 3), (256, 3)]
    """
    from scipy.stats import qmc  # long to import, and not every answer needs points

    first = 0
    for replicate in range(planned.replicates):
        draw = np.random.default_rng([seed, replicate])
        net = qmc.Sobol(max(dimensions, 1), scramble=True, rng=draw)
        order = draw.permutation(dimensions)
        size = min(CHUNK, planned.points)
        for start in range(0, planned.points, size):
            watched = min(size, max(0, planned.watched - start)) if watch else 0
            yield Chunk(replicate, first, np.asarray(net.random(size))[:, order], watched)
            first += size
