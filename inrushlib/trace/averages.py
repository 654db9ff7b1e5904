"""Averages of modelled curves over stretches of time, exactly, from the run's own dense output.

``Integrals``   integrals of some curves of a run up to any instant
``Stretches``   averages of measured curves over stretches of a capture, to compare them with

A point sample changes discontinuously when an edge crosses it; an interval mean changes smoothly, so it has a
gradient. So the misfit of averages has one wherever the edges lie, and a descent can follow it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inrushlib.startup import Curves, Startup
from inrushlib.startup.curves import name_curves
from inrushlib.trace.prepare import FloatArray, Measured

OFF_CENTRE = 0.05  # of a stretch, by which gaps may move the mean time of its samples


class Integrals:
    """Integrals of curves from the start of a run; before it a curve is as at its start, after it as at its end.

    Parameters
    ----------
    run : Startup or Curves
        The run.
    quantities : sequence of str
        Names of the curves.
    """

    def __init__(self, run: Startup | Curves, quantities: Sequence[str]) -> None:
        from inrushlib.model import layout as at

        rows, n = run.steps.rows, run.steps.states
        numbered = name_curves(run.build, np.arange(n, dtype=np.float64)[None, :], run.steps.lumps)
        columns = [int(numbered[name][0]) for name in quantities]
        base = at.KEPT_STATE
        y0, y1, c1, c2 = (rows[:, [base + i * n + c for c in columns]] for i in range(4))
        self.quantities, self.rows, self.duration = tuple(quantities), len(rows), run.build.run.duration
        self._start, self._size = rows[:, 0], rows[:, 1]
        self._end = float(rows[-1, 0] + rows[-1, 1] * rows[-1, 2])
        # The stepper's curve within a step, by powers of the share of it.
        self._power = np.stack([y0, y1 - y0 + c1, c2 - c1, -c2], axis=1)
        whole = self._within(self._power, rows[:, 2, None]) * self._size[:, None]
        self._until = np.concatenate([np.zeros((1, len(columns))), np.cumsum(whole, axis=0)])

    @staticmethod
    def _within(power: FloatArray, s: FloatArray) -> FloatArray:
        """Integral from the start of a step to a share ``s`` of it, by the step's size [V or A]."""
        found: FloatArray = s * (power[:, 0] + s * (power[:, 1] / 2 + s * (power[:, 2] / 3 + s * power[:, 3] / 4)))
        return found

    def both(self, times: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return integrals from the start of the run [V s or A s], and values, each of shape (len(times), quantities).

        Parameters
        ----------
        times : array
            Instants of the run [s].
        """
        inside = np.clip(times, 0.0, self._end)
        row = np.clip(np.searchsorted(self._start, inside, side="right") - 1, 0, len(self._start) - 1)
        power, size = self._power[row], self._size[row]
        s = ((inside - self._start[row]) / size)[:, None]
        values: FloatArray = power[:, 0] + s * (power[:, 1] + s * (power[:, 2] + s * power[:, 3]))
        total = self._until[row] + size[:, None] * self._within(power, s) + (times - inside)[:, None] * values
        return total, values

    def values(self, times: FloatArray) -> FloatArray:
        """Return the curves, shape (len(times), quantities) [V or A].

        Parameters
        ----------
        times : array
            Instants of the run [s].
        """
        return self.both(times)[1]

    def up_to(self, times: FloatArray) -> FloatArray:
        """Return the integrals from the start of the run [V s or A s], shape (len(times), quantities).

        Parameters
        ----------
        times : array
            Instants of the run [s].
        """
        return self.both(times)[0]

    def means(self, edges: FloatArray, shift: float) -> FloatArray:
        """Return the averages between edges, shape (stretches, quantities) [V or A].

        Parameters
        ----------
        edges : array
            Edges of the stretches, in the capture's time [s].
        shift : float
            Time to add to the capture's [s].
        """
        means: FloatArray = np.diff(self.up_to(edges + shift), axis=0) / np.diff(edges)[:, None]
        return means

    def slopes(self, edges: FloatArray, shift: float) -> FloatArray:
        """Return how the averages change with the shift [V/s or A/s].

        Parameters
        ----------
        edges : array
            Edges of the stretches, in the capture's time [s].
        shift : float
            Time to add to the capture's [s].
        """
        slopes: FloatArray = np.diff(self.values(edges + shift), axis=0) / np.diff(edges)[:, None]
        return slopes


@dataclass(frozen=True)
class Stretches:
    """Averages of measured curves over stretches of equal numbers of samples.

    Attributes
    ----------
    edges : (k + 1,) array
        Of the stretches, half way between two samples [s].
    quantities : tuple of str
        Names of the curves.
    means : (k, quantities) array
        Average of the samples in each stretch [V or A]; NaN where gaps leave none or a lopsided one.
    counts : (k, quantities) array
        Samples in each [1].
    """

    edges: FloatArray
    quantities: tuple[str, ...]
    means: FloatArray
    counts: FloatArray

    @property
    def good(self) -> np.ndarray:
        """Where there is an average, shape (k, quantities)."""
        found: np.ndarray = np.isfinite(self.means)
        return found


def stretches(measured: Measured, most: int) -> Stretches:
    """Return averages over stretches of a capture; some samples at its end may be left out.

    Parameters
    ----------
    measured : Measured
        The capture.
    most : int
        Stretches at most [1].
    """
    time = measured.time
    # Rows of one time, as in peak detection, stay together.
    rows = np.append(0, np.flatnonzero(np.diff(time) > 0) + 1)
    instants = time[rows]
    each = max(1, -(-len(instants) // most))
    first = np.arange(0, len(instants) + 1, each)
    middle = 0.5 * (instants[1:] + instants[:-1])
    before, after = 2 * instants[0] - middle[0], 2 * instants[-1] - middle[-1]
    edges = np.concatenate([[before], middle, [after]])[first]
    rows = np.append(rows, len(time))[first]
    parts, last = rows[:-1], int(rows[-1])
    width, every = np.diff(edges), np.diff(rows)
    centre = np.add.reduceat(time[:last], parts) / every
    means, counts = [], []
    for values in measured.curves.values():
        good = np.isfinite(values[:last])
        number = np.add.reduceat(good.astype(float), parts)
        total = np.add.reduceat(np.where(good, values[:last], 0.0), parts)
        moment = np.add.reduceat(np.where(good, time[:last], 0.0), parts)
        with np.errstate(invalid="ignore", divide="ignore"):
            lopsided = np.abs(moment / number - centre) > OFF_CENTRE * width
            means.append(np.where(lopsided, np.nan, total / number))
        counts.append(number)
    return Stretches(edges, tuple(measured.curves), np.column_stack(means), np.column_stack(counts))
