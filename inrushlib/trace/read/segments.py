"""What the times of a record show: appended segments, pairs of equal times, times that fall."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from inrushlib.errors import TraceError

FloatArray = NDArray[np.float64]


def find_segments(time: FloatArray, headed: set[int], line_of: Callable[[int], int]) -> list[int]:
    """The rows at which a new segment begins, the first among them.

    A time that falls back by at least half of what its segment has covered begins a new one, and so does any
    fall at a repeated header; another fall is an error.

    Parameters
    ----------
    time : ndarray
        Times [s].
    headed : set of int
        Rows right below a repeated header, from 0 [1].
    line_of : callable
        From a row to the number of its line, for messages.

    Returns
    -------
    list of int
        Rows, from 0.

    Raises
    ------
    TraceError
        Where a time falls and no segment begins there.

    Examples
    --------
    >>> find_segments(np.array([0.0, 1.0, 2.0, 0.0, 1.0]), set(), lambda row: row + 1)
    [0, 3]
    """
    begins = [0]
    for fall in np.flatnonzero(time[1:] < time[:-1]) + 1:
        row = int(fall)
        covered = time[row - 1] - time[begins[-1]]
        if row not in headed and (time[row] - time[begins[-1]] > 0.5 * covered or covered <= 0.0):
            raise TraceError(
                f"line {line_of(row)}: the time falls from {time[row - 1]:g} s to {time[row]:g} s; "
                "rising times are expected, or a new segment that starts over"
            )
        begins.append(row)
    return begins


def find_pairs(time: FloatArray) -> tuple[bool, str]:
    """Whether rows come in pairs of one time, and a sentence on equal times.

    Parameters
    ----------
    time : ndarray
        Times of one segment [s].

    Returns
    -------
    tuple of bool and str
        True for pairs; the sentence is empty when no two times are equal.

    Examples
    --------
    >>> find_pairs(np.array([0.0, 0.0, 1.0, 1.0]))[0]
    True
    """
    equal = time[1:] == time[:-1]
    number = int(np.count_nonzero(equal))
    if number == 0:
        return False, ""
    if len(time) % 2 == 0 and bool(equal[0::2].all()) and not bool(equal[1::2].any()):
        return True, "rows: in pairs of one time, lowest and highest value of that instant (peak detect)"
    return False, f"time: {number} samples have the time of the one before, as written"
