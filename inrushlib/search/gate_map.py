"""The window for the first frame over the gate's resistance and capacitance.

``gate_map``   earliest and latest delay on a grid, and the boundary of where the build's own delay boots
``GateMap``    the map
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import BuildError, UsageError, stop_where
from inrushlib.search.axis import Array, Axis, check_axes
from inrushlib.search.islands import Asked, Progress
from inrushlib.search.map import VerdictMap, verdict_map
from inrushlib.search.quiet import NoWindow, quiet_start
from inrushlib.search.window import QUICK_TOLERANCE, is_open, quick_window

RESISTANCE, CAPACITANCE = "switch.gate_resistance", "switch.gate_drain_capacitance"
COUNT, OWN_COUNT = 8, 40  # values along each axis: of the windows, of the map at the build's own delay
SPAN = 10.0  # the ranges go from this factor below the build's own value to as much above
LEAST_CAPACITANCE = 0.1e-9  # [F] stands for a gate-drain capacitance of zero
HIGHEST_DIVIDER = 0.5  # of the pull-up: above that the gate no longer comes low enough
OWN_SHARE = 0.3  # of the work


@dataclass(frozen=True, kw_only=True)
class GateMap:
    """The window for the first frame over gate resistance and gate-drain capacitance.

    Attributes
    ----------
    resistance : (nx,) array
        Gate resistances [ohm].
    capacitance : (ny,) array
        Gate-drain capacitances [F], what the builder adds included.
    earliest, latest : (ny, nx) array
        Edges of the widest stretch of ``first_frame_delay`` that boots, from run [s]; NaN where none does,
        ``latest`` infinite where there is no late edge.
    own : VerdictMap
        The verdict at the build's own delay over the same ranges, on a finer grid, its boundary followed.
    """

    resistance: Array
    capacitance: Array
    earliest: Array
    latest: Array
    own: VerdictMap


def gate_map(
    build: Build,
    resistance: Axis | None = None,
    capacitance: Axis | None = None,
    *,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
) -> GateMap:
    """Return the window for the first frame over the gate's resistance and capacitance.

    The edges are found to 50 us or 2 %; :func:`inrushlib.search.window.delay_window` finds those of one build
    more finely.

    Parameters
    ----------
    build : Build
        With a P-channel switch.
    resistance, capacitance : Axis or None
        Over ``switch.gate_resistance`` and ``switch.gate_drain_capacitance``; None for a factor of ten either
        side of the build's own value.
    progress, cancelled : callable or None
        As in :func:`inrushlib.search.map.verdict_map`.

    Raises
    ------
    UsageError
        Where an axis is of another key, or cannot be mapped over.
    BuildError
        Where the build has no P-channel switch.
    Cancelled
        Where the caller asked to stop.
    """
    switch = build.switch
    if switch is None or switch.kind != "p-channel":
        found = "none" if switch is None else switch.kind
        raise BuildError(f"switch: {found}; accepted: a build with a P-channel [switch]", build.title)
    top = max(HIGHEST_DIVIDER * switch.pullup_resistance, switch.gate_resistance)
    x = resistance or _around(RESISTANCE, switch.gate_resistance, top)
    y = capacitance or _around(CAPACITANCE, max(switch.gate_drain_capacitance, LEAST_CAPACITANCE))
    for axis, key in ((x, RESISTANCE), (y, CAPACITANCE)):
        if axis.key != key:
            raise UsageError(f"{axis.key}: no axis of this map; accepted: {key}", build.title)
    check_axes(build, x, y)
    share = None if progress is None else lambda done: progress(OWN_SHARE * done)
    own = verdict_map(build, _finer(x), _finer(y), progress=share, cancelled=cancelled)
    edges = np.full((len(y.values), len(x.values), 2), np.nan)
    for row, value in enumerate(y.values):
        for column, ohms in enumerate(x.values):
            stop_where(cancelled, "before all windows were found")
            edges[row, column] = _window(build.with_values({RESISTANCE: float(ohms), CAPACITANCE: float(value)}))
            if progress is not None:
                done = (row * len(x.values) + column + 1) / (len(x.values) * len(y.values))
                progress(OWN_SHARE + (1 - OWN_SHARE) * done)
    return GateMap(resistance=x.values, capacitance=y.values, earliest=edges[:, :, 0], latest=edges[:, :, 1], own=own)


def _around(key: str, value: float, top: float = np.inf) -> Axis:
    return Axis(key, value / SPAN, min(value * SPAN, top), COUNT, log=True)


def _finer(axis: Axis) -> Axis:
    return Axis(axis.key, axis.low, axis.high, max(axis.count, OWN_COUNT), axis.log)


def _window(build: Build) -> tuple[float, float]:
    """Return earliest and latest delay [s], NaN where none boots, the latest infinite where there is none."""
    quiet = quiet_start(build, tolerance=QUICK_TOLERANCE)
    window = None if isinstance(quiet, NoWindow) else quick_window(quiet)
    if window is None:
        return np.nan, np.nan
    return window.low, np.inf if is_open(window) else window.high
