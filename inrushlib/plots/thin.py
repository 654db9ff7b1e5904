"""Curves with fewer points, peaks kept."""

from __future__ import annotations

import numpy as np

from inrushlib.trace.prepare import FloatArray

MOST_POINTS = 4000


def envelope(time: FloatArray, values: FloatArray, most: int = MOST_POINTS) -> tuple[FloatArray, FloatArray]:
    """Return a curve thinned to lowest and highest of each stretch, so that peaks stay visible.

    Parameters
    ----------
    time : (n,) array
        Instants [s], rising.
    values : (n,) array
        Samples [V or A]; NaN in gaps.
    most : int
        Points to keep at most [1], 2 or more; a curve with no more is returned as it is.

    Examples
    --------
    >>> time, values = envelope(np.arange(1000.0), np.eye(1, 1000, 501)[0], most=10)
    >>> len(time), values.max()
    (10, np.float64(1.0))
    """
    if len(time) <= most:
        return time, values
    stretch = int(np.ceil(len(time) / (most // 2)))
    starts = np.arange(0, len(time), stretch)
    known = np.isfinite(values)
    low = np.minimum.reduceat(np.where(known, values, np.inf), starts)
    high = np.maximum.reduceat(np.where(known, values, -np.inf), starts)
    pairs = np.column_stack([low, high])
    pairs[~np.isfinite(pairs)] = np.nan
    return np.repeat(time[starts], 2), pairs.ravel()
