"""What is known of a value once it has been measured, and how values of one capture go together.

``Posterior``      of one value: a two-piece normal distribution, or flat on a side that the measurement left open
``posterior_of``   from a measurement
``mixing_of``      from coefficients of correlation to a matrix that makes independent normal numbers so
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import log, pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.measurements import Measurement
from inrushlib.odds.normal import at_share, share_below

Array = NDArray[np.float64]

CUT: Final = 3.0
"""Standard deviations at which a normal distribution is cut, or the interval's own number where that is more [1]."""


class Falls(StrEnum):
    """How the density falls off to one side of the measured value."""

    NORMAL = "normal"
    EVEN = "even"
    BY_FACTOR = "by factor"


@dataclass(frozen=True, kw_only=True)
class Side:
    """What is known on one side of the measured value.

    Attributes
    ----------
    value, end : float
        The measured value, and where this side ends [unit of the key].
    falls : Falls
        How the density falls off: as a normal distribution, or not at all (evenly, or evenly by factor).
    sigma : float
        Standard deviation of a normal one [unit of the key].
    """

    value: float
    end: float
    falls: Falls
    sigma: float = 0.0

    @property
    def mass(self) -> float:
        """Integral of the density, which is 1 at the measured value [unit of the key]."""
        match self.falls:
            case Falls.NORMAL:
                return self.sigma * sqrt(pi / 2)
            case Falls.EVEN:
                return abs(self.end - self.value)
        return self.value * abs(log(self.end / self.value))

    def at(self, share: Array) -> Array:
        """Return values by the share of this side that lies farther out.

        Parameters
        ----------
        share : array
            From 0, at the far end, to 1, at the measured value [1].
        """
        match self.falls:
            case Falls.NORMAL:
                way = 1.0 if self.end > self.value else -1.0
                return np.asarray(self.value - way * self.sigma * at_share(0.5 * np.maximum(share, 1e-300)))
            case Falls.EVEN:
                return np.asarray(self.end + share * (self.value - self.end))
        return np.asarray(self.end * (self.value / self.end) ** share)

    def farther(self, values: Array) -> Array:
        """Return the share of this side that lies farther out than values of it [1].

        Parameters
        ----------
        values : array
            On this side [unit of the key].
        """
        if self.end == self.value:
            return np.ones_like(values)
        match self.falls:
            case Falls.NORMAL:
                return np.asarray(2.0 * share_below(-np.abs(values - self.value) / self.sigma))
            case Falls.EVEN:
                return np.asarray((values - self.end) / (self.value - self.end))
        return np.asarray(np.log(values / self.end) / log(self.value / self.end))


@dataclass(frozen=True, kw_only=True)
class Posterior:
    """What is known of one value: most likely what was measured, less likely the farther from it.

    A two-piece normal distribution has a standard deviation of its own on either side of its most likely value, and no
    jump there. A side that the measurement left open is as likely all the way as at the measured value.

    Attributes
    ----------
    below, above : Side
        On either side of the measured value.

    Notes
    -----
    Source: K. F. Wallis, "The two-piece normal, binormal, or double Gaussian distribution: its origin and
    rediscoveries", Statistical Science 29 (2014), equation 1.
    """

    below: Side
    above: Side

    @property
    def _share_below(self) -> float:
        return self.below.mass / (self.below.mass + self.above.mass)

    def at(self, share: Array) -> Array:
        """Return the values that given shares of the distribution lie below.

        Parameters
        ----------
        share : array
            From 0 to 1 [1].

        Examples
        --------
        >>> from datetime import date
        >>> from inrushlib.measurements import How
        >>> row = Measurement(key="adapter.limit_current", value=3.5, low=3.4, high=3.7, level=0.95, how=How.CAPTURE,
        ...                   source="evening", day=date(2026, 3, 1))
        >>> known = posterior_of(row, 3.0, 4.0, by_factor=False)
        >>> # One third of it is below the value, for the side below is half as wide.
        >>> known.at(np.array([1 / 3])).round(6).tolist(), known.share(np.array([3.4])).round(4).tolist()
        ([3.5], [0.0167])
        """
        first = self._share_below
        below = self.below.at(np.minimum(share / first, 1.0)) if first > 0 else self.below.value
        above = self.above.at(np.minimum((1.0 - share) / (1.0 - first), 1.0)) if first < 1 else self.above.value
        return np.asarray(np.where(share < first, below, above))

    def share(self, values: Array) -> Array:
        """Return the share of the distribution that lies below values [1].

        Parameters
        ----------
        values : array
            Between the ends of both sides [unit of the key].
        """
        middle, first = self.below.value, self._share_below
        below = first * self.below.farther(np.minimum(values, middle))
        above = 1.0 - (1.0 - first) * self.above.farther(np.maximum(values, middle))
        return np.asarray(np.clip(np.where(values < middle, below, above), 0.0, 1.0))


def posterior_of(row: Measurement, low: float, high: float, *, by_factor: bool) -> Posterior | None:
    """Return what is known of a value after a measurement; None where it leaves no doubt.

    Parameters
    ----------
    row : Measurement
        The measurement, told on one side at least.
    low, high : float
        Where a side ends that it left open: the ends of the key's own range [unit of the key].
    by_factor : bool
        Whether an open side is as likely by factor.
    """
    z = float(at_share(0.5 + row.level / 2))
    below = _side(row.value, row.low, min(low, row.value), z, by_factor)
    above = _side(row.value, row.high, max(high, row.value), z, by_factor)
    return Posterior(below=below, above=above) if below.mass + above.mass > 0 else None


def _side(value: float, told: float | None, end: float, z: float, by_factor: bool) -> Side:
    if told is None:
        falls = Falls.BY_FACTOR if by_factor and min(value, end) > 0 else Falls.EVEN
        return Side(value=value, end=end, falls=falls)
    sigma = abs(told - value) / z
    return Side(value=value, end=value + max(CUT, z) * (told - value) / z, falls=Falls.NORMAL, sigma=sigma)


def mixing_of(correlation: Array) -> Array:
    """Return a matrix whose product with independent standard normal numbers gives them these correlations.

    Parameters
    ----------
    correlation : (k, k) array
        Coefficients of correlation [1]; a variance that rounding made negative counts as zero.

    Returns
    -------
    (k, k) array
        Lower triangular [1].

    Examples
    --------
    >>> mixing_of(np.array([[1.0, 0.6], [0.6, 1.0]])).round(6).tolist()
    [[1.0, 0.0], [0.6, 0.8]]
    """
    sizes, ways = np.linalg.eigh(correlation)
    lower = np.linalg.qr((ways * np.sqrt(np.maximum(sizes, 0.0))).T)[1].T
    lower = lower * np.where(np.diag(lower) < 0, -1.0, 1.0)
    return np.asarray(lower / np.linalg.norm(lower, axis=1)[:, None])
