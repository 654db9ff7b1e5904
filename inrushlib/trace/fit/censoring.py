"""Samples that only bound what was there, and samples without weight.

``Samples``   a capture without glitches, with what its converter or amplifier cut off

Eight samples in a row at the extreme level, and three times as many there as one level further in, are clipped: the
curve is at least (or at most) there. A channel whose noise is too small to move a sample by a level shows its highest
plateau like that too, so there it is only suspected. Pairs of least and most are bounds as well.

An amplifier clips before the noise, so its plateau is as wide as that. A short one on top of a channel, with hardly a
sample below it, may be a real limit or a cut-off peak, and no difference would tell: "at least that" holds for both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from inrushlib.trace.averages import Stretches, stretches
from inrushlib.trace.fit.quantisation import dither
from inrushlib.trace.prepare import FloatArray, Measured, converter_step, sample_noise

IN_A_ROW = 8  # samples at the extreme level
CROWDED = 3.0  # times as many there as one level further in
SCATTERS = 0.3  # noise in steps of the converter, from which no plateau stays on one level
LEFT = 160  # samples, below which they tell nothing of their noise
LEAST_TOP = 0.02  # of the samples, that a cut-off top holds; with fewer a channel's top is short
GLITCH = 8.0  # standard deviations from the median of five samples
BESIDE = 3.0  # standard deviations beside the level at which samples are cut off, where noise decides which of them are
PLATEAU = 5.6  # standard deviations from the 99.5th percentile of a cut-off top down to its lowest samples


@dataclass(frozen=True)
class Samples:
    """A capture, and which of its samples are bounds.

    Attributes
    ----------
    measured : Measured
        Without glitches; noise from the samples that are not clipped.
    clipped : dict of str to (n,) array
        By quantity: 1 where the curve is at least there, -1 where at most, else 0.
    written : dict of str to (n,) array
        By quantity: samples with glitches, as written [V or A].
    flat : tuple of str
        Quantities with a short flat top, which has been taken as "at least there".
    """

    measured: Measured
    clipped: dict[str, np.ndarray]
    written: dict[str, FloatArray]
    flat: tuple[str, ...] = ()

    @classmethod
    def of(cls, measured: Measured) -> Samples:
        """Return the samples of the capture ``measured``, clipped ones found."""
        curves = {q: _without_glitches(v, measured.noise[q]) for q, v in measured.curves.items()}
        clipped = {q: _at_rails(v) for q, v in curves.items()}
        noise = {}
        for q, values in curves.items():
            inside = np.where(clipped[q] == 0, values, np.nan)
            pairs = _paired(measured.time)
            noise[q] = sample_noise(0.5 * (inside[0::2] + inside[1::2]) if pairs else inside)
        tops = {q: _short_top(v, noise[q]) for q, v in curves.items() if not (clipped[q] == 1).any()}
        flat = tuple(q for q, top in tops.items() if top.any())
        clipped |= {q: np.where(tops[q], 1, clipped[q]) for q in flat}
        return cls(replace(measured, curves=curves, noise=noise), clipped, measured.curves, flat)

    def with_top(self, quantity: str) -> Samples | None:
        """Return the samples with the highest plateau of ``quantity`` as cut off before the noise; None without."""
        values, noise = self.measured.curves[quantity], self.measured.noise[quantity]
        top = np.nanquantile(values, 0.995) - PLATEAU * noise
        if (self.clipped[quantity] == 1).any() or np.nanmean(values >= top) < LEAST_TOP:
            return None
        return replace(self, clipped={**self.clipped, quantity: np.where(values >= top, 1, self.clipped[quantity])})

    @property
    def rails(self) -> tuple[tuple[str, str], ...]:
        """Channels that are clipped, each with the end at which they are."""
        ends = ((1, "top"), (-1, "bottom"))
        cut = ((q, side, end) for q in self.clipped for side, end in ends if not (side == 1 and q in self.flat))
        return tuple((q, end) for q, side, end in cut if (self.clipped[q] == side).any())

    @cached_property
    def noise_in_steps(self) -> dict[str, tuple[float, float]]:
        """By quantity: step of the converter [V or A], 0 where none shows, and noise in such steps [1]."""
        found = {}
        for q, values in self._bare.curves.items():  # what is cut off has no noise of its own
            step = converter_step(self.measured.curves[q])
            plain = np.sqrt(max((self.measured.noise[q] / step) ** 2 - 1.0 / 12.0, 0.0)) if step > 0 else 1.0
            least = dither(values, step) if plain < 1.0 else None
            if least is None and plain < 1.0 and self.clipped[q].any():
                least = 0.0  # a few samples on the way to where the rest is cut off rise, and that looks like noise
            found[q] = step, plain if least is None else min(plain, least)
        return found

    @cached_property
    def _bare(self) -> Measured:
        curves = {q: np.where(self.clipped[q] == 0, v, np.nan) for q, v in self.measured.curves.items()}
        return replace(self.measured, curves=curves)

    def averages(self, most: int) -> tuple[Stretches, FloatArray, FloatArray]:
        """Return averages over at most ``most`` stretches [1]; how far above and below each the curve may be.

        A sample that is missing, or may be a glitch, may be anywhere within what its stretch spans.
        """
        found, every = stretches(self._bare, most), stretches(self.measured, most)
        means, above, below = found.means.copy(), np.zeros_like(found.means), np.zeros_like(found.means)
        rows = np.searchsorted(self.measured.time, found.edges)
        for i, (q, values) in enumerate(self.measured.curves.items()):
            lost = 1.0 - every.counts[:, i] / np.diff(rows)
            low, high = _spans(self.written[q], rows)
            above[:, i] = np.nan_to_num(lost * (high - means[:, i]))
            below[:, i] = np.nan_to_num(lost * (means[:, i] - low))
            for side, slack, other in ((1, above, below), (-1, below, above)):
                beside, partly = self._cut_off(q, side, every.means[:, i], rows)
                means[beside, i], slack[beside, i] = every.means[beside, i], np.inf
                other[partly, i] += BESIDE * self.measured.noise[q] / np.sqrt(every.counts[partly, i])
            if _paired(self.measured.time):
                half = np.add.reduceat(np.nan_to_num(np.abs(np.diff(values, append=values[-1]))[0::2]), rows[:-1] // 2)
                half = 0.5 * half / np.maximum(np.diff(rows) // 2, 1)
                above[:, i] += half
                below[:, i] += half
        return replace(found, means=means, counts=every.counts), above, below

    def _cut_off(self, quantity: str, side: int, means: FloatArray, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Which stretches only bound the curve at a ``side``, and which of them have samples that are not cut off.

        Where noise decides which samples are cut off, those that are left lie on this side of the curve, and so does
        the average of a stretch that was spared.
        """
        cut = self.clipped[quantity] == side
        if not cut.any():
            return np.zeros(len(means), bool), np.zeros(len(means), bool)
        share = np.add.reduceat(np.append(cut, False).astype(float), rows)[:-1] / np.diff(rows)
        level = np.min(side * self.measured.curves[quantity][cut]) - BESIDE * self.measured.noise[quantity]
        bounds = (share > 0.0) | (_neighbours(side * means) > level)
        return bounds, bounds & (share <= 0.999)


