"""Lining a capture up with the model.

``find_shift``   the time to add to the capture's time, by least squares over all shifts at once
``misfit``       how far apart they are at one shift
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.signal import fftconvolve

from inrushlib.startup import Curves, Startup
from inrushlib.trace.averages import Integrals, Stretches, stretches
from inrushlib.trace.prepare import FloatArray, Measured

GRID = 4000  # stretches of the capture that the shift is looked for with, unless told otherwise
FINEST = 10_000  # stretches that it is refined with
MOST_SHIFTS, ROUGH_SHIFTS = 80_000, 5000
MOST_ZERO = 0.02  # of a channel's range, that its zero may be off


def find_shift(measured: Measured, start: Startup | Curves, grid: int = GRID) -> float:
    """Return the shift [s] to add to the capture's time so that it lies on the model.

    All shifts for which capture and run overlap by half of the shorter one are tried on a grid, by the
    sum of squares over the channels in units of each one's range; the best is then refined on averages
    over stretches, which change smoothly with the shift.

    Parameters
    ----------
    measured : Measured
        The capture.
    start : Startup or Curves
        The model's run.
    grid : int
        Stretches that the capture is cut into [1], at least 8.
    """
    run = Integrals(start, tuple(measured.curves))
    shifts, costs, step = _tried(measured, run, grid, MOST_SHIFTS)
    best = float(shifts[np.argmin(costs)])
    averages = stretches(measured, FINEST if grid == GRID else grid)
    reach = 2 * step + 2 * float(averages.edges[1] - averages.edges[0])
    fine = minimize_scalar(
        lambda shift: misfit(averages, run, float(shift)),
        bounds=(best - reach, best + reach),
        method="bounded",
        options={"xatol": step * 1e-3},
    )
    return float(fine.x)


def rough_shift(measured: Measured, run: Integrals, grid: int) -> float:
    """Return the best shift [s] on a grid of the capture's ``grid``-th parts, for a descent to begin at."""
    shifts, costs, _ = _tried(measured, run, grid, ROUGH_SHIFTS)
    return float(shifts[np.argmin(costs)])


def _tried(measured: Measured, run: Integrals, grid: int, most: int) -> tuple[FloatArray, FloatArray, float]:
    """Shifts for which capture and run overlap by half of the shorter one, what each costs, and their distance."""
    first, last = float(measured.time[0]), float(measured.time[-1])
    span, length = last - first, run.duration
    half = 0.5 * min(length, span)
    lowest, highest = half - last, length - half - first
    step = max(span / grid, (highest - lowest) / most)
    count = max(2, int(np.ceil((highest - lowest) / step)) + 1)
    shifts: FloatArray = lowest + step * np.arange(count, dtype=np.float64)
    return shifts, _costs(measured, run, shifts, step), step


def _costs(measured: Measured, run: Integrals, shifts: FloatArray, step: float) -> FloatArray:
    """Sum of squares for each shift, by correlation of averages over equal stretches."""
    first = float(measured.time[0])
    length = max(1, int((measured.time[-1] - first) / step))
    row = np.clip(((measured.time - first) / step).astype(int), 0, length - 1)
    edges = first + step * np.arange(length + len(shifts), dtype=np.float64)
    model = run.means(edges, float(shifts[0]))
    total = np.zeros(len(shifts))
    for curve, values in zip(model.T, measured.curves.values(), strict=True):
        good = np.isfinite(values)
        number = np.bincount(row[good], minlength=length)
        there = number > 0
        means = np.bincount(row[good], weights=values[good], minlength=length) / np.maximum(number, 1)
        scale = _range(means[there])
        square = fftconvolve(curve**2, there[::-1].astype(float), mode="valid")
        product = fftconvolve(curve, means[::-1], mode="valid")
        total += (square - 2 * product + float(means @ means)) / (scale**2 * there.sum())
    return total


def _range(values: FloatArray) -> float:
    return max(float(np.ptp(values)), 1e-9)


def misfit(averages: Stretches, run: Integrals, shift: float) -> float:
    """Return the mean square of the differences, each channel in units of its range [1].

    A difference that is the same all along is taken for a wrong zero, as far as such are usual.
    """
    away = averages.means - run.means(averages.edges, shift)
    total = 0.0
    for column, good, means in zip(away.T, averages.good.T, averages.means.T, strict=True):
        scale = _range(means[good])
        zero = np.clip(np.mean(column[good]), -MOST_ZERO * scale, MOST_ZERO * scale)
        total += float(np.mean((column[good] - zero) ** 2)) / scale**2
    return total
