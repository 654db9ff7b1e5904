"""Lining a capture up with the model.

``find_shift``   the time to add to the capture's time, by least squares over all shifts at once
``misfit``       how far apart they are at one shift
"""

from __future__ import annotations

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft
from scipy.optimize import minimize_scalar

from inrushlib.startup import Curves, Startup
from inrushlib.trace.averages import Integrals, Stretches, stretches
from inrushlib.trace.prepare import FloatArray, Measured

GRID = 4000  # stretches of the capture that the shift is looked for with, unless told otherwise
FINEST = 10_000  # stretches that it is refined with
MOST_SHIFTS = 80_000
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

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.startup.simulate import run_curves
    >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64})
    >>> run, time = run_curves(panel), np.linspace(0.0, 0.5, 5001)
    >>> current = {"lead_current": run.at(time)["lead_current"]}
    >>> late = Measured(time - 0.02, current, noise={"lead_current": 1e-3}, gaps=0)
    >>> round(find_shift(late, run), 4)
    0.02
    """
    run = Integrals(start, tuple(measured.curves))
    first, last = float(measured.time[0]), float(measured.time[-1])
    span, length = last - first, start.build.run.duration
    half = 0.5 * min(length, span)
    lowest, highest = half - last, length - half - first
    step = max(span / grid, (highest - lowest) / MOST_SHIFTS)
    count = max(2, int(np.ceil((highest - lowest) / step)) + 1)
    shifts: FloatArray = lowest + step * np.arange(count, dtype=np.float64)
    best = float(shifts[np.argmin(_costs(measured, run, shifts, step))])
    averages = stretches(measured, FINEST if grid == GRID else grid)
    reach = 2 * step + 2 * float(averages.edges[1] - averages.edges[0])
    fine = minimize_scalar(
        lambda shift: misfit(averages, run, float(shift)),
        bounds=(best - reach, best + reach),
        method="bounded",
        options={"xatol": step * 1e-3},
    )
    return float(fine.x)


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
        square = correlate(curve**2, there.astype(float))
        product = correlate(curve, means)
        total += (square - 2 * product + float(means @ means)) / (scale**2 * there.sum())
    return total


def correlate(long: FloatArray, short: FloatArray) -> FloatArray:
    """Sum of the products of ``short`` with as much of ``long``, at every place where it fits in.

    By Fourier transforms; scipy.signal has the same, and takes most of a second to import.

    Examples
    --------
    >>> correlate(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1.0, 10.0])).round(9).tolist()
    [21.0, 32.0, 43.0]
    """
    length = next_fast_len(len(long), real=True)
    product: FloatArray = irfft(rfft(long, length) * np.conj(rfft(short, length)), length)
    return product[: len(long) - len(short) + 1]


def _range(values: FloatArray) -> float:
    return max(float(np.ptp(values)), 1e-9)


def misfit(averages: Stretches, run: Integrals, shift: float) -> float:
    """Return the mean square of the differences, each channel in units of its range [1].

    A difference that is the same all along is taken for a wrong zero, as far as such are usual.

    Parameters
    ----------
    averages : Stretches
        Of the capture, over stretches of its time.
    run : Integrals
        Integrals of the modelled curves, in the same order.
    shift : float
        Time to add to the capture's [s].
    """
    away = averages.means - run.means(averages.edges, shift)
    total = 0.0
    for column, good, means in zip(away.T, averages.good.T, averages.means.T, strict=True):
        scale = _range(means[good])
        zero = np.clip(np.mean(column[good]), -MOST_ZERO * scale, MOST_ZERO * scale)
        total += float(np.mean((column[good] - zero) ** 2)) / scale**2
    return total