def _spans(values: FloatArray, rows: np.ndarray) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest sample of each stretch, those next to it included."""
    near = [values, np.append(values[1:], np.nan), np.append(np.nan, values[:-1])]
    low = np.fmin.reduceat(np.append(np.fmin.reduce(near), np.nan), rows)[:-1]
    high = np.fmax.reduceat(np.append(np.fmax.reduce(near), np.nan), rows)[:-1]
    return low, high


def _neighbours(means: FloatArray) -> FloatArray:
    """Average of the means before and after each: its own noise has no say in what is done with it."""
    both = np.array([np.append(np.nan, means[:-1]), np.append(means[1:], np.nan)])
    known = np.isfinite(both)
    number = np.where(known.any(axis=0), known.sum(axis=0), np.nan)
    found: FloatArray = np.where(known, both, 0.0).sum(axis=0) / number
    return found


def _paired(time: FloatArray) -> bool:
    return len(time) % 2 == 0 and bool(np.all(time[0::2] == time[1::2]))


def _without_glitches(values: FloatArray, noise: float) -> FloatArray:
    from scipy.ndimage import maximum_filter1d, median_filter  # long to import, and only a fit needs it

    middle = median_filter(np.nan_to_num(values), 5)
    near = np.maximum.reduce([np.abs(np.diff(middle, append=middle[-1])), np.abs(np.diff(middle, prepend=middle[0]))])
    # A peak that falls at once leaves its median flat for two samples behind the edge that it came by.
    near = maximum_filter1d(near, 3)
    found: FloatArray = np.where(np.abs(values - middle) > GLITCH * noise + 2.0 * near, np.nan, values)
    return found


def _short_top(values: FloatArray, noise: float) -> np.ndarray:
    """Where samples lie in a short plateau on top of a channel, as wide as its noise, with hardly one below it."""
    band, highest = PLATEAU * noise, float(np.nanmax(values))
    top = values >= highest - band
    count, below = np.count_nonzero(top), np.count_nonzero((values >= highest - 2.0 * band) & ~top)
    short = IN_A_ROW <= count < LEAST_TOP * len(values) and count > CROWDED * below
    found: np.ndarray = top if short else np.zeros(len(values), bool)
    return found


def _at_rails(values: FloatArray) -> np.ndarray:
    """1 and -1 where a sample lies at the highest and lowest level of a clipped channel, else 0."""
    step, found = converter_step(values), np.zeros(len(values), int)
    if not step > 0 or np.nanmax(values) <= np.nanmin(values):
        return found
    ends = {side: side * values > np.nanmax(side * values) - 0.5 * step for side in (1, -1)}
    crowded = {side: at for side, at in ends.items() if _crowded(side * values, at, step)}
    for side, at in crowded.items():
        # Cut-off samples have no noise, at whichever end; where hardly another is left, the other end has to tell.
        besides = (np.where(cut, np.nan, values) for cut in (np.any(list(crowded.values()), axis=0), at))
        shares = (_noise_in_steps(left, step) for left in besides if np.count_nonzero(np.isfinite(left)) >= LEFT)
        if next(shares, SCATTERS) >= SCATTERS:
            found[at] = side
    return found


def _noise_in_steps(values: FloatArray, step: float) -> float:
    """Noise by how samples scatter about their levels; where there are none, by what rounding does not explain."""
    plain = float(np.sqrt(max((sample_noise(values) / step) ** 2 - 1.0 / 12.0, 0.0)))
    share = dither(values, step) if plain < 1.0 else None  # noise of more than a step shows no levels to scatter about
    return plain if share is None else share


def _crowded(height: FloatArray, at: np.ndarray, step: float) -> bool:
    """Whether many samples in a row lie ``at`` the extreme level, and few one step further in."""
    from scipy.ndimage import label  # long to import, and only a fit needs it

    runs, _ = label(at)
    next_in = np.count_nonzero((height > np.nanmax(height) - 1.5 * step) & ~at)
    return bool(np.bincount(runs)[1:].max() >= IN_A_ROW and np.count_nonzero(at) >= CROWDED * next_in)
