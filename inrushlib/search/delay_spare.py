"""What a first frame delay leaves to spare, and the delay that is recommended by it.

``recommend``   the delay in the middle of the stretch in which nothing to spare is lost
``Spare``       what one start leaves
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.safety.finding import JUNCTION_RESERVE
from inrushlib.search.islands import Array
from inrushlib.search.quiet import Quiet, with_delay
from inrushlib.startup import Startup, Verdict, simulate
from inrushlib.startup.curves import section_voltages

FLAT = 0.95  # of the most to spare, down to which the stretch counts as flat
SAMPLES = 12  # delays evenly spaced, and as many evenly by factors
FINE = 0.01  # of the range, to which the ends of the flat stretch are found
# A middle later than three times the earliest, or 20 ms after it, spares no more, and the display stays lit longer.
FACTOR_ENOUGH, TIME_ENOUGH = 3.0, 20e-3
NEAR, NEAR_AT_LEAST = 0.25, 0.25e-3  # of the earliest, and [s]: a middle nearer than that to it is no middle


@dataclass(frozen=True)
class Spare:
    """What a start leaves to spare, SI; None where the build has no such thing.

    Attributes
    ----------
    rail : float
        Lowest rail voltage once out of reset, above the level at which it resets [V].
    listening : float
        Lowest voltage of a section while the frame came, above the level at which pixels listen [V].
    heat : float or None
        Hottest junction of the switch, below what it stands [K].
    """

    rail: float
    listening: float
    heat: float | None


@dataclass(frozen=True)
class Recommended:
    """The recommended delay.

    Attributes
    ----------
    start : Startup
        With that delay.
    flat : (float, float or None)
        Stretch of delays around it [s], over which what is to spare stays within 5 % of the most; None where it
        goes on beyond the delays that were looked at.
    spare : Spare
        What it leaves.
    runs : int
        Starts run [1].
    """

    start: Startup
    flat: tuple[float, float | None]
    spare: Spare
    runs: int


def spare_of(start: Startup, frame: float) -> Spare:
    """Return what a start that boots leaves to spare.

    Parameters
    ----------
    start : Startup
        That boots.
    frame : float
        How long a frame takes [s], above 0.
    """
    f, b = start.figures, start.build
    rail = b.controller.rail_voltage if f.lowest_rail_voltage is None else f.lowest_rail_voltage
    taken = start.ready_at or 0.0
    curves = start.at(np.linspace(max(taken - frame, 0.0), taken, 33))
    lowest = min(float(np.min(curves[curve.name])) for curve in section_voltages(b))
    hot = f.highest_junction_temperature
    heat = None if b.switch is None or hot is None else b.switch.highest_junction - hot
    return Spare(rail - b.controller.brownout_falling, lowest - b.pixel.listen_voltage, heat)


def far_enough(takes: float) -> float:
    """Return the delay [s] that is late enough for any scatter of the earliest one: later ones spare no more.

    Parameters
    ----------
    takes : float
        Earliest delay at which the first frame is taken [s].
    """
    return max(FACTOR_ENOUGH * takes, takes + TIME_ENOUGH)


def recommend(build: Build, quiet: Quiet, takes: float, top: float) -> Recommended:
    """Return the delay in the middle of the stretch in which the least of what is to spare stays near its most.

    Each spare counts as a share of the most that any delay leaves of it. Where the least share falls from the
    earliest delay on, the delay is taken that has gone as much of the way to the top as it has lost of the spare.

    Parameters
    ----------
    build : Build
        With a run long enough for the delays.
    quiet : Quiet
        Its start without a frame.
    takes, top : float
        Delays between which to look [s]: from where the first frame is taken to the last that boots.
    """
    low, high = takes, min(top, takes + 2 * (far_enough(takes) - takes))
    starts: dict[float, Startup] = {}

    def run(delay: float) -> Startup:
        if delay not in starts:
            starts[delay] = simulate(with_delay(build, delay))
        return starts[delay]

    delays = _samples(low, high)
    spares = [_left(run(float(delay)), quiet.frame) for delay in delays]
    best = np.max(spares, axis=0)
    scores = np.array([_share(spare, best) for spare in spares])
    level = FLAT * scores.max()
    flat = longest_good(
        delays, scores >= level, lambda d: _share(_left(run(d), quiet.frame), best) >= level, high - low
    )
    at = 0.5 * (flat[0] + flat[1])
    if at - low < max(NEAR * low, NEAR_AT_LEAST) and flat[1] < high:
        way = (delays - low) / max(high - low, 1e-12)
        at = float(delays[int(np.argmax(np.minimum(scores, way)))])
    start = run(at)
    if start.verdict is not Verdict.BOOTS:
        # Between two delays that boot there may be one that does not: then the best of those that were seen to.
        at = float(delays[int(np.argmax(scores))])
        start = run(at)
    goes_on = flat[1] >= high and high < top
    return Recommended(start, (flat[0], None if goes_on else flat[1]), spare_of(start, quiet.frame), len(starts))


def _samples(low: float, high: float) -> Array:
    if not high > low:
        return np.array([low])
    by_factors = np.geomspace(max(low, 1e-3 * high), high, SAMPLES)
    delays = np.unique(np.concatenate([np.linspace(low, high, SAMPLES), by_factors]))
    return delays[(delays >= low) & (delays <= high)]


def _left(start: Startup, frame: float) -> Array:
    """Return the spares as numbers that may be compared, all zero where it does not boot."""
    if start.verdict is not Verdict.BOOTS:
        return np.zeros(3)
    spare = spare_of(start, frame)
    heat = JUNCTION_RESERVE if spare.heat is None else min(spare.heat, JUNCTION_RESERVE)
    return np.maximum([spare.rail, spare.listening, heat], 0.0)


def _share(spare: Array, best: Array) -> float:
    """Return the least share of the most of each spare; a spare that no delay leaves does not count."""
    counts = best > 0
    return float(np.min(spare[counts] / best[counts])) if counts.any() else 0.0


def longest_good(delays: Array, good: Array, is_good: Callable[[float], bool], width: float) -> tuple[float, float]:
    """Return the longest stretch of good delays, its ends found finely.

    Parameters
    ----------
    delays : array
        Delays [s], rising.
    good : array of bool
        Which of them are good [1]; at least one.
    is_good : callable
        Whether a delay [s] between two of them is.
    width : float
        The ends are found to 1 % of it [s].

    Examples
    --------
    >>> delays = np.arange(6.0)
    >>> good = np.array([False, True, False, False, True, True])
    >>> low, high = longest_good(delays, good, lambda delay: delay > 3.3, 1.0)
    >>> round(low, 1), high
    (3.3, 5.0)
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], good, [False])).astype(int)))
    pairs = [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    first, last = max(pairs, key=lambda pair: delays[pair[1]] - delays[pair[0]])
    low, high = float(delays[first]), float(delays[last])
    if first > 0:
        low = _edge(low, float(delays[first - 1]), is_good, FINE * width)
    if last + 1 < len(delays):
        high = _edge(high, float(delays[last + 1]), is_good, FINE * width)
    return low, high


def _edge(inside: float, outside: float, is_good: Callable[[float], bool], fine: float) -> float:
    """Return the last good delay on the way from one inside to one outside."""
    for _ in range(max(0, math.ceil(math.log2(max(abs(outside - inside) / max(fine, 1e-9), 1.0))))):
        middle = 0.5 * (inside + outside)
        if is_good(middle):
            inside = middle
        else:
            outside = middle
    return inside
