"""Fitting keys of a build to a capture.

``fit_build``    values, errors, and what the capture cannot tell
``Fit``          them, and the fitted build
``FittedKey``    one key

The switchings make the misfit jump with time, so it is taken on averages over stretches of the
capture, wide ones first: there an edge that comes late only moves weight between two stretches. Each
key is scanned from its start value up and down before the first descent.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError, SolverError, TraceError
from inrushlib.startup import Cancelled, Curves, run_curves
from inrushlib.trace.align import find_shift, misfit, model_means
from inrushlib.trace.features import curve_figures
from inrushlib.trace.least_squares import Loss, Solution, solve
from inrushlib.trace.prepare import Bins, FloatArray, Measured, bins

COARSE, MIDDLE, FINE = 150, 600, 2000  # stretches of a capture, from the first descent to the last
SCAN = np.geomspace(0.3, 3.0, 11)
REACH = 30.0  # a value may move by this factor from its start
MODEL_SHARE = 0.002  # of a channel's range that the model is not trusted below
UNTOLD_ERROR = 0.3  # relative error from which a value is not told by the capture
TIED = 0.98  # correlation from which two keys are tied
TOLERANCE = 1e-6


@dataclass(frozen=True)
class FittedKey:
    """One fitted key, SI.

    Attributes
    ----------
    value, start, low, high : float
        Fitted value, where it started, bounds.
    error : float or None
        Standard error, residuals' memory counted; None where the capture does not tell the value.
    plain_error : float or None
        The same as if all residuals were independent.
    note : str
        Why there is no error, or that the value stands at a bound; empty otherwise.
    """

    value: float
    error: float | None
    plain_error: float | None
    start: float
    low: float
    high: float
    note: str = ""


@dataclass(frozen=True)
class Fit:
    """A fit of keys to a capture.

    Attributes
    ----------
    keys : dict of str to FittedKey
        By dotted key.
    build : Build
        With the fitted values.
    shift : float
        Time added to the capture's time [s].
    correlation : (k, k) array
        Of the keys, in their order; of relative changes.
    tied : tuple of str
        One sentence for each set of keys that this capture cannot tell apart.
    singular_values : tuple of float
        Of the weighted Jacobian in relative changes of the keys and the shift, largest first.
    memory : float
        Averages in a row that count as one.
    rms : dict of str to float
        Root mean square of the differences of the averages, a quantity [V or A].
    runs : int
        Starts run.
    converged : bool
        Whether the last descent met its stopping rule.
    name, checksum : str
        Of the capture.
    """

    keys: dict[str, FittedKey]
    build: Build
    shift: float
    correlation: FloatArray
    tied: tuple[str, ...]
    singular_values: tuple[float, ...]
    memory: float
    rms: dict[str, float]
    runs: int
    converged: bool
    name: str
    checksum: str


Progress = Callable[[str], None]


def fit_build(
    build: Build,
    measured: Measured,
    keys: Sequence[str],
    *,
    robust: bool = True,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Fit:
    """Return the values of ``keys`` with which the model lies best on the capture.

    Parameters
    ----------
    build : Build
        Start values, and everything that is not fitted.
    measured : Measured
        One or more curves.
    keys : sequence of str
        Dotted keys of single positive numbers, such as ``"adapter.limit_current"``.
    robust : bool
        Whether outliers weigh less (soft L1 loss).
    progress : callable or None
        Called with a sentence at each stage.
    cancelled : callable or None
        Asked before each start; true stops the work with :class:`inrushlib.startup.Cancelled`.

    Raises
    ------
    BuildError
        Where a key is not there or not a single positive number.
    TraceError
        Where the model cannot be run near the start values.
    """
    problem = _Problem(build, measured, _check(build, keys), cancelled)
    tell = progress or (lambda _: None)
    tell("looking for start values")
    x = problem.scan()
    for count, name in ((COARSE, "plateaus"), (MIDDLE, "times"), (FINE, "slopes")):
        tell(f"fitting {name}")
        problem.use(count)
        solution = problem.descend(x, "soft_l1" if robust else "linear")
        x = solution.values
    return _report(problem, solution)


def _check(build: Build, keys: Sequence[str]) -> tuple[str, ...]:
    """Return the keys if each can be fitted."""
    problems = []
    known = build_keys()
    for key in keys:
        value = build.get(key) if key in known else None
        if key not in known:
            problems.append(f"fit {key}: no such key; accepted: keys of the build file, such as adapter.limit_current")
        elif known[key].kind != "number" or not isinstance(value, int | float) or isinstance(value, bool):
            problems.append(f"fit {key}: not a single number in this build; accepted: a key with one number")
        elif not value > 0:
            problems.append(f"fit {key}: its start value is {value:g}; accepted: a start above zero")
    if len(set(keys)) < len(keys):
        problems.append("fit: a key is named twice; accepted: each key once")
    if not keys:
        problems.append("fit: no key is named")
    if problems:
        raise BuildError(problems, build.title)
    return tuple(keys)


class _Problem:
    """The misfit as a function of x: logarithms of the keys over their start, then the shift in spans."""

    def __init__(
        self, build: Build, measured: Measured, keys: tuple[str, ...], cancelled: Callable[[], bool] | None
    ) -> None:
        self.build, self.measured, self.keys, self.cancelled = build, measured, keys, cancelled
        self.start = np.array([float(build.get(key)) for key in keys])
        self.span = float(measured.time[-1] - measured.time[0])
        info = build_keys()
        low = np.array([max(info[key].low, s / REACH) for key, s in zip(keys, self.start, strict=True)])
        high = np.array([min(info[key].high, s * REACH) for key, s in zip(keys, self.start, strict=True)])
        self.lower = np.append(np.log(np.maximum(low, 1e-30) / self.start), -np.inf)
        self.upper = np.append(np.log(high / self.start), np.inf)
        self.runs = 0
        self.use(COARSE)

    def use(self, count: int) -> None:
        """Take averages over ``count`` stretches, each weighed by its noise."""
        self.bins: Bins = bins(self.measured, count)
        self.sigma = {}
        for quantity, means in self.bins.means.items():
            floor = MODEL_SHARE * float(np.nanmax(means) - np.nanmin(means))
            with np.errstate(divide="ignore"):
                noise = self.measured.noise[quantity] / np.sqrt(self.bins.counts[quantity])
            self.sigma[quantity] = np.hypot(noise, max(floor, 1e-12))

    def values(self, x: FloatArray) -> FloatArray:
        found: FloatArray = self.start * np.exp(x[:-1])
        return found

    def curves(self, x: FloatArray) -> Curves | None:
        """Run the model; None where these values make no build or the run fails."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled("the fit was stopped")
        self.runs += 1
        try:
            changed = self.build.with_values(dict(zip(self.keys, map(float, self.values(x)), strict=True)))
            return run_curves(changed, tolerance=TOLERANCE)
        except (BuildError, SolverError):
            return None

    def residual(self, x: FloatArray) -> FloatArray:
        """Differences of the averages in units of their noise, one channel after the other."""
        curves = self.curves(x)
        parts = []
        model = None if curves is None else model_means(curves, self.bins.edges, float(x[-1]) * self.span)
        for quantity, means in self.bins.means.items():
            good = np.isfinite(means)
            away = (
                means[good] - model[quantity][good] if model is not None else np.full(good.sum(), np.ptp(means[good]))
            )
            parts.append(away / self.sigma[quantity][good])
        return np.concatenate(parts)

    def split(self, residual: FloatArray) -> list[FloatArray]:
        """Cut a residual vector into its channels."""
        ends = np.cumsum([int(np.isfinite(m).sum()) for m in self.bins.means.values()])[:-1]
        return np.split(residual, ends)

    def cost(self, x: FloatArray) -> tuple[float, float]:
        """Misfit at the best shift, and that shift, in spans."""
        curves = self.curves(x)
        if curves is None:
            return np.inf, float(x[-1])
        shift = find_shift(self.measured, curves)
        return misfit(self.bins, curves, shift), shift / self.span

    def scan(self) -> FloatArray:
        """Return where the descent starts: each key in turn up and down, twice."""
        x = np.zeros(len(self.keys) + 1)
        best, x[-1] = self.cost(x)
        x, best = self._try_boot_time(x, best)
        for _ in range(2):
            for i in range(len(self.keys)):
                for factor in SCAN:
                    trial = x.copy()
                    trial[i] = np.clip(x[i] + np.log(factor), self.lower[i], self.upper[i])
                    cost, trial[-1] = self.cost(trial)
                    if cost < best:
                        best, better = cost, trial
                        x = better
        if not np.isfinite(best):
            raise TraceError("the model cannot be run at or near the build's values", self.measured.name)
        return x

    def _try_boot_time(self, x: FloatArray, best: float) -> tuple[FloatArray, float]:
        """Move the boot time by what the release is late, where both show one."""
        key = "controller.boot_time"
        curves = self.curves(x)
        if key not in self.keys or curves is None:
            return x, best
        i = self.keys.index(key)
        for quantity, values in self.measured.curves.items():
            current = quantity.endswith("current")
            ours = curve_figures(self.measured.time, values, current=current).release_at
            modelled = curves.at(self.measured.time + x[-1] * self.span)[quantity]
            theirs = curve_figures(self.measured.time, modelled, current=current).release_at
            if ours is None or theirs is None or self.start[i] + ours - theirs <= 0:
                continue
            trial = x.copy()
            trial[i] = np.log((self.start[i] + ours - theirs) / self.start[i])
            cost, trial[-1] = self.cost(trial)
            if cost < best:
                x, best = trial, cost
        return x, best

    def descend(self, x: FloatArray, loss: Loss) -> Solution:
        """Least squares from x."""
        solution = solve(self.residual, x, self.lower, self.upper, split=self.split, loss=loss, step=1e-4, most_runs=60)
        return replace(solution, runs=self.runs)


