"""The misfit of a build against a capture, as a function of numbers that a descent can move.

``Problem``    residuals and their slopes for keys, time shift and the scope's errors
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError, SolverError
from inrushlib.startup import Cancelled, Curves, run_curves
from inrushlib.trace.averages import Integrals, Stretches, stretches
from inrushlib.trace.fit.scope import PARTS, Scope, Weights
from inrushlib.trace.prepare import FloatArray, Measured

REACH = 30.0  # a value may move by this factor from its start
STEP = 1e-3  # relative, of two-sided differences, until it is known how well a key is told
LEAST_STEP, LARGEST_STEP = 3e-6, 3e-3
COARSE, USUAL, FINEST = 1e-4, 1e-5, 1e-6  # tolerances of the runs [V or A per 1 + value]
UNSEEN = 0.03  # distance of two runs, all averages together and in units of their noise, that moves no value


class Problem:
    """Residuals as a function of x: logarithms of the keys over their start, shift in spans, errors of the scope.

    The errors of the scope are in units of what is usual. Each pulls towards none with a residual of its own,
    so that a capture that does not tell it leaves it there.
    """

    def __init__(
        self, build: Build, measured: Measured, keys: Sequence[str], cancelled: Callable[[], bool] | None = None
    ) -> None:
        self.build, self.measured, self.keys = build, measured, tuple(keys)
        self.quantities = tuple(measured.curves)
        self.start = np.array([float(build.get(key)) for key in keys])
        self.span = float(measured.time[-1] - measured.time[0])
        info = build_keys()
        low = np.array([max(info[key].low, s / REACH) for key, s in zip(keys, self.start, strict=True)])
        high = np.array([min(info[key].high, s * REACH) for key, s in zip(keys, self.start, strict=True)])
        free = np.full(1 + PARTS * len(self.quantities), np.inf)
        self.lower = np.append(np.log(np.maximum(low, 1e-30) / self.start), -free)
        self.upper = np.append(np.log(high / self.start), free)
        self.steps = np.full(len(keys), STEP)
        self.runs = 0
        self._cancelled = cancelled
        self._pool = ThreadPoolExecutor(max_workers=min(4, os.cpu_count() or 1))
        self._kept: tuple[bytes | None, Integrals | None] = (None, None)
        self.use(150)

    @property
    def nothing(self) -> FloatArray:
        """The x of the build as it is, unshifted."""
        return np.zeros(len(self.lower))

    def use(self, count: int, tolerance: float = COARSE) -> None:
        """Take averages over at most ``count`` stretches, and run the model to this tolerance."""
        self.most, self.tolerance = count, tolerance
        self.averages: Stretches = stretches(self.measured, count)
        self._kept = (None, None)
        self.scope = Scope(self.measured, self.averages)
        self.weights: Weights = self.scope.first_weights()

    def run_to(self, tolerance: float) -> None:
        """Run the model to this tolerance from now on, weights left as they are."""
        self.tolerance = tolerance
        self._kept = (None, None)

    def run_as_told(self, x: FloatArray, coarser: float, finer: float) -> None:
        """Run to the coarser of two tolerances [V or A per 1 + value] if the noise hides what that changes at x."""
        self.run_to(finer)
        exact = self.residual(x)
        self.run_to(coarser)
        if not float(np.linalg.norm(self.residual(x) - exact)) < UNSEEN:
            self.run_to(finer)

    def values(self, x: FloatArray) -> FloatArray:
        """Values of the keys, SI."""
        found: FloatArray = self.start * np.exp(x[: len(self.keys)])
        return found

    def shift(self, x: FloatArray) -> float:
        """Time to add to the capture's time [s]."""
        return float(x[len(self.keys)] * self.span)

    def zeros(self, x: FloatArray) -> FloatArray:
        """What each channel shows where there is nothing [V or A]."""
        return self.scope.zeros(x[len(self.keys) + 1 :])

    def curves(self, x: FloatArray) -> Curves | None:
        """Run the model; None where these values make no build or the run fails."""
        try:
            changed = self.build.with_values(dict(zip(self.keys, map(float, self.values(x)), strict=True)))
            return run_curves(changed, tolerance=self.tolerance)
        except (BuildError, SolverError):
            return None

    def run_all(self, points: Sequence[FloatArray]) -> list[Curves | None]:
        """Run the model at several x, shared among threads."""
        if self._cancelled is not None and self._cancelled():
            raise Cancelled("the fit was stopped")
        self.runs += len(points)
        return list(self._pool.map(self.curves, points))

    def integrals(self, x: FloatArray) -> Integrals | None:
        """The run at x; the last one is kept, so that shift and the scope's errors cost none."""
        if self._kept[0] != x[: len(self.keys)].tobytes():
            self.keep(x, self.run_all([x])[0])
        return self._kept[1]

    def keep(self, x: FloatArray, run: Curves | None) -> None:
        """Take this run for the one at x, until another is asked for."""
        self._kept = (x[: len(self.keys)].tobytes(), None if run is None else Integrals(run, self.quantities))

    def away(self, x: FloatArray) -> FloatArray:
        """Averages measured minus modelled, shape (k, quantities); the range where there is no model."""
        run = self.integrals(x)
        if run is None:
            return np.where(self.averages.good, self.scope.ranges, np.nan)
        seen = run.means(self.averages.edges, self.shift(x)) + self.scope.errors(x[len(self.keys) + 1 :])
        away: FloatArray = self.averages.means - seen
        return away

    def residual(self, x: FloatArray) -> FloatArray:
        """Differences in units of their noise, one channel after the other, then the scope's errors."""
        return np.append(self._told(self.away(x)), x[len(self.keys) + 1 :])

    def _told(self, away: FloatArray) -> FloatArray:
        """Differences, shape (k, quantities) [V or A], as independent ones in units of their noise."""
        return self.scope.as_independent(away, self.weights.counted)

    def jacobian(self, x: FloatArray) -> FloatArray:
        """Slopes of the residuals: keys by two-sided differences, all else exactly."""
        k = len(self.keys)
        points = []
        for i in range(k):
            up, down = x.copy(), x.copy()
            up[i] = min(x[i] + self.steps[i], self.upper[i])
            down[i] = max(x[i] - self.steps[i], self.lower[i])
            points += [up, down]
        runs = self.run_all(points)
        edges = self.averages.edges
        slopes = [np.zeros_like(self.averages.means) for _ in range(k)]
        for i in range(k):
            above, below = runs[2 * i], runs[2 * i + 1]
            if above is None or below is None:
                continue
            means = [Integrals(run, self.quantities).means(edges, self.shift(x)) for run in (above, below)]
            slopes[i] = (means[0] - means[1]) / (points[2 * i][i] - points[2 * i + 1][i])
        run = self.integrals(x)
        moving = np.zeros_like(self.averages.means) if run is None else run.slopes(edges, self.shift(x)) * self.span
        slopes.append(moving)
        columns = [self._told(-slope) for slope in slopes]
        for i in range(len(self.quantities)):
            for part in range(PARTS):
                own = np.zeros_like(self.averages.means)
                own[:, i] = -self.scope.columns[:, i, part]
                columns.append(self._told(own))
        prior = np.eye(self.scope.count, len(columns), k + 1)
        return np.concatenate([np.column_stack(columns), prior])

    def without(self, places: Sequence[int]) -> Problem:
        """Return the problem without some keys, which stay at the build's values."""
        keys = [key for i, key in enumerate(self.keys) if i not in places]
        fewer = Problem(self.build, self.measured, keys, self._cancelled)
        fewer.runs = self.runs
        fewer.use(self.most, self.tolerance)
        return fewer

    def off(self, x: FloatArray) -> float:
        """Return how far the model is off at x: largest scatter of a channel's differences over its noise [1]."""
        return max(self.scope.weights(self.away(x)).excess.values())

    def weigh(self, x: FloatArray) -> None:
        """Take weights, the converter's levels and the steps of differences from the fit at x.

        A step is the error that a key would have if all else were known: short enough for edges, which move
        by less than their stretch then, and long enough for the noise of the runs.
        """
        run = self.integrals(x)
        if run is None:
            return
        self.scope.place(run.means(self.averages.edges, self.shift(x)))
        self.weights = self.scope.weights(self.away(x))
        length = np.sqrt(np.sum(self.jacobian(x)[:, : len(self.keys)] ** 2, axis=0))
        self.steps = np.clip(1.0 / np.maximum(length, 1e-12), LEAST_STEP, LARGEST_STEP)
