"""What a scope does to averages of a curve: noise, edges between samples, a wrong zero, the steps of its converter.

``Scope``     all of it for one capture and one cut into stretches
``Weights``   how far the residuals of a fit may stray
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.trace.averages import Stretches
from inrushlib.trace.least_squares import memory
from inrushlib.trace.prepare import FloatArray, Measured, converter_step

ZERO_SHARE = 0.01  # of a channel's range: standard deviation of its zero (common practice, no source)
MODEL_SHARE = 0.002  # of a channel's range that the model is not trusted below, until residuals are known
EDGE_NOISE = 5.0  # standard deviations from which a step between two samples counts as an edge
PARTS = 3  # of a channel's error: its zero, and two that go round once in each step of the converter
CLIP = 5.0  # standard deviations at which residuals are cut off when their scatter is taken


@dataclass(frozen=True)
class Weights:
    """Standard deviations of the averages, all (k, quantities) [V or A].

    Attributes
    ----------
    alone : array
        Of each average.
    counted : array
        The same, larger by what residuals in a row remember, so that they may be taken as independent.
    memory : dict of str to float
        Averages in a row that count as one, a quantity.
    excess : dict of str to float
        Scatter of the residuals over that of the noise alone, a quantity [1].
    """

    alone: FloatArray
    counted: FloatArray
    memory: dict[str, float]
    excess: dict[str, float]


class Scope:
    """Errors of a scope in the averages of a capture.

    A channel's wrong zero moves all its averages; with what is usual as its standard deviation it is one
    number to be fitted. So are two for the converter: noise of standard deviation s hides the steps q from
    the average of many samples only up to (q / pi) exp(-2 pi^2 s^2 / q^2) cos(2 pi v / q + phase), the first
    term of the Fourier series of the rounding error (Widrow and Kollar, Quantization Noise, 2008, from
    memory). On a plateau that is the same for all averages, so that none of their scatter shows it.

    Parameters
    ----------
    measured : Measured
        The capture.
    averages : Stretches
        Its averages.
    """

    def __init__(self, measured: Measured, averages: Stretches) -> None:
        self.averages, self.quantities = averages, averages.quantities
        curves = [measured.curves[q] for q in self.quantities]
        noise = np.array([measured.noise[q] for q in self.quantities])
        self.ranges = np.array([max(float(np.nanmax(v) - np.nanmin(v)), 1e-9) for v in curves])
        with np.errstate(divide="ignore"):
            plain = noise / np.sqrt(averages.counts)
        edges = [_edge_noise(measured, averages, i, noise[i]) for i in range(len(noise))]
        self.expected: FloatArray = np.hypot(plain, np.column_stack(edges))
        self.steps = np.array([converter_step(v) for v in curves])
        dither = np.sqrt(np.maximum(noise**2 - self.steps**2 / 12.0, 0.0))
        with np.errstate(divide="ignore", invalid="ignore"):
            hidden = np.exp(-2.0 * np.pi**2 * (dither / self.steps) ** 2)
        # A random phase shares the amplitude between cosine and sine.
        self._ripple = np.nan_to_num(self.steps / np.pi * hidden) / np.sqrt(2.0)
        self.columns = np.zeros((*averages.means.shape, PARTS))
        self.columns[:, :, 0] = ZERO_SHARE * self.ranges

    @property
    def count(self) -> int:
        """How many numbers describe the errors: parts of each channel."""
        return PARTS * len(self.quantities)

    def zeros(self, parts: FloatArray) -> FloatArray:
        """Return what each channel shows where there is nothing [V or A]."""
        found: FloatArray = parts.reshape(-1, PARTS)[:, 0] * ZERO_SHARE * self.ranges
        return found

    def errors(self, parts: FloatArray) -> FloatArray:
        """Return what the scope adds to the averages, shape (k, quantities) [V or A]."""
        found: FloatArray = np.einsum("kqp,qp->kq", self.columns, parts.reshape(-1, PARTS))
        return found

    def place(self, modelled: FloatArray) -> None:
        """Say at which levels the converter's steps are met: modelled averages, shape (k, quantities) [V or A]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            turn = np.nan_to_num(2.0 * np.pi * modelled / self.steps)
        self.columns[:, :, 1] = self._ripple * np.cos(turn)
        self.columns[:, :, 2] = self._ripple * np.sin(turn)

    def first_weights(self) -> Weights:
        """Return the weights to begin with: noise, and a share of the range for what the model leaves out."""
        alone = np.hypot(self.expected, MODEL_SHARE * self.ranges)
        ones = dict.fromkeys(self.quantities, 1.0)
        return Weights(alone, alone, ones, ones)

    def weights(self, away: FloatArray) -> Weights:
        """Return the weights that residuals, shape (k, quantities) [V or A], show themselves."""
        alone, counted = self.expected.copy(), self.expected.copy()
        remembered, excess = {}, {}
        for i, q in enumerate(self.quantities):
            here = self.averages.good[:, i]
            scaled = away[here, i] / self.expected[here, i]
            # A few residuals at edges must not set the scatter of the plateaus.
            middle = float(np.median(scaled))
            reach = CLIP * max(1.4826 * float(np.median(np.abs(scaled - middle))), 1e-12)
            clipped = np.clip(scaled, middle - reach, middle + reach)
            excess[q] = max(float(np.sqrt(np.mean(clipped**2))), 0.1)
            remembered[q] = memory(clipped)
            alone[:, i] *= excess[q]
            counted[:, i] *= excess[q] * np.sqrt(remembered[q])
        return Weights(alone, counted, remembered, excess)


def _edge_noise(measured: Measured, averages: Stretches, i: int, noise: float) -> FloatArray:
    """An edge of height D in a stretch of n samples is told to one sample: D / (n sqrt(12))."""
    values = measured.curves[averages.quantities[i]]
    step = np.nan_to_num(np.abs(np.diff(values, append=values[-1])))
    step = np.maximum(step - EDGE_NOISE * noise, 0.0)
    # An edge next to the border of two stretches may belong to either.
    step = np.maximum(step, np.append(0.0, step[:-1]))
    first = np.searchsorted(measured.time, averages.edges[:-1])
    largest = np.maximum.reduceat(step, np.minimum(first, len(step) - 1))
    told: FloatArray = largest / (np.maximum(averages.counts[:, i], 1.0) * np.sqrt(12.0))
    return told
