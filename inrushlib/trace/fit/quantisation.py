"""What noise does to the steps of a converter: how much of it there is, and how far rounding is left.

``dither``     noise before the converter, in its steps
``rounding``   what is left of the rounding error in the average of many samples of one level
"""

from __future__ import annotations

import numpy as np

from inrushlib.trace.prepare import FloatArray

BLOCK = 32  # samples in a row whose mean and scatter are taken
FEWEST = 5  # blocks without an edge, below which nothing is said
RISE = 0.3  # steps that a block may rise, beyond what its noise makes of a level
SPIKY = 2.5  # scatter over the usual one, beyond a border's 1/4, from which a block has spikes
SHARES = np.linspace(0.0, 1.0, 51)  # noise in steps that is told apart; from half a step on no step shows
PHASES = np.linspace(-0.5, 0.5, 101)  # of a level between two of the converter's
SURE = 9.0  # three standard deviations, squared
HARMONICS = np.arange(1, 201)


def dither(values: FloatArray, step: float) -> float | None:
    """Return the least noise that explains how samples scatter about their levels, in steps [1]; None if unsaid.

    A level next to the border of two steps makes samples go to and fro however little noise there is, and one in
    the middle of a step hides noise. So the scatter of each block of samples is judged by where its mean lies.

    Parameters
    ----------
    values : (n,) array
        Samples of one channel [V or A]; NaN in gaps.
    step : float
        Of the converter [V or A], above 0.

    Examples
    --------
    >>> noise = np.random.default_rng(0).normal(0.0, 0.3, 20000)
    >>> abs(dither(np.rint(np.repeat([0.5, 7.1, 3.9], [9000, 6000, 5000]) + noise), 1.0) - 0.3) < 0.05
    True
    """
    finite = values[np.isfinite(values)]
    count = len(finite) // BLOCK
    if count < FEWEST:
        return None
    levels = np.rint((finite[: count * BLOCK] - finite[0]) / step).reshape(count, BLOCK)
    mean, variance = levels.mean(axis=1), levels.var(axis=1)
    ramp = np.linspace(-0.5, 0.5, BLOCK)
    rise = levels @ ramp / (ramp @ ramp)
    flat = np.abs(rise) < RISE + 2.0 * np.sqrt(variance / (BLOCK * np.mean(ramp**2)))
    flat &= variance < 0.25 + SPIKY * np.median(variance[flat]) if flat.any() else flat
    if np.count_nonzero(flat) < FEWEST:
        return None
    mean, variance = mean[flat], variance[flat]
    away = np.array([float(np.sum((variance - _scatter(mean, share)) ** 2)) for share in SHARES])
    sure = away <= away.min() * (1.0 + SURE / (len(mean) - 1)) + 1e-9
    return float(SHARES[np.argmax(sure)])


def _scatter(means: FloatArray, share: float) -> FloatArray:
    """Variance of samples, in steps squared, whose mean comes out at ``means``, in steps, under noise of ``share``."""
    from scipy.special import ndtr

    level = np.arange(-6, 7)
    borders = (level[:, None] + 0.5 - PHASES) / max(share, 1e-6)
    chance = np.diff(ndtr(borders), axis=0, prepend=0.0)
    mean = level @ chance
    variance = level**2 @ chance - mean**2
    # Without noise the mean jumps, and what lies between are shares of two levels.
    below = np.floor(means)
    between = (means - below) * (1.0 - means + below)
    here = np.interp(means - np.rint(means), mean, variance)
    found: FloatArray = between if share == 0.0 else here
    return found


def rounding(share: float) -> float:
    """Return the standard deviation of a level's rounding error, in steps, after averaging many samples [1].

    The Fourier series of the rounding error, each part damped by noise of standard deviation ``share`` steps
    (Widrow and Kollar, Quantization Noise, 2008, from memory); 1 / sqrt(12) without noise.

    Examples
    --------
    >>> round(rounding(0.0), 2), round(rounding(0.5), 4)
    (0.29, 0.0016)
    """
    parts = np.exp(-2.0 * (np.pi * HARMONICS * share) ** 2) / (np.pi * HARMONICS)
    return float(np.sqrt(np.sum(parts**2) / 2.0))
