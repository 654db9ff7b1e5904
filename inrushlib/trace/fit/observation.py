"""What an instrument makes of a curve, in one place: gain, zero, bandwidth, shift, skew, time base, and its noise.

``Accuracy``      how far each of them may be off: their priors, as standard deviations
``Observation``   averages of a capture, and what the instrument would show of a run in their place
``Settled``       a run under the instrument errors with which it lies best on the capture

    y = (1 + g) (h_tau * m(a t + s; theta)) + z + e        for each channel

with the run's curve m, a first-order low pass h of time constant tau, and noise e. Averages over stretches come from
exact integrals: with tau f' + f = m the integral of f is that of m less tau times the rise of f. The instrument errors
are settled for each run by Gauss-Newton steps with analytic slopes, so that no key takes the blame for them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from inrushlib.errors import UsageError
from inrushlib.trace.averages import Integrals
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.least_squares import memory
from inrushlib.trace.fit.quantisation import rounding
from inrushlib.trace.fit.sampling import MARGIN, Sampled, at_instants, jitter
from inrushlib.trace.prepare import FloatArray

OUTLIER = 3.0  # standard deviations from which a residual weighs less
SHARED, OWN = 2, 4  # numbers of all channels (shift, time base), and of each (gain, zero, time constant, skew)
CELLS = 4  # a stretch, in which a run is sampled for the low pass
MODEL_SHARE = 0.002  # of a channel's range that the model is not trusted below, until residuals are known
EDGE_NOISE = 5.0  # standard deviations from which a step between two samples counts as an edge
HIDDEN, BARE = 0.5, 0.3  # noise in steps of the converter that hides them, and below which averages lie on levels
ROUNDED = 1.5  # scatter over noise and rounding, up to which differences of such a channel are rounding
CLIP = 5.0  # standard deviations at which residuals are cut off when their scatter is taken
NOISE = 1.15  # mean loss of differences that are noise; 0.95 without edges and without memory
EXTRA = 0.3  # of a channel's range: standard deviation of a disturbance that is fitted along
MOST_STEPS, FINISHED = 6, 0.01  # of settling, and the fall of the cost that ends it
COARSE, FINE_FROM = 1e-3, 600  # share of the cost that ends it as well, and stretches from which it no longer does


@dataclass(frozen=True, kw_only=True)
class Accuracy:
    """Standard deviations of the instrument's errors (common practice, no source); 0 where calibrated.

    Attributes
    ----------
    gain : float
        Of a probe or clamp with its channel [1].
    zero : float
        Of a channel, in shares of its range [1].
    time_constant : float
        Of a channel's low pass [s]; half-normal, since it is not negative.
    skew : float
        Delay of a channel against the others [s].
    time_base : float
        Of the rate of the samples [1].
    """

    gain: float = 0.03
    zero: float = 0.01
    time_constant: float = 100e-6
    skew: float = 30e-6
    time_base: float = 100e-6

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not 0 <= value < 1:
                raise UsageError(f"accuracy of {field.name.replace('_', ' ')}: {value:g}; accepted: 0 to below 1")


@dataclass(frozen=True)
class Disturbance:
    """A disturbance that can be fitted along.

    Attributes
    ----------
    quantity : str
        Of its channel.
    frequency : float
        Of a hum [Hz]; 0 for a drift.
    """

    quantity: str
    frequency: float

    def columns(self, times: FloatArray) -> FloatArray:
        """Its parts at the instants ``times`` [s], shape (n, parts) [1]."""
        if self.frequency > 0:
            turn = 2.0 * np.pi * self.frequency * times
            return np.column_stack([np.cos(turn), np.sin(turn)])
        return np.linspace(-1.0, 1.0, len(times))[:, None]


@dataclass(frozen=True, kw_only=True)
class Settled:
    """A run with its settled instrument errors.

    Attributes
    ----------
    errors : (m,) array
        Instrument errors, in standard deviations; the shift in thousandths of the capture [1].
    residual : (n + m,) array
        Differences in units of their noise, then what each error is pulled from its prior [1].
    shown : (k, quantities) array
        What the instrument would show [V or A].
    slope : callable
        Makes the slopes.
    """

    errors: FloatArray
    residual: FloatArray
    shown: FloatArray
    slope: Callable[[], FloatArray]

    @cached_property
    def slopes(self) -> FloatArray:
        """Derivatives of the residual over the errors, shape (n + m, m)."""
        return self.slope()

    @property
    def cost(self) -> float:
        """Sum of squares as the robust loss takes them [1]."""
        return float(np.sum(robust(self.residual)))


def robust(residual: FloatArray) -> FloatArray:
    """Return the soft-L1 loss of each ``residual`` [1]: its square, beyond three standard deviations its magnitude."""
    loss: FloatArray = 2.0 * OUTLIER**2 * (np.sqrt(1.0 + (residual / OUTLIER) ** 2) - 1.0)
    return loss


def root_weights(residual: FloatArray) -> FloatArray:
    """Return root weights [1] with which the loss of ``residual`` [1] is a sum of squares, to first order."""
    weights: FloatArray = (1.0 + (residual / OUTLIER) ** 2) ** -0.25
    return weights


class Observation:
    """Averages of a capture over stretches, with their noise, and the instrument that they came through.

    Parameters
    ----------
    samples : Samples
        The capture, with what is clipped in it.
    most : int
        Stretches at most [1].
    accuracy : Accuracy
        Priors of the instrument's errors.
    along : sequence of Disturbance
        What is fitted along.
    """

    def __init__(self, samples: Samples, most: int, accuracy: Accuracy, along: Sequence[Disturbance] = ()) -> None:
        self.measured, self.accuracy = samples.measured, accuracy
        self.averages, self.above, self.below = samples.averages(most)
        measured = self.measured
        self.quantities, self.good = tuple(measured.curves), self.averages.good
        self.edges = self.averages.edges
        self.middles = 0.5 * (self.edges[1:] + self.edges[:-1])
        self.centre = float(0.5 * (self.edges[0] + self.edges[-1]))
        self.span = float(self.edges[-1] - self.edges[0])
        self.ranges = np.array([max(float(np.nanmax(v) - np.nanmin(v)), 1e-9) for v in measured.curves.values()])
        places = [self.quantities.index(d.quantity) for d in along]
        self.along = [(i, EXTRA * self.ranges[i] * d.columns(self.middles)) for i, d in zip(places, along, strict=True)]
        self._units = [(accuracy.gain, accuracy.zero * r, accuracy.time_constant, accuracy.skew) for r in self.ranges]
        self._coarse = COARSE if most < FINE_FROM else 0.0
        self.count = SHARED + OWN * len(self.quantities) + sum(columns.shape[1] for _, columns in self.along)
        self.positive = np.zeros(self.count, bool)
        self.positive[SHARED + 2 : SHARED + OWN * len(self.quantities) : OWN] = True
        self.begin = 0.0  # of the shift [s]
        self.expected = self._expected(samples.noise_in_steps)
        self.excess = dict.fromkeys(self.quantities, 1.0)
        self.memory = dict.fromkeys(self.quantities, 1.0)
        self.spread: FloatArray = np.hypot(np.hypot(self.expected, self._shared), MODEL_SHARE * self.ranges)

    def shift(self, errors: FloatArray) -> float:
        """Time to add to the capture's time [s], as ``errors`` [1] have it."""
        return self.begin + 1e-3 * self.span * float(errors[0])

    def named(self, errors: FloatArray) -> list[dict[str, float]]:
        """Take from ``errors`` those of each channel by their names in ``Accuracy``, in standard deviations [1]."""
        own = errors[SHARED : SHARED + OWN * len(self.quantities)].reshape(-1, OWN)
        return [dict(zip(("gain", "zero", "time_constant", "skew"), map(float, row), strict=True)) for row in own]

    def nothing(self, shift: float) -> FloatArray:
        """Errors of an ideal instrument at a ``shift`` [s]."""
        errors = np.zeros(self.count)
        errors[0] = (shift - self.begin) / (1e-3 * self.span)
        return errors

    def settle(self, run: Integrals, errors: FloatArray) -> Settled:
        """Return ``run`` under the errors with which it lies best, looked for from ``errors`` [1]."""
        sampled = self._sample(run, errors)
        best = self.at(run, errors, sampled)
        for _ in range(MOST_STEPS):
            weight, before = root_weights(best.residual), best.cost
            enough = FINISHED + self._coarse * before
            columns = weight[:, None] * best.slopes
            normal, pull = columns.T @ columns, columns.T @ (weight * best.residual)
            step = _solved(normal, pull, np.ones(self.count, bool))
            # What would go below zero stays at zero, and the others go without it.
            stays = self.positive & (best.errors + step < 0)
            if stays.any():
                step = np.where(stays, -best.errors, _solved(normal, pull, ~stays))
            if -float(pull @ step) < enough:
                break
            for share in (1.0, 0.3, 0.1):
                moved = best.errors + share * step
                other = self.at(run, np.where(self.positive, np.maximum(moved, 0.0), moved), sampled)
                if other.cost < before:
                    best = other
                    break
            if not before - best.cost > enough:
                break
        return best

    def follow(self, settled: Settled, columns: FloatArray) -> FloatArray:
        """Return how the errors of ``settled`` move so that ``columns`` of slopes matter least [1], to first order."""
        weight = root_weights(settled.residual)[:, None]
        slopes = weight * settled.slopes
        found = -np.linalg.solve(_steadied(slopes.T @ slopes), slopes.T @ (weight * columns))
        return np.asarray(found, np.float64)

    def _sample(self, run: Integrals, errors: FloatArray) -> Sampled:
        shift, margin = self.shift(errors), MARGIN * self.span
        step = self.span / len(self.middles) / CELLS
        return Sampled(run, float(self.edges[0]) + shift - margin, float(self.edges[-1]) + shift + margin, step)

    def at(self, run: Integrals, errors: FloatArray, sampled: Sampled | None = None) -> Settled:
        """Return ``run`` under given ``errors`` [1], not settled; ``sampled`` where it has been already."""
        acc, k, q = self.accuracy, len(self.middles), len(self.quantities)
        base = errors[1] * acc.time_base
        away = self.edges - self.centre
        times = self.edges + self.shift(errors) + base * away
        if sampled is None or not sampled.covers(float(times[0]) - 1e-3, float(times[-1]) + 1e-3):
            sampled = self._sample(run, errors)
        shown, parts = np.empty((k, q)), []
        width = np.diff(times)
        for i in range(q):
            gain, zero, tau, skew = errors[SHARED + OWN * i :][:OWN] * self._units[i]
            total, f, twice = sampled.seen(i, float(tau), times - skew)
            mean = np.diff(total) / width
            shown[:, i] = (1.0 + gain) * mean + zero
            parts.append((mean, f, twice))
        at = SHARED + OWN * q
        for i, columns in self.along:
            shown[:, i] += columns @ errors[at : at + columns.shape[1]]
            at += columns.shape[1]
        pulled = errors.copy()
        pulled[0] = 0.0

        def slope() -> FloatArray:
            slopes = np.zeros((k, q, self.count))
            for i, (mean, f, twice) in enumerate(parts):
                own, unit = SHARED + OWN * i, self._units[i]
                scale = 1.0 + errors[own] * unit[0]
                moved = np.diff(f) / width * scale
                slopes[:, i, 0] = 1e-3 * self.span * moved
                slopes[:, i, 1] = acc.time_base * scale * (np.diff(f * away) - mean * np.diff(away)) / width
                slopes[:, i, own], slopes[:, i, own + 1] = unit[0] * mean, unit[1]
                slopes[:, i, own + 2] = -unit[2] * np.diff(twice()) / width * scale
                slopes[:, i, own + 3] = -unit[3] * moved
            at = SHARED + OWN * q
            for i, columns in self.along:
                slopes[:, i, at : at + columns.shape[1]] = columns
                at += columns.shape[1]
            told = -self.flat(slopes) / self.flat(self.spread)[:, None]
            # Where a clipped average or a pair allows the difference it has no slope.
            told[self.flat((self.above + self.below > 0) & (self._slack(shown) == 0))] = 0.0
            prior = np.eye(self.count)
            prior[0, 0] = 0.0
            return np.concatenate([told, prior])

        return Settled(errors=errors, residual=np.append(self.told(shown), pulled), shown=shown, slope=slope)

    def flat(self, values: FloatArray) -> FloatArray:
        """``values`` of the averages [any unit], (k, quantities, ...), in one row by channel, gaps left out."""
        found: FloatArray = np.swapaxes(values, 0, 1)[self.good.T]
        return found

    def _slack(self, shown: FloatArray) -> FloatArray:
        """Measured minus shown, nothing where a clipped average or a pair allows it, shape (k, quantities)."""
        away = self.averages.means - shown
        found: FloatArray = away - np.clip(away, -self.above, self.below)
        return found

    def told(self, shown: FloatArray) -> FloatArray:
        """Differences to what is ``shown`` [V or A], in units of their noise [1], in one row."""
        return self.flat(self._slack(shown) / self.spread)

    def weigh(self, run: Integrals, settled: Settled) -> None:
        """Take the scatter and memory that the differences of ``run`` show, as it is ``settled``, into the weights."""
        away = self._slack(settled.shown)
        beside, steep, interval = self._at_instants(run, settled.errors)
        single = np.hypot(self.expected, beside)
        scattered = jitter(self.flat(away), self.flat(np.hypot(single, self._shared)), self.flat(steep), interval)
        single = np.hypot(single, scattered * steep)
        for i, q in enumerate(self.quantities):
            use = self.good[:, i] & (self.above[:, i] == 0.0)
            use = use if use.any() else self.good[:, i]
            scaled = _cut_off(away[use, i] / single[use, i])
            self.excess[q] = max(float(np.sqrt(np.mean(scaled**2))), 0.1)
            # What averages of a level have in common is rounding, not memory.
            within = self._rounded[i] and self.excess[q] < ROUNDED
            self.memory[q] = 1.0 if within else memory(scaled)
            scatter = self.excess[q] * np.sqrt(self.memory[q])
            self.spread[:, i] = np.hypot(single[:, i] * scatter, self._shared[:, i])

    def _at_instants(self, run: Integrals, errors: FloatArray) -> tuple[FloatArray, FloatArray, float]:
        """What it does to averages of a run that samples are values at instants, and the samples' interval [s]."""
        time = np.unique(self.measured.time)
        rows = np.searchsorted(time, self.edges)
        shift, base = self.shift(errors), 1.0 + errors[1] * self.accuracy.time_base
        edges, instants = (
            self.centre + shift + base * (at - self.centre) for at in (self.edges, time[rows[0] : rows[-1]])
        )
        units = self.accuracy.time_constant, self.accuracy.skew
        delays = [(c["time_constant"] * units[0], c["skew"] * units[1]) for c in self.named(errors)]
        return *at_instants(run, edges, instants, rows - rows[0], delays), self.span / len(instants)

    def surely_off(self, settled: Settled) -> FloatArray:
        """Differences of ``settled`` [1], in one row, in units of what they scatter or of what is expected: the larger.

        Where most averages lie better than expected, the weights say nothing of a few at edges.
        """
        doubt = np.maximum(self.spread, np.hypot(self.expected, self._shared))
        return self.flat(self._slack(settled.shown) / doubt)

    def lies(self, settled: Settled) -> bool:
        """Whether the run of ``settled`` lies on the capture to within its noise, edges and all."""
        scaled = self._slack(settled.shown) / np.hypot(self.expected, self._shared)
        return bool(np.mean(robust(self.flat(scaled))) < NOISE)

    def off(self) -> float:
        """How far the model is off the capture: largest scatter over the noise, times the root of memory [1]."""
        return max(map(self.off_by, self.quantities))

    def off_by(self, quantity: str) -> float:
        """The same of the channel ``quantity``."""
        return self.excess[quantity] * float(np.sqrt(self.memory[quantity]))

    def _expected(self, noise_in_steps: dict[str, tuple[float, float]]) -> FloatArray:
        """Standard deviations of the averages by themselves: noise, edges between two samples, rounding.

        However many averages a level has, they share its rounding error; what stands for that is kept apart.
        """
        self._shared, self._rounded = np.zeros_like(self.averages.means), np.zeros(len(self.quantities), bool)
        columns = []
        for i, (q, values) in enumerate(self.measured.curves.items()):
            counts, means = np.maximum(self.averages.counts[:, i], 1.0), self.averages.means[:, i]
            noise, (step, share) = self.measured.noise[q], noise_in_steps[q]
            deviation = np.hypot(noise / np.sqrt(counts), self._edges(values, noise) / (counts * np.sqrt(12.0)))
            if share < HIDDEN:
                level = np.rint(np.nan_to_num(means) / step)
                _, level, many = np.unique(level, return_inverse=True, return_counts=True)
                left = rounding(share) * step
                self._shared[:, i], self._rounded[i] = left * np.sqrt(many[level]), share < BARE
                deviation = np.hypot(deviation, left)
            columns.append(deviation)
        return np.column_stack(columns)

    def _edges(self, values: FloatArray, noise: float) -> FloatArray:
        """Largest step between two samples of each stretch: where in between its edge lies is not told."""
        step = np.nan_to_num(np.abs(np.diff(values, append=values[-1])))
        step = np.maximum(step - EDGE_NOISE * noise, 0.0)
        # An edge next to the border of two stretches may belong to either.
        step = np.maximum(step, np.append(0.0, step[:-1]))
        first = np.searchsorted(self.measured.time, self.edges[:-1])
        found: FloatArray = np.maximum.reduceat(step, np.minimum(first, len(step) - 1))
        return found


def _solved(normal: FloatArray, pull: FloatArray, free: np.ndarray) -> FloatArray:
    """A Gauss-Newton step of those that are free."""
    step, places = np.zeros(len(pull)), np.flatnonzero(free)
    step[places] = -np.linalg.solve(_steadied(normal[places[:, None], places]), pull[places])
    return step


def _steadied(normal: FloatArray) -> FloatArray:
    """A normal matrix that can be solved although a shift that nothing feels has no prior."""
    normal.flat[:: len(normal) + 1] += 1e-12 * np.trace(normal)
    return normal


def _cut_off(scaled: FloatArray) -> FloatArray:
    """Residuals cut off: a few at edges must not set the scatter of the plateaus."""
    middle = float(np.median(scaled))
    reach = CLIP * max(1.4826 * float(np.median(np.abs(scaled - middle))), 1e-12)
    found: FloatArray = np.clip(scaled, middle - reach, middle + reach)
    return found
