"""The misfit of a build against a capture, as a function of the logarithms of its keys.

``Problem``    residuals, and their slopes with the instrument's errors following the keys
``Point``      a run at some values, settled on the capture
``descend``    from a point to the foot of its valley
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError, SolverError
from inrushlib.startup import Cancelled, Curves, run_curves
from inrushlib.startup.effort import SCREEN_TOLERANCE
from inrushlib.trace.align import rough_shift
from inrushlib.trace.averages import Integrals
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.least_squares import solve
from inrushlib.trace.fit.observation import (
    OUTLIER,
    Accuracy,
    Disturbance,
    Observation,
    Settled,
    robust,
    root_weights,
)  # fmt: skip
from inrushlib.trace.fit.sampling import BY_CHANCE
from inrushlib.trace.prepare import FloatArray

REACH = 30.0  # a value may move by this factor from its start
WEAK = 3.0  # standard deviation of a key's logarithm: keeps what is not told near its start
STEP, LEAST_STEP, LARGEST_STEP = 1e-3, 3e-6, 3e-3  # of differences, of a logarithm
LONGER = 0.1  # of the capture, by which a run that is too short is made longer than needed
TWO_SIDED = 600  # stretches from which differences are two-sided
WIDER = (60, 200, 600)  # stretches of the averages on which a run is lined up
FAILED = 30.0  # residual where there is no run
ROWS = 1500  # steps of a run from which it takes long


Places = NDArray[np.intp]


@dataclass(frozen=True)
class Point:
    """A run, and what the instrument makes of it.

    Attributes
    ----------
    x : (k,) array
        Logarithms of the keys over their start [1].
    run : Integrals
        The model's run there.
    settled : Settled
        What the instrument would show of it.
    """

    x: FloatArray
    run: Integrals
    settled: Settled

    @property
    def residual(self) -> FloatArray:
        """Differences, pulls of the instrument's errors, pulls of the keys; in standard deviations."""
        return np.append(self.settled.residual, self.x / WEAK)

    @property
    def cost(self) -> float:
        """Sum of squares as the robust loss takes them [1]."""
        return float(np.sum(robust(self.residual)))


@dataclass(frozen=True)
class Slopes:
    """Derivatives at a point, over the keys.

    Attributes
    ----------
    held, following : (n, k) array
        Of the residual, with the instrument's errors held and with them following [1].
    follow : (m, k) array
        Of the instrument's errors [1].
    x : (k,) array
        Where [1].
    delay : (k,) array
        Of the shift, if it alone follows [1].
    """

    held: FloatArray
    following: FloatArray
    follow: FloatArray
    x: FloatArray
    delay: FloatArray

    def delayed(self, near: Point, x: FloatArray) -> FloatArray:
        """Instrument errors to begin with far away, at ``x`` [1], from the point ``near``: the shift alone follows.

        Shift, low pass and skew all delay: close by all of them follow, and together, but far away they fall apart.
        """
        moved = near.settled.errors.copy()
        moved[0] += self.delay @ (np.exp(x - self.x) - np.exp(near.x - self.x))
        return moved

    def errors(self, near: Point, x: FloatArray) -> FloatArray:
        """Instrument errors to begin with at ``x`` [1], from the point ``near``: the shift goes with values."""
        moved = near.settled.errors + self.follow @ (x - near.x)
        moved[0] = near.settled.errors[0] + self.follow[0] @ (np.exp(x - self.x) - np.exp(near.x - self.x))
        return moved


