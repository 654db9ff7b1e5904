"""What can be read off one curve, measured or modelled, without any model.

``curve_figures``   peak, plateau, release, charge and I2t of one curve
``CurveFigures``    them
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.trace.prepare import FloatArray

PLATEAU_BINS = 60
GRID = 4001  # instants at which a release is looked for
RELEASE_SHARE = 0.02  # of the capture, on either side of which the release compares averages
FROM = 0.2  # of the peak, from which a release begins
LASTING = 0.05  # of the range, that a release is at least


@dataclass(frozen=True, kw_only=True)
class CurveFigures:
    """Figures of one curve; None where there is none.

    Attributes
    ----------
    peak, peak_at : float
        Largest sample and when [V or A, s].
    lowest : float
        Smallest sample [V or A].
    plateau : float
        Level that the curve stays at for longest [V or A], the lowest tenth of its range left out.
    release_at : float or None
        When the largest lasting change happens that does not begin near zero: a drop of a current, a rise of a
        voltage [s].
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

    Raises
    ------
    TraceError
        Where every sample is a gap.
    """
    good = np.isfinite(values)
    t, v = time[good], values[good]
    if not len(v):
        raise TraceError("every sample is a gap; accepted: a curve with at least one sample")
    top = int(np.argmax(v))
    plateau = _plateau(t, v)
    return CurveFigures(
        peak=float(v[top]),
        peak_at=float(t[top]),
        lowest=float(v.min()),
        plateau=plateau,
        release_at=_release(t, v, -1.0 if current else 1.0),
        charge=float(np.trapezoid(v, t)) if current else None,
        i2t=float(np.trapezoid(v * v, t)) if current else None,
    )


def _plateau(t: FloatArray, v: FloatArray) -> float:
    return float(np.median(v[on_plateau(t, v)]))


def on_plateau(t: FloatArray, v: FloatArray) -> np.ndarray:
    """Return which samples are on the level with most time, in bins of the range; all of a curve that does not move.

    Parameters
    ----------
    t : (n,) array
        Instants [s].
    v : (n,) array
        Samples without gaps [V or A].
    """
    low, high = float(v.min()), float(v.max())
    if high <= low:
        return np.ones(len(v), bool)
    weight = np.gradient(t) if len(t) > 1 else np.ones_like(t)
    count, edges = np.histogram(v, PLATEAU_BINS, (low, high), weights=weight)
    skip = PLATEAU_BINS // 10
    count = np.convolve(count, np.ones(3), mode="same")
    best = skip + int(np.argmax(count[skip:]))
    near: np.ndarray = (v >= edges[max(best - 1, 0)]) & (v <= edges[min(best + 2, PLATEAU_BINS)])
    return near


def _release(t: FloatArray, v: FloatArray, sign: float) -> float | None:
    """When the largest lasting change in direction ``sign`` happens that does not begin near zero."""
    span = float(t[-1] - t[0])
    if span <= 0 or np.ptp(v) <= 0:
        return None
    grid = np.linspace(t[0], t[-1], GRID)
    level = np.interp(grid, t, v)
    total = np.concatenate(([0.0], np.cumsum(0.5 * np.diff(grid) * (level[1:] + level[:-1]))))
    w = max(2, int(RELEASE_SHARE * GRID))
    middle = np.arange(w, GRID - w)
    width = grid[w] - grid[0]
    after = (total[middle + w] - total[middle]) / width
    before = (total[middle] - total[middle - w]) / width
    change = sign * (after - before)
    # Switching on is a larger rise than the release, but its steepest instant begins near zero.
    from scipy.ndimage import maximum_filter1d  # long to import, and only captures need it

    steepest = change >= maximum_filter1d(change, 2 * w + 1)
    change[~steepest | (before < FROM * float(v.max()))] = 0.0
    best = int(np.argmax(change))
    if change[best] < LASTING * float(np.ptp(v)):
        return None
    return float(grid[middle[best]])
