"""What a scope does to averages of a curve: noise, edges between samples, a wrong zero, the steps of its converter.

``Scope``     all of it for one capture and one cut into stretches
``Weights``   how far the residuals of a fit may stray
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.trace.averages import Stretches
from inrushlib.trace.fit.least_squares import memory
from inrushlib.trace.fit.quantisation import dither, rounding
from inrushlib.trace.prepare import FloatArray, Measured, converter_step

ZERO_SHARE = 0.01  # of a channel's range: standard deviation of its zero (common practice, no source)
MODEL_SHARE = 0.002  # of a channel's range that the model is not trusted below, until residuals are known
EDGE_NOISE = 5.0  # standard deviations from which a step between two samples counts as an edge
PARTS = 3  # of a channel's error: its zero, and two that go round once in each step of the converter
FINE_SHARE = 1.0  # noise in steps of the converter, from which no step shows in averages
# The same, below which the rounding error of an average passes 4 % of a step, and has parts of higher frequency.
BARE_SHARE = 0.3
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
        Scatter of the residuals over that of noise and rounding alone, a quantity [1].
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
        # Noise in steps of the converter, which it hides.
        self.shares = np.array([_share(v, n, q) for v, n, q in zip(curves, noise, self.steps, strict=True)])
        # A random phase shares the amplitude between cosine and sine.
        self._ripple = self.steps / np.pi * np.exp(-2.0 * (np.pi * self.shares) ** 2) / np.sqrt(2.0)
        self._place_levels()
        self.columns = np.zeros((*averages.means.shape, PARTS))
        self.columns[:, :, 0] = ZERO_SHARE * self.ranges

    def _place_levels(self) -> None:
        """Say which averages are of one level, and how far the rounding error that they share may stray."""
        numbers, self._rounding = [], np.zeros(len(self.steps))
        for i, (step, share) in enumerate(zip(self.steps, self.shares, strict=True)):
            means = self.averages.means[self.averages.good[:, i], i]
            numbers.append(np.rint(means / step) if step > 0 else np.zeros(len(means)))
            # Above that share the two numbers fitted along hold all of it.
            self._rounding[i] = rounding(share) * step if step > 0 and share < BARE_SHARE else 0.0
        channel = np.repeat(np.arange(len(numbers)), [len(n) for n in numbers])
        _, self._level = np.unique(np.column_stack([channel, np.concatenate(numbers)]), axis=0, return_inverse=True)
        self._strays = self._rounding[channel]

    def as_independent(self, away: FloatArray, spread: FloatArray) -> FloatArray:
        """Return residuals over their standard deviations, with the errors taken out that averages of a level share.

        However many averages a plateau has, they share one rounding error, as far as noise hides no steps; what
        happens within a plateau, and from one to the next, is told all the same. With u the shared error over the
        standard deviations, the covariance is 1 + u u', and its inverse root 1 - (1 - (1 + u'u)^(-1/2)) u u' / u'u.

        Parameters
        ----------
        away, spread : (k, quantities) array
            Residuals and standard deviations [V or A].

        Returns
        -------
        (n,) array
            One channel after the other, gaps left out.
        """
        good = self.averages.good.T
        scaled, shared = (away / spread).T[good], self._strays / spread.T[good]
        square = np.bincount(self._level, shared**2)
        with np.errstate(invalid="ignore", divide="ignore"):
            less = np.nan_to_num((1.0 - (1.0 + square) ** -0.5) / square)
        told: FloatArray = scaled - shared * (less * np.bincount(self._level, shared * scaled))[self._level]
        return told

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
        # Rounding is no part of what the model leaves out, nor of what residuals remember.
        independent = np.full_like(away, np.nan).T
        independent[self.averages.good.T] = self.as_independent(away, self.expected)
        for i, q in enumerate(self.quantities):
            here = self.averages.good[:, i]
            clipped = _clipped(away[here, i] / np.hypot(self.expected[here, i], self._rounding[i]))
            excess[q], scatter = max(float(np.sqrt(np.mean(clipped**2))), 0.1), 1.0
            if self.shares[i] < BARE_SHARE:
                # Samples that lie on their levels scatter less than what rounding hides of a slope within a level.
                clipped, scatter = _clipped(independent[i, here]), 1.0 / min(excess[q], 1.0)
            remembered[q], scatter = memory(clipped), excess[q] * scatter
            alone[:, i] *= scatter
            counted[:, i] *= scatter * np.sqrt(remembered[q])
        return Weights(alone, counted, remembered, excess)


def _clipped(scaled: FloatArray) -> FloatArray:
    """Residuals cut off: a few at edges must not set the scatter of the plateaus."""
    middle = float(np.median(scaled))
    reach = CLIP * max(1.4826 * float(np.median(np.abs(scaled - middle))), 1e-12)
    clipped: FloatArray = np.clip(scaled, middle - reach, middle + reach)
    return clipped


def _share(values: FloatArray, noise: float, step: float) -> float:
    """Noise before the converter, in its steps [1]."""
    if not step > 0:
        return FINE_SHARE
    plain = float(np.sqrt(max((noise / step) ** 2 - 1.0 / 12.0, 0.0)))
    least = dither(values, step) if plain < FINE_SHARE else None
    return plain if least is None else min(plain, least)


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