class Problem:
    """Residuals as a function of x.

    Parameters
    ----------
    build : Build
        Start values, and everything that is not fitted.
    samples : Samples
        The capture.
    keys : sequence of str
        What is fitted.
    accuracy : Accuracy
        Of the instrument.
    cancelled : callable or None
        Asked before runs.
    """

    def __init__(
        self, build: Build, samples: Samples, keys: Sequence[str], accuracy: Accuracy | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> None:  # fmt: skip
        self.build, self.samples, self.keys = build, samples, tuple(keys)
        self.accuracy = accuracy or Accuracy()
        self.along: tuple[Disturbance, ...] = ()
        self.latest = build.run.duration
        self.start = np.array([float(build.get(key)) for key in keys])
        info = build_keys()
        low = np.array([max(info[key].low, s / REACH, 1e-30) for key, s in zip(keys, self.start, strict=True)])
        high = np.array([min(info[key].high, s * REACH) for key, s in zip(keys, self.start, strict=True)])
        self.lower, self.upper = np.log(low / self.start), np.log(high / self.start)
        self.steps = np.full(len(keys), STEP)
        self.runs = 0
        self.cancelled = cancelled
        self._pool = ThreadPoolExecutor(max_workers=min(4, os.cpu_count() or 1))
        self.use(60)

    def use(self, count: int, tolerance: float = SCREEN_TOLERANCE) -> None:
        """Take averages over at most ``count`` stretches [1], and run the model to this ``tolerance`` [1]."""
        self.tolerance, self.two_sided = tolerance, count >= TWO_SIDED
        self.seen = Observation(self.samples, count, self.accuracy, self.along)
        wider = [wide for wide in WIDER if wide < count]
        self.wider = [Observation(self.samples, wide, self.accuracy, self.along) for wide in wider]

    def cover(self, shift: float) -> bool:
        """Run on to the capture's end at ``shift`` [s], for a run's end must tell nothing; whether that is longer."""
        end = float(self.samples.measured.time[-1]) + shift
        short = end > self.build.run.duration
        if short:
            self.build = self.build.with_values({"run.duration": end + LONGER * self.seen.span})
        return short

    def values(self, x: FloatArray) -> FloatArray:
        """Values of the keys at ``x`` [1], in SI; a key that did not move is exactly its start."""
        found: FloatArray = np.where(x == 0.0, self.start, self.start * np.exp(x))
        return found

    def curves(self, x: FloatArray) -> Curves | None:
        """Run the model at ``x`` [1]; None where these values make no build or the run fails."""
        try:
            changed = self.build.with_values(dict(zip(self.keys, map(float, self.values(x)), strict=True)))
            return run_curves(changed, tolerance=self.tolerance)
        except (BuildError, SolverError):
            return None

    def run_all(self, points: Sequence[FloatArray]) -> list[Integrals | None]:
        """Run the model at several x, shared among threads.

        Parameters
        ----------
        points : sequence of (k,) array
            Logarithms of the keys over their start [1].

        Raises
        ------
        Cancelled
            Where the caller has asked to stop.
        """
        if self.cancelled is not None and self.cancelled():
            raise Cancelled("the fit was stopped")
        self.runs += len(points)
        runs = self._pool.map(self.curves, points)
        return [None if run is None else Integrals(run, self.seen.quantities) for run in runs]

    def point(self, x: FloatArray, errors: FloatArray) -> Point | None:
        """Return the run at ``x`` [1], settled from these ``errors`` [1].

        None where there is no run, and where the capture would begin after the end of the build's run.
        """
        (run,) = self.run_all([x])
        if run is None:
            return None
        point = Point(x, run, self.seen.settle(run, errors))
        shift = self.seen.shift(point.settled.errors)
        if float(self.samples.measured.time[0]) + shift > self.latest:
            return None
        return self.point(x, point.settled.errors) if self.cover(shift) else point

    def lined_up(self, point: Point) -> Point:
        """Return ``point`` settled from the shift that lies best of all, or on wide averages, where that is better."""
        errors, found = point.settled.errors.copy(), [point]
        errors[0] = self.seen.nothing(rough_shift(self.samples.measured, point.run, len(self.seen.middles)))[0]
        for begin in (errors, point.settled.errors):
            # An edge pulls from as far away as an average is wide.
            for wide in self.wider:
                begin = wide.settle(point.run, begin).errors
            found.append(Point(point.x, point.run, self.seen.settle(point.run, begin)))
        return self.slower(min(found, key=lambda p: p.cost))

    def slower(self, point: Point) -> Point:
        """Return ``point`` settled from a low pass in one channel, where that is better by more than chance.

        To first order a low pass is a delay, which shift and skew are as well: a descent from none stays there.
        """
        found = []
        for place in np.flatnonzero(self.seen.positive):
            errors = point.settled.errors.copy()
            errors[place] = max(errors[place], 1.0)
            found.append(Point(point.x, point.run, self.seen.settle(point.run, errors)))
        best = min(found, key=lambda p: p.cost)
        return best if point.cost - best.cost > BY_CHANCE else point

    def again(self, point: Point) -> Point:
        """Return ``point`` with the averages, weights and tolerance as they are now."""
        errors = self.seen.nothing(0.0)
        errors[: min(len(errors), len(point.settled.errors))] = point.settled.errors[: len(errors)]
        return self.point(point.x, errors) or Point(point.x, point.run, self.seen.settle(point.run, errors))

    def slopes(self, point: Point, free: Places | None = None, *, rough: bool = False) -> Slopes:
        """Return derivatives at ``point`` over the ``free`` keys (places [1]), the errors following to first order.

        By two-sided differences on fine averages; by one-sided ones where ``rough`` ones will do.
        """
        k, settled, seen = len(self.keys), point.settled, self.seen
        two_sided = self.two_sided and not rough
        free = np.arange(k) if free is None else free
        ends = []
        for i in free:
            for way in (1.0, -1.0)[: 2 if two_sided else 1]:
                moved = point.x.copy()
                moved[i] += way * self.steps[i] * (-1.0 if moved[i] + self.steps[i] > self.upper[i] else 1.0)
                ends.append(moved)
        shown = [None if run is None else seen.told(seen.at(run, settled.errors).shown) for run in self.run_all(ends)]
        own = settled.residual[: len(settled.residual) - seen.count]
        held = np.zeros((len(point.residual), k))
        for n, i in enumerate(free):
            up, down = (shown[2 * n], shown[2 * n + 1]) if two_sided else (shown[n], own)
            if up is not None and down is not None:
                apart = ends[2 * n][i] - ends[2 * n + 1][i] if two_sided else ends[n][i] - point.x[i]
                held[: len(own), i] = (up - down) / apart
        rows = len(settled.residual)
        follow = seen.follow(settled, held[:rows])
        following = held.copy()
        following[:rows] += settled.slopes @ follow
        following[rows:] = held[rows:] = np.eye(k) / WEAK
        weights = root_weights(settled.residual) ** 2 * settled.slopes[:, 0]
        delay = -(weights @ held[:rows]) / max(float(weights @ settled.slopes[:, 0]), 1e-12)
        return Slopes(held, following, follow, point.x, delay)

    def set_steps(self, slopes: Slopes) -> None:
        """Difference by the error that each key, by ``slopes``, has if all else is known: short enough for edges."""
        length = np.sqrt(np.sum(slopes.held[: -len(self.keys)] ** 2, axis=0))
        self.steps = np.clip(1.0 / np.maximum(length, 1e-12), LEAST_STEP, LARGEST_STEP)


def descend(
    problem: Problem, point: Point, free: Places | None = None, *, fineness: float = 1e-3, steps: int = 12
) -> Point:
    """Return the foot of the valley that a point lies in.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    point : Point
        Where to begin.
    free : (m,) array of int or None
        The keys that may move; all where None.
    fineness : float
        Relative change of the sum of squares at which it stops [1], above 0.
    steps : int
        Trials at most [1].
    """
    free = np.arange(len(problem.keys)) if free is None else free
    if not len(free):
        return point
    known: dict[bytes, Point | None] = {point.x[free].tobytes(): point}
    slopes: Slopes | None = None
    origin = point

    def at(z: FloatArray) -> Point | None:
        key = z.tobytes()
        if key not in known:
            x = point.x.copy()
            x[free] = z
            known[key] = problem.point(x, slopes.errors(origin, x) if slopes else origin.settled.errors)
        return known[key]

    def residual(z: FloatArray) -> FloatArray:
        found = at(z)
        return np.full(len(point.residual), FAILED) if found is None else found.residual

    def jacobian(z: FloatArray) -> FloatArray:
        nonlocal slopes, origin
        found = at(z)
        if found is None:
            return np.zeros((len(point.residual), len(free)))
        # Where a run takes long, slopes that only lead on are had for half the runs; the cost decides.
        slopes, origin = problem.slopes(found, free, rough=found.run.rows >= ROWS), found
        columns: FloatArray = slopes.following[:, free]
        return columns

    solve(
        residual, point.x[free], problem.lower[free], problem.upper[free], jacobian=jacobian, loss="soft_l1",
        outlier=OUTLIER, fineness=fineness, most_steps=steps,
    )  # fmt: skip
    return min((found for found in known.values() if found is not None), key=lambda found: found.cost)
