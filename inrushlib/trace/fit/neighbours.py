"""Differences in a row that are off together, as noise does not make them.

``Neighbours``   where they are, and by how much
``worst_row``    the worst of a fit
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.trace.fit.observation import Observation, Settled

LENGTHS = (1, 2, 4, 8, 16)  # differences in a row


@dataclass(frozen=True)
class Neighbours:
    """Differences in a row.

    Attributes
    ----------
    size : float
        How far their mean is off, in standard deviations of such a mean [1]; noise alone stays below 6.
    quantity : str
        Of their channel.
    time : float
        Where their middle is, in the capture's time [s].
    """

    size: float
    quantity: str
    time: float


def worst_row(seen: Observation, settled: Settled) -> Neighbours:
    """Return the differences in a row whose mean is off most.

    Scatter over a capture does not show what is short: a false edge of a few averages among thousands.

    Parameters
    ----------
    seen : Observation
        The averages, with their weights.
    settled : Settled
        What is laid over them.
    """
    worst, begin, away = Neighbours(0.0, seen.quantities[0], 0.0), 0, seen.surely_off(settled)
    for i, q in enumerate(seen.quantities):
        middles = seen.middles[seen.good[:, i]]
        end = begin + len(middles)
        sums = np.append(0.0, np.cumsum(away[begin:end]))
        for n in LENGTHS:
            if n > len(middles):
                continue
            means = np.abs(sums[n:] - sums[:-n]) / np.sqrt(n)
            at = int(np.argmax(means))
            if means[at] > worst.size:
                worst = Neighbours(float(means[at]), q, float(np.mean(middles[at : at + n])))
        begin = end
    return worst
