"""Honest intervals of a share: from replicated scrambles, and for independent runs.

``replicated``  of a share seen in replicates of a scrambled net, each a fair estimate of its own
``wilson``      of a share seen in independent runs
``jackknifed``  of shares that are worked out of sums over all replicates
``Estimate``    a value with its interval
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.normal import at_share

Array = NDArray[np.float64]

LEVEL: Final = 0.95
"""How often an interval is to hold the true value [1]."""
FEW: Final = 10
"""Runs on the rarer side below which replicates say too little of their own scatter [1]."""


@dataclass(frozen=True)
class Estimate:
    """A value with its interval.

    Attributes
    ----------
    value, low, high : float
        Of what is estimated [its unit].
    """

    value: float
    low: float
    high: float


def wilson(count: int, runs: int) -> Estimate:
    """Return a share and its Wilson interval at 95 %, for independent runs.

    Parameters
    ----------
    count, runs : int
        How many of how many [1]; runs above 0.

    Returns
    -------
    Estimate
        The share [1].

    Notes
    -----
    Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of the
    American Statistical Association 22 (1927).

    Examples
    --------
    >>> found = wilson(0, 10)
    >>> found.low, round(found.high, 4)
    (0.0, 0.2775)
    """
    z = _normal()
    share = count / runs
    middle = (share + z * z / (2 * runs)) / (1 + z * z / runs)
    half = z / (1 + z * z / runs) * sqrt(share * (1 - share) / runs + z * z / (4 * runs * runs))
    low = 0.0 if count == 0 else max(0.0, middle - half)
    high = 1.0 if count == runs else min(1.0, middle + half)
    return Estimate(share, low, high)


def replicated(counts: NDArray[np.int64], runs: int) -> Estimate:
    """Return a share and its interval at 95 % from replicates of a scrambled net.

    Each replicate is a net with a scramble of its own, so its share is without bias and independent of the others:
    the interval is Student's over the replicates. What replicates cannot show is added: where all agree within a
    count, half a count of one of them; and where fewer than ten runs are on the rarer side, the interval of
    independent runs, which a scrambled net does not exceed by more than a small factor, is taken if it is wider.

    Parameters
    ----------
    counts : (r,) array of int
        How many of each replicate's runs [1].
    runs : int
        Runs of each replicate [1].

    Returns
    -------
    Estimate
        The share [1].

    Notes
    -----
    Source: A. B. Owen, "Monte Carlo theory, methods and examples" (2013), chapter 17 (replicated scrambles); the
    bound of a scrambled net's variance by that of independent runs: same place (from memory).

    Examples
    --------
    >>> found = replicated(np.array([50, 51, 49, 50, 50, 52, 48, 50]), 100)
    >>> round(found.value, 3), round(found.low, 3), round(found.high, 3)
    (0.5, 0.49, 0.51)
    """
    total = runs * len(counts)
    count = int(counts.sum())
    share = count / total
    spread = float(np.std(counts / runs, ddof=1)) / sqrt(len(counts))
    half = max(_student(len(counts) - 1) * spread, 0.25 / runs)
    low, high = max(0.0, share - half), min(1.0, share + half)
    if min(count, total - count) < FEW:
        independent = wilson(count, total)
        low, high = min(low, independent.low), max(high, independent.high)
    low = 0.0 if count == 0 else low
    high = 1.0 if count == total else high
    return Estimate(share, low, high)


def from_replicates(values: Array) -> Estimate:
    """Return the mean of independent estimates and Student's interval at 95 %.

    Parameters
    ----------
    values : (r,) array
        One estimate a replicate [unit of what is estimated].

    Returns
    -------
    Estimate
        Their mean.

    Examples
    --------
    >>> found = from_replicates(np.array([1.0, 2.0, 3.0]))
    >>> found.value, round(found.low, 3)
    (2.0, -0.484)
    """
    mean = float(np.mean(values))
    half = _student(len(values) - 1) * float(np.std(values, ddof=1)) / sqrt(len(values))
    return Estimate(mean, mean - half, mean + half)


def jackknifed(whole: Array, without: Array) -> list[Estimate]:
    """Return shares and their intervals at 95 % by the jackknife over replicates; each within 0 to 1.

    Parameters
    ----------
    whole : (d,) array
        Shares by all replicates together [1].
    without : (r, d) array
        The same with one replicate left out, a row each [1].

    Returns
    -------
    list of Estimate
        The shares [1].

    Notes
    -----
    Source: M. H. Quenouille, "Notes on bias in estimation", Biometrika 43 (1956); J. W. Tukey, "Bias and confidence
    in not quite large samples", Annals of Mathematical Statistics 29 (1958): pseudo-values taken as independent (both
    from memory).

    Examples
    --------
    >>> (found,) = jackknifed(np.array([0.5]), np.array([[0.49], [0.5], [0.51]]))
    >>> found.value, round(found.low, 3), round(found.high, 3)
    (0.5, 0.45, 0.55)
    """
    r = len(without)
    pseudo = r * whole - (r - 1) * without
    found = []
    for value, column in zip(whole, pseudo.T, strict=True):
        spread = from_replicates(column)
        half = (spread.high - spread.low) / 2
        found.append(Estimate(*(min(1.0, max(0.0, float(each))) for each in (value, value - half, value + half))))
    return found


def _normal() -> float:
    """Half the interval in standard deviations [1], for many independent runs."""
    return float(at_share(0.5 + LEVEL / 2))


def _student(freedom: int) -> float:
    """Half the interval in standard errors [1], for replicates with that many degrees of ``freedom``."""
    from scipy.special import stdtrit  # long to import, and only odds need it

    return float(stdtrit(freedom, 0.5 + LEVEL / 2))
