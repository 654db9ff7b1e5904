"""Lining a capture up with the model.

``find_shift``   the time to add to the capture's time, by least squares over all shifts at once
``model_means``  the model's curves averaged over stretches of the capture's time
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.signal import fftconvolve

from inrushlib.startup import Curves, Startup
from inrushlib.trace.prepare import Bins, FloatArray, Measured, bins

SUBSAMPLES = 4
GRID = 4000
FLAT = 0.02


def model_means(start: Startup | Curves, edges: FloatArray, shift: float) -> dict[str, FloatArray]:
    """Return the model's curves averaged over stretches between ``edges`` [s] of the capture's time.

    Before the start the model is as at its start, after the run as at its end.
    """
    width = np.diff(edges)
    inner = (np.arange(SUBSAMPLES) + 0.5) / SUBSAMPLES
    times = edges[:-1, None] + width[:, None] * inner + shift
    curves = start.at(times.ravel())
    return {name: values.reshape(len(width), SUBSAMPLES).mean(axis=1) for name, values in curves.items()}


def find_shift(measured: Measured, start: Startup | Curves) -> float:
    """Return the shift [s] to add to the capture's time so that it lies on the model.

    All shifts for which capture and run overlap by half of the shorter one are tried on a grid, by the
    sum of squares over the channels in units of each one's range; the best is then refined.
    """
    averages = bins(measured, GRID)
    step = float(averages.edges[1] - averages.edges[0])
    length = start.build.run.duration
    span = float(averages.edges[-1] - averages.edges[0])
    half = 0.5 * min(length, span)
    first = -float(averages.edges[0]) - span + half
    last = length - half - float(averages.edges[0])
    count = max(2, int(np.ceil((last - first) / step)) + 1)
    if count > 20 * GRID:
        step = (last - first) / (20 * GRID)
        averages = bins(measured, max(8, int(span / step)))
        count = 20 * GRID
    shifts: FloatArray = first + step * np.arange(count, dtype=np.float64)
    cost = _costs(averages, start, shifts, step)
    best = int(np.argmin(cost))
    fine = minimize_scalar(
        lambda shift: misfit(averages, start, float(shift)),
        bounds=(shifts[best] - 2 * step, shifts[best] + 2 * step),
        method="bounded",
        options={"xatol": step * 1e-3},
    )
    return float(fine.x)


def _costs(averages: Bins, start: Startup | Curves, shifts: FloatArray, step: float) -> FloatArray:
    """Sum of squares for each shift, by correlation."""
    length = len(averages.edges) - 1
    centres = averages.edges[0] + step * (np.arange(length + len(shifts) - 1) + 0.5) + shifts[0]
    model = start.at(centres)
    total = np.zeros(len(shifts))
    for quantity, means in averages.means.items():
        good = np.isfinite(means)
        values = np.where(good, means, 0.0)
        curve = model[quantity]
        scale = max(float(np.ptp(means[good])), 1e-9)
        square = fftconvolve(curve**2, good[::-1].astype(float), mode="valid")
        product = fftconvolve(curve, values[::-1], mode="valid")
        total += (square - 2 * product + float(np.sum(values**2))) / (scale**2 * good.sum())
    return total


def misfit(averages: Bins, start: Startup | Curves, shift: float) -> float:
    """Return the mean square of the differences, each channel in units of its range [1]."""
    model = model_means(start, averages.edges, shift)
    total = 0.0
    for quantity, means in averages.means.items():
        good = np.isfinite(means)
        scale = max(float(np.ptp(means[good])), 1e-9)
        total += float(np.mean((means[good] - model[quantity][good]) ** 2)) / scale**2
    return total
