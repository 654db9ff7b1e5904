"""How far the curves of a start scatter over the ranges of a build's values.

``curve_bands``  of bus, rail and lead
``CurveBands``   these beside the curves of the values as they stand
``Bands``, ``bands_of``
                 5, 50 and 95 % of one curve at each instant
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import SolverError, UsageError, stop_where
from inrushlib.odds.draw import Draw
from inrushlib.odds.key_ranges import Which, key_ranges
from inrushlib.odds.points import chunks, plan
from inrushlib.odds.spread import SEED
from inrushlib.startup import BUS_VOLTAGE, LEAD_CURRENT, RAIL_VOLTAGE, Curve, Startup, run_curves, simulate
from inrushlib.startup.effort import SCREEN_TOLERANCE

Array = NDArray[np.float64]

SHARES: Final = (0.05, 0.5, 0.95)
CURVES: Final = (BUS_VOLTAGE, RAIL_VOLTAGE, LEAD_CURRENT)
RUNS_OF_CURVES: Final = 128
POINTS: Final = 500
"""Instants of a curve [1]."""
BEYOND: Final = 1.6
"""How far the picture reaches, as a multiple of when all pixels show their data [1]."""


@dataclass(frozen=True)
class Bands:
    """A curve over many runs: what 5, 50 and 95 % of them stay below at each instant.

    Attributes
    ----------
    time : (n,) array
        Instants [s].
    low, middle, high : (n,) array
        5, 50 and 95 % [V or A].
    """

    time: Array
    low: Array
    middle: Array
    high: Array


@dataclass(frozen=True, kw_only=True)
class CurveBands:
    """Curves over the ranges of a build's values, beside those of the values as they stand.

    Attributes
    ----------
    start : Startup
        With the values as they stand.
    bands : dict of Curve to Bands
        Of bus, rail and lead [V or A].
    nominal : dict of Curve to array
        The curves of ``start`` at the same instants [V or A].
    runs, failed : int
        Runs, and how many of them could not be finished [1]; those are not among the bands.
    """

    start: Startup
    bands: dict[Curve, Bands]
    nominal: dict[Curve, Array]
    runs: int
    failed: int


def bands_of(time: Array, curves: Array) -> Bands:
    """Return the bands of many curves.

    Parameters
    ----------
    time : (n,) array
        Instants [s].
    curves : (runs, n) array
        A curve a run, at these instants [V or A].

    Examples
    --------
    >>> bands_of(np.array([0.0]), np.arange(101.0)[:, None]).high.tolist()
    [95.0]
    """
    low, middle, high = np.quantile(curves, SHARES, axis=0)
    return Bands(time, low, middle, high)


def curve_bands(
    build: Build,
    *,
    runs: int = RUNS_OF_CURVES,
    seed: int = SEED,
    which: Which = Which.ALL,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CurveBands:
    """Return how far bus, rail and lead scatter over the ranges of a build's values.

    At each instant by itself: no single run need follow the edge of a band.

    Parameters
    ----------
    build : Build
        Any build.
    runs : int
        Runs at least [1], 64 or more; each keeps its curves, so that a picture takes hundreds and not thousands.
    seed : int
        Of the points [1], 0 or more.
    which : Which
        Which keys are spread.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between runs; true stops the work.

    Raises
    ------
    BuildError
        Where a stated range is not right.
    UsageError
        Where there is nothing to spread, a number of runs that is not accepted, or where no run could be finished.
    SolverError
        Where the start with the values as they stand could not be finished.
    Cancelled
        Where the caller asked to stop.
    """
    draw = Draw(build, key_ranges(build, which))
    if not draw.ranges:
        raise UsageError(f"{build.title}: nothing to spread; no value of it has a range")
    planned, start = plan(runs), simulate(build)
    shown = start.build.run.duration if start.ready_at is None else BEYOND * start.ready_at
    time = np.linspace(0.0, min(shown, start.build.run.duration), POINTS)
    found: list[Array] = []
    done = 0
    for chunk in chunks(planned, len(draw.dimensions), seed):
        for point in draw.tied(chunk.points):
            stop_where(cancelled, "before all starts were run")
            try:
                curves = run_curves(draw.at(point), tolerance=SCREEN_TOLERANCE).at(time)
                found.append(np.array([curves[curve.name] for curve in CURVES]))
            except SolverError:
                pass  # counted below
            done += 1
            if progress is not None:
                progress(done / planned.runs)
    if not found:
        raise UsageError(f"{build.title}: none of {planned.runs} runs over the ranges of its values could be finished")
    stacked, nominal = np.array(found), start.at(time)
    return CurveBands(
        start=start,
        bands={curve: bands_of(time, stacked[:, i]) for i, curve in enumerate(CURVES)},
        nominal={curve: nominal[curve.name] for curve in CURVES},
        runs=planned.runs,
        failed=planned.runs - len(found),
    )