def _report(problem: _Problem, solution: Solution) -> Fit:
    values = problem.values(solution.values)
    tied = _tied(problem.keys, solution)
    keys = {}
    for i, key in enumerate(problem.keys):
        relative = float(solution.errors[i])
        note = next((sentence for names, sentence in tied if key in names), "")
        if not relative < UNTOLD_ERROR and not note:
            note = "this capture does not tell it"
        low, high = (float(problem.start[i] * np.exp(b[i])) for b in (problem.lower, problem.upper))
        if not note and min(values[i] / low, high / values[i]) < 1.001:
            note = "at its bound"
        told = not note
        error = float(relative * values[i]) if told else None
        plain = None if error is None else error / float(np.sqrt(solution.memory))
        keys[key] = FittedKey(float(values[i]), error, plain, float(problem.start[i]), low, high, note)
    rms = {}
    for (quantity, means), r in zip(problem.bins.means.items(), problem.split(solution.residual), strict=True):
        rms[quantity] = float(np.sqrt(np.mean((r * problem.sigma[quantity][np.isfinite(means)]) ** 2)))
    return Fit(
        keys,
        problem.build.with_values({key: fitted.value for key, fitted in keys.items()}),
        float(solution.values[-1] * problem.span),
        solution.correlation[:-1, :-1],
        tuple(sentence for _, sentence in tied),
        tuple(float(s) for s in solution.singular_values),
        solution.memory,
        rms,
        problem.runs,
        solution.converged,
        problem.measured.name,
        problem.measured.checksum,
    )


def _tied(keys: tuple[str, ...], solution: Solution) -> list[tuple[set[str], str]]:
    """Return the sets of keys that the capture cannot tell apart, each with its sentence."""
    found: list[tuple[set[str], str]] = []
    for i, a in enumerate(keys):
        for j in range(i):
            both = max(solution.errors[i], solution.errors[j]) > 0.05
            if abs(solution.correlation[i, j]) > TIED and both:
                names = {a, keys[j]}
                found.append((names, f"this capture cannot tell {keys[j]} and {a} apart: only a combination is told"))
    if not found and not np.all(np.isfinite(solution.errors)):
        strong = [key for key, part in zip(keys, solution.weakest, strict=False) if abs(part) > 0.3]
        found.append((set(strong), f"this capture cannot tell {' and '.join(strong) or 'the time shift'}"))
    return found
