"""What can be read off one curve, measured or modelled, without any model.

``curve_figures``   peak, plateau, release, charge and I2t of one curve
``CurveFigures``    them
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.trace.prepare import FloatArray

PLATEAU_BINS = 60
RELEASE_SHARE = 0.02  # of the capture, on either side of which the release compares averages


@dataclass(frozen=True)
class CurveFigures:
    """Figures of one curve, SI; None where there is none.

    Attributes
    ----------
    peak, peak_at : float
        Largest sample and when [V or A, s].
    lowest : float
        Smallest sample.
    plateau : float
        Level that the curve stays at for longest, the lowest tenth of its range left out.
    release_at : float or None
        When the largest lasting change after the plateau begins: a drop of a current, a rise of a voltage [s].
    charge, i2t : float or None
        Integrals of a current and of its square [C, A2s]; None for a voltage.
    """

    peak: float
    peak_at: float
    lowest: float
    plateau: float
    release_at: float | None
    charge: float | None
    i2t: float | None


def curve_figures(time: FloatArray, values: FloatArray, *, current: bool) -> CurveFigures:
    """Return the figures of one curve.

    Parameters
    ----------
    time : (n,) array
        Instants [s], rising.
    values : (n,) array
        Samples [V or A]; NaN in gaps, which are bridged by a straight line in the integrals.
    current : bool
        Whether it is a current.
    """
    good = np.isfinite(values)
    t, v = time[good], values[good]
    top = int(np.argmax(v))
    plateau = _plateau(t, v)
    return CurveFigures(
        float(v[top]),
        float(t[top]),
        float(v.min()),
        plateau,
        _release(t, v, plateau, -1.0 if current else 1.0),
        float(np.trapezoid(v, t)) if current else None,
        float(np.trapezoid(v * v, t)) if current else None,
    )


def _plateau(t: FloatArray, v: FloatArray) -> float:
    """Level with most time, in bins of the range; refined to the median around it."""
    low, high = float(v.min()), float(v.max())
    if high <= low:
        return high
    weight = np.gradient(t) if len(t) > 1 else np.ones_like(t)
    count, edges = np.histogram(v, PLATEAU_BINS, (low, high), weights=weight)
    skip = PLATEAU_BINS // 10
    count = np.convolve(count, np.ones(3), mode="same")
    best = skip + int(np.argmax(count[skip:]))
    near = (v >= edges[max(best - 1, 0)]) & (v <= edges[min(best + 2, PLATEAU_BINS)])
    return float(np.median(v[near]))


def _release(t: FloatArray, v: FloatArray, plateau: float, sign: float) -> float | None:
    """When the largest lasting change in direction ``sign`` happens once the plateau has been reached."""
    span = float(t[-1] - t[0])
    reached = np.flatnonzero(v >= 0.9 * plateau)
    if span <= 0 or not len(reached):
        return None
    grid = np.linspace(t[0], t[-1], 4001)
    total = np.concatenate(
        ([0.0], np.cumsum(0.5 * np.diff(grid) * (np.interp(grid[1:], t, v) + np.interp(grid[:-1], t, v))))
    )
    w = max(2, int(RELEASE_SHARE * len(grid)))
    middle = np.arange(w, len(grid) - w)
    width = grid[w] - grid[0]
    after = (total[middle + w] - total[middle]) / width
    before = (total[middle] - total[middle - w]) / width
    change = sign * (after - before)
    change[grid[middle] <= t[reached[0]] + width] = 0.0
    best = int(np.argmax(change))
    if change[best] < 0.05 * float(np.ptp(v)):
        return None
    return float(grid[middle[best]])
