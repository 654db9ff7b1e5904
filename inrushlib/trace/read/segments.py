"""What the times of a record show: appended segments, pairs of equal times, times that fall."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.settings import WITHOUT_TIMES, Advice, Setting, Wording, refused, wording

FloatArray = NDArray[np.float64]
_TURNING = 0.05  # of the steps between pairs of low and high, that lead back at least
_ROUNDED = 0.2  # of the rows with the time of the one before, from which times look rounded


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
    CaptureRefused
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
            raise refused(
                f"line {line_of(row)}: the time falls from {time[row - 1]:g} s to {time[row]:g} s; "
                "rising times are expected, or a new segment that starts over; ",
                *WITHOUT_TIMES,
            )
        begins.append(row)
    return begins


def find_pairs(time: FloatArray, arrays: Sequence[FloatArray]) -> tuple[bool, str, Wording | None]:
    """Whether rows come in pairs of one time, lowest and highest of that instant; a sentence and a hint on equal times.

    Times that were rounded come in pairs too, but not in an order of low and high.

    Parameters
    ----------
    time : ndarray
        Times of one segment [s].
    arrays : sequence of ndarray
        The channels' samples [any unit].

    Returns
    -------
    tuple of bool, str and Wording or None
        True for pairs; the sentence is empty when no two times are equal.

    Examples
    --------
    >>> find_pairs(np.array([0.0, 0.0, 1.0, 1.0]), [np.array([4.0, 5.0, 4.1, 5.1])])[0]
    True
    >>> find_pairs(np.array([0.0, 0.0, 1.0, 1.0]), [np.array([4.0, 5.0, 5.1, 4.1])])[0]
    False
    """
    equal = time[1:] == time[:-1]
    number = int(np.count_nonzero(equal))
    if number == 0:
        return False, "", None
    by_twos = len(time) % 2 == 0 and bool(equal[0::2].all()) and not bool(equal[1::2].any())
    if by_twos and all(map(_low_and_high, arrays)):
        return True, "rows: in pairs of one time, lowest and highest value of that instant (peak detect)", None
    said = f"time: {number} samples have the time of the one before, as written"
    step = float(time[-1] - time[0]) / (len(time) - 1)
    rounded_to = float(np.max(np.diff(time)))
    away = np.abs(time - time[0] - step * np.arange(len(time)))
    if number < _ROUNDED * len(time) or not step > 0 or float(away.max()) > rounded_to:
        return False, said, None
    advice = Advice(Setting.INTERVAL, f"{step:.4g}")
    return False, said, wording("the times look rounded: ", advice, " spaces the rows evenly")


def _low_and_high(values: FloatArray) -> bool:
    """Whether the pairs of a channel are all low then high, or all high then low, and turn back between."""
    pairs = values[: len(values) // 2 * 2].reshape(-1, 2)
    inside = pairs[:, 1] - pairs[:, 0]
    between = pairs[1:, 0] - pairs[:-1, 1]
    inside, between = inside[np.isfinite(inside)], between[np.isfinite(between)]
    for sign in (1.0, -1.0):
        # A curve that only rises has its pairs in order too, but does not fall back between them.
        back = np.count_nonzero(sign * between < 0) >= _TURNING * np.count_nonzero(between)
        if back and bool(np.all(sign * inside >= 0)):
            return True
    return False
