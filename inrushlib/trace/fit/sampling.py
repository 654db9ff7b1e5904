"""A run sampled evenly, and what it does to averages that a capture's samples are values at instants.

``Sampled``       integrals and values of a run's curves, before and behind a low pass
``at_instants``   how far averages of values at instants lie from averages, and how they move with the instants
``jitter``        how far the instants scatter
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from inrushlib.trace.averages import Integrals
from inrushlib.trace.prepare import FloatArray

MARGIN = 0.05  # of the capture, by which the samples of a run reach beyond it
FEW, FINER = 10, 8  # samples of a stretch up to which they are looked at one by one, and points of a run to each
SCATTERS = np.linspace(0.0, 0.5, 26)  # of the instants that are told apart, in intervals
BY_CHANCE = 3.84  # of the sum of squares, that one value more takes away in one of twenty captures without its help


class Sampled:
    """A run sampled evenly: integrals and values of its curves, before and behind a low pass."""

    def __init__(self, run: Integrals, first: float, last: float, step: float) -> None:
        times = np.arange(first - step, last + 2 * step, step)
        self.first, self.last, self.step = float(times[0]), float(times[-1]), step
        self._integrals, self._values = run.both(times)

    def covers(self, first: float, last: float) -> bool:
        """Whether the instants ``first`` to ``last`` [s] lie inside."""
        return self.first <= first and last <= self.last - self.step

    def seen(self, i: int, tau: float, times: FloatArray) -> tuple[FloatArray, FloatArray, Callable[[], FloatArray]]:
        """Integral and value of curve ``i`` behind a low pass ``tau`` [s] at ``times`` [s]; on demand, behind two."""
        m = self._values[:, i]
        f = self._low_pass(m, tau)
        total = self._integrals[:, i] - tau * (f - f[0])
        place = np.clip((times - self.first) / self.step, 0.0, len(m) - 1.001)
        j = place.astype(int)
        s = place - j
        # Cubic between two samples, by values and slopes.
        rise, h = total[j + 1] - total[j], self.step
        a, b = h * f[j] - rise, rise - h * f[j + 1]

        def twice() -> FloatArray:
            g = self._low_pass(f, tau)
            found: FloatArray = g[j] + s * (g[j + 1] - g[j])
            return found

        return total[j] + s * rise + s * (1 - s) * (a * (1 - s) + b * s), f[j] + s * (f[j + 1] - f[j]), twice

    def _low_pass(self, values: FloatArray, tau: float) -> FloatArray:
        """First-order low pass, exact for straight lines between samples."""
        if tau < 1e-3 * self.step:
            return values
        r = self.step / tau
        keep = np.exp(-r)
        now, before = 1.0 - (1.0 - keep) / r, (1.0 - keep) / r - keep
        from scipy.signal import lfilter  # long to import, and only a fit needs it

        found: FloatArray = lfilter([now, before], [1.0, -keep], values, zi=[(before + keep) * values[0]])[0]
        return found


def at_instants(
    run: Integrals, edges: FloatArray, instants: FloatArray, rows: np.ndarray, delays: Sequence[tuple[float, float]]
) -> tuple[FloatArray, FloatArray]:
    """Return how far averages of a run's values at instants lie from its averages, and how they move with the instants.

    A sample is a value at an instant. What is shorter than an interval falls on a sample or between two, and few do not
    average that out: their average tells no more than to within the first. Both are 0 where a stretch has many samples.

    Parameters
    ----------
    run : Integrals
        The run.
    edges, instants : array
        Edges of the stretches, and the instants of the samples, in the run's time [s].
    rows : (k + 1,) array of int
        First instant of each stretch, and how many there are [1].
    delays : sequence of tuple of float
        Time constant and skew of each channel [s].

    Returns
    -------
    beside, steep : (k, quantities) array
        The one [V or A], and the standard deviation where each instant scatters by a second by itself [V/s or A/s].
    """
    counts = np.diff(rows)
    beside, steep = np.zeros((2, len(counts), len(delays)))
    if counts.max() > FEW:
        return beside, steep
    interval, margin = (edges[-1] - edges[0]) / len(instants), MARGIN * (edges[-1] - edges[0])
    sampled = Sampled(run, edges[0] - margin, edges[-1] + margin, interval / FINER)
    for i, (tau, skew) in enumerate(delays):
        total, _, _ = sampled.seen(i, tau, edges - skew)
        early, values, late = (
            sampled.seen(i, tau, instants - skew + share * interval)[1] for share in (-0.25, 0.0, 0.25)
        )
        beside[:, i] = np.abs(np.add.reduceat(values, rows[:-1]) / counts - np.diff(total) / np.diff(edges))
        slopes = (late - early) / (0.5 * interval)
        steep[:, i] = np.sqrt(np.add.reduceat(slopes**2, rows[:-1])) / counts
    return beside, steep


def jitter(away: FloatArray, spread: FloatArray, steep: FloatArray, interval: float) -> float:
    """Return how far instants scatter that make differences larger where curves are steep: most likely, or 0 [s].

    Parameters
    ----------
    away, spread : (n,) array
        Differences, and their standard deviations without it [V or A].
    steep : (n,) array
        Their standard deviation for a second of scatter [V/s or A/s].
    interval : float
        Of the samples [s], above 0.

    Examples
    --------
    >>> steep = np.linspace(0.0, 20.0, 5000)
    >>> away = np.random.default_rng(0).normal(0.0, np.hypot(1.0, 0.3 * steep))
    >>> round(jitter(away, np.ones(5000), steep, 1.0), 1), jitter(away[:50], np.ones(50), steep[:50], 1.0)
    (0.3, 0.0)
    """
    variances = spread**2 + np.outer(SCATTERS * interval, steep) ** 2
    unlikely = np.sum(np.log(variances) + away**2 / variances, axis=1)
    best = int(np.argmin(unlikely))
    return float(SCATTERS[best] * interval) if unlikely[0] - unlikely[best] > BY_CHANCE else 0.0
