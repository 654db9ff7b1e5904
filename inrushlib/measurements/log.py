"""Measured values of a build, newest last.

``Measurement``, ``Together``, ``MeasurementLog``, ``How``
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray


class How(StrEnum):
    """How a value was measured."""

    CAPTURE = "capture"
    BENCH = "bench"


@dataclass(frozen=True, kw_only=True)
class Measurement:
    """One measured value.

    Attributes
    ----------
    key : str
        Dotted.
    value : float
        What was measured; for a list, of every entry [unit of the key, SI].
    low, high : float or None
        Between which the true value is, with the probability ``level``; None where that side was not told
        [unit of the key, SI].
    level : float
        Probability, above 0 and below 1 [1].
    how : How
        On a capture or on the bench.
    source : str
        Name of the capture, or of what was read on the bench.
    day : date
        When.
    modelled : float or None
        What the build had before; None where that is not known [unit of the key, SI].
    """

    key: str
    value: float
    low: float | None
    high: float | None
    how: How
    source: str
    day: date
    level: float = 0.95
    modelled: float | None = None


@dataclass(frozen=True, kw_only=True)
class Together:
    """How the errors of several keys of one source go together.

    Attributes
    ----------
    source : str
        As in the rows that it belongs to.
    keys : tuple of str
        Dotted, two at least.
    correlation : tuple of tuple of float
        A row for each key: coefficients of correlation of their errors [1].
    """

    source: str
    keys: tuple[str, ...]
    correlation: tuple[tuple[float, ...], ...]

    @property
    def is_possible(self) -> bool:
        """Whether any errors can go together so: square, symmetric, 1 on its diagonal, no variance below 0."""
        count = len(self.keys)
        if len(self.correlation) != count or any(len(row) != count for row in self.correlation):
            return False
        table = np.array(self.correlation)
        if not np.all(np.isfinite(table)) or not np.allclose(table, table.T, atol=1e-6):
            return False
        # Written with a few digits, a table on the edge may lie just beyond it.
        return bool(np.allclose(np.diag(table), 1, atol=1e-6) and np.linalg.eigvalsh(table)[0] > -1e-3)


@dataclass(frozen=True)
class MeasurementLog:
    """All that has been measured of a build.

    Attributes
    ----------
    rows : tuple of Measurement
        Oldest first; of two rows for one key the later one holds.
    together : tuple of Together
        Oldest first; of two for one source the later one holds.

    Examples
    --------
    >>> row = Measurement(key="pixel.channel_current", value=0.012, low=0.0118, high=0.0122, how=How.BENCH,
    ...                   source="one tile white", day=date(2026, 3, 1))
    >>> log = MeasurementLog((row,))
    >>> log.newest()["pixel.channel_current"].value
    0.012
    """

    rows: tuple[Measurement, ...] = ()
    together: tuple[Together, ...] = ()

    def newest(self) -> dict[str, Measurement]:
        """Return the row that holds for each key, by dotted key."""
        return {row.key: row for row in self.rows}

    def extended(self, more: MeasurementLog) -> MeasurementLog:
        """Return the log with the rows of another below its own.

        Parameters
        ----------
        more : MeasurementLog
            What was measured later.
        """
        return MeasurementLog((*self.rows, *more.rows), (*self.together, *more.together))

    def beyond(self, known: MeasurementLog) -> MeasurementLog:
        """Return what the log has and another one does not.

        Parameters
        ----------
        known : MeasurementLog
            The other one.
        """
        rows = tuple(row for row in self.rows if row not in known.rows)
        sources = {row.source for row in rows}
        return MeasurementLog(rows, tuple(each for each in self.together if each.source in sources))

    def without(self, keys: Iterable[str]) -> MeasurementLog:
        """Return the log without all rows of some keys.

        Parameters
        ----------
        keys : iterable of str
            Dotted.
        """
        gone = frozenset(keys)
        return MeasurementLog(tuple(row for row in self.rows if row.key not in gone), self.together)

    def correlation(self, keys: tuple[str, ...]) -> NDArray[np.float64]:
        """Return how the errors of keys go together, by the rows that hold.

        Parameters
        ----------
        keys : tuple of str
            Dotted.

        Returns
        -------
        (k, k) array
            Coefficients of correlation [1]: 0 between keys of different sources.
        """
        newest = self.newest()
        table = np.eye(len(keys))
        for each in {each.source: each for each in self.together}.values():
            place = {key: i for i, key in enumerate(each.keys)}
            for i, one in enumerate(keys):
                for j, other in enumerate(keys):
                    of_one_source = all(
                        key in place and key in newest and newest[key].source == each.source for key in (one, other)
                    )
                    if i != j and of_one_source:
                        table[i, j] = each.correlation[place[one]][place[other]]
        return table


def problem_of(row: Measurement, low: float, high: float) -> str:
    """Say what is wrong with the numbers of a measurement; empty where nothing is.

    Parameters
    ----------
    row : Measurement
        A measurement.
    low, high : float
        Bounds of its key [unit of the key, SI].

    Examples
    --------
    >>> row = Measurement(key="bus.ceramic", value=2e-6, low=3e-6, high=None, how=How.BENCH, source="meter",
    ...                   day=date(2026, 3, 1))
    >>> problem_of(row, 0.0, 1.0)
    'low is above the value'
    """
    if not (math.isfinite(row.value) and low <= row.value <= high):
        return "its value is outside the bounds of the key"
    if row.low is not None and not row.low <= row.value:
        return "low is above the value"
    if row.high is not None and not row.high >= row.value:
        return "high is below the value"
    if not 0 < row.level < 1:
        return "its level is not between 0 and 1"
    return ""
