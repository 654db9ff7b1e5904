"""The window for the first frame: how long to wait between closing the switch and the first data.

``delay_window``   earliest, latest and recommended ``first_frame_delay``
``quick_window``   its edges only, less finely

The start without a frame (``quiet``) tells when each section listens and when the controller browns out or the
adapter trips: the scan is dense between those instants, and no delay beyond the second is run. Where it is never
lost, delays are scanned until nothing changes any more; an edge that is only the end of a run is none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import BuildError
from inrushlib.search.delay_spare import Spare, recommend
from inrushlib.search.islands import Array, Island, Islands, find_islands
from inrushlib.search.quiet import (
    LONGEST,
    NoWindow,
    Quiet,
    WhyNone,
    quiet_start,
    with_delay,
    with_duration,
)
from inrushlib.startup import Startup, Stressed, Verdict, simulate

__all__ = [
    "DelayWindow",
    "NoWindow",
    "Quiet",
    "WhyNone",
    "delay_window",
    "quick_window",
    "quiet_start",
    "with_delay",
]

FINEST = 10e-6  # [s] the shortest delay that matters; edges are found to half of it, or to 0.4 %
ABSOLUTE, RELATIVE = FINEST / 2, 0.004
SCAN_FACTOR = 1.3
BETWEEN = 9  # scanned delays between listening and brown-out, evenly spaced
QUICK_FACTOR, QUICK_BETWEEN = 4.0, 4
QUICK_ABSOLUTE, QUICK_RELATIVE = 50e-6, 0.02
QUICK_TOLERANCE = 1e-4  # of the start without a frame
MOST_HEARD = 8


@dataclass(frozen=True, kw_only=True)
class DelayWindow:
    """The range of ``first_frame_delay`` that boots, from run; SI.

    Attributes
    ----------
    earliest : float
        Early edge of the widest stretch that boots [s].
    latest : float or None
        Late edge [s]; None where there is none: however late the frame, it boots.
    too_early, too_late : Verdict or None
        How it ends just outside; None where there is no edge.
    first_frame_takes_from : float
        Delay from which it is the first frame that turns the display dark [s]: with a refresh interval an earlier
        one is lost and a later frame does it.
    recommended : float
        In the middle of the stretch over which nothing to spare is lost [s].
    flat : (float, float or None)
        That stretch [s]; None where it goes on for longer than the display should stay lit.
    spare : Spare
        What the recommended delay leaves.
    margin_early : float
        From the recommended value to the early edge [s].
    margin_late : float or None
        To the late one, or to where the switch gets too hot [s]; None where there is neither.
    too_hot_from : float or None
        Delay from which the switch passes its highest junction temperature [s], where that is in the window.
    flash : float
        How long the display is lit before data, at the recommended value [s].
    ready_at : float
        When every pixel has its data, at the recommended value, counted from the mains [s].
    scanned_to : float
        Longest delay looked at: from there on nothing changes, or the start is lost [s].
    islands : tuple of Island
        All stretches that boot.
    runs : int
        Starts run [1].
    """

    earliest: float
    latest: float | None
    too_early: Verdict | None
    too_late: Verdict | None
    first_frame_takes_from: float
    recommended: float
    flat: tuple[float, float | None]
    spare: Spare
    margin_early: float
    margin_late: float | None
    too_hot_from: float | None
    flash: float
    ready_at: float
    scanned_to: float
    islands: tuple[Island, ...]
    runs: int


def between(low: float, high: float) -> float:
    """Return the delay [s] that is the same factor away from two others.

    Parameters
    ----------
    low, high : float
        Delays [s]; one of zero counts as the finest that matters, 10 us.

    Examples
    --------
    >>> round(between(1e-3, 9e-3), 9)
    0.003
    """
    return min(max(math.sqrt(max(low, FINEST) * max(high, FINEST)), low), high)


def delay_window(build: Build) -> DelayWindow | NoWindow:
    """Return the window of ``first_frame_delay`` that boots with the build's switch and gate delay.

    Its edges are found to 10 us or 1 % by running the model; islands narrower than the scan (a factor of 1.3,
    and ten delays in each stretch in which all sections listen) can be missed. How long the build's run is does
    not matter: the search takes one that is long enough.

    Parameters
    ----------
    build : Build
        With a switch; its own delay does not matter.

    Raises
    ------
    BuildError
        Where the build has no switch.
    SolverError
        Where a start hits a bound.
    """
    if build.switch is None:
        raise BuildError(
            "switch: none in the build; accepted: a build with a [switch] table, which inrush remedies writes where a "
            "switch helps",
            build.title,
        )
    quiet = quiet_start(build)
    if isinstance(quiet, NoWindow):
        return quiet
    scan = delays_to_scan(quiet)
    if not len(scan):
        detail = f"{quiet.lost_what}; as it is, {simulate(quiet.build).reason}"
        return NoWindow(WhyNone.LOST_BEFORE_FRAME, detail, quiet.last, quiet.runs + 1)
    islands = islands_of(quiet.build, scan)
    runs = quiet.runs + islands.runs
    if not islands.found:
        detail = f"as it is, {simulate(quiet.build).reason}"
        return NoWindow(WhyNone.NO_DELAY_BOOTS, detail, quiet.last, runs + 1)
    return _window(quiet, islands, runs)


def _window(quiet: Quiet, islands: Islands, runs: int) -> DelayWindow:
    """Return the window made of the widest stretch."""
    widest = _widest(islands)
    # Before the first frame is taken the display is dark only by a later one: as hot as with the longest delay.
    since = min(quiet.takes_from(widest.low, widest.high), widest.high)
    hot, more = _too_hot_from(quiet, since, widest)
    # Where every delay is too hot the verdict alone is left to go by.
    top = widest.high if hot is None or hot <= since else min(hot, widest.high)
    takes = min(quiet.takes_from(widest.low, top), top)
    found = recommend(quiet.build, quiet, takes, top)
    at = found.start.build.firmware.first_frame_delay
    open_ended = is_open(widest)
    hot_above = hot is not None and hot > since
    end = hot if hot_above else None if open_ended else widest.high
    return DelayWindow(
        earliest=widest.low,
        latest=None if open_ended else widest.high,
        too_early=widest.low_verdict,
        too_late=widest.high_verdict,
        first_frame_takes_from=takes,
        recommended=at,
        flat=(found.flat[0], None if end is None and found.flat[1] == top else found.flat[1]),
        spare=found.spare,
        margin_early=at - widest.low,
        margin_late=None if end is None else end - at,
        too_hot_from=hot,
        flash=found.start.figures.lit_before_data,
        ready_at=found.start.ready_at or 0.0,
        scanned_to=quiet.last,
        islands=islands.found,
        runs=runs + more + found.runs,
    )


def is_open(island: Island) -> bool:
    """Say whether a stretch of delays has no late edge, since it reaches where nothing changes any more.

    Parameters
    ----------
    island : Island
        Stretch of delays that boots.
    """
    return island.high_fails is None


def _widest(islands: Islands) -> Island:
    return max(islands.found, key=lambda island: math.inf if is_open(island) else island.high - island.low)


def delays_to_scan(quiet: Quiet, factor: float = SCAN_FACTOR, between: int = BETWEEN) -> Array:
    """Return the delays [s] to scan; none where the start is lost before any frame could end.

    Parameters
    ----------
    quiet : Quiet
        The start without a frame.
    factor : float
        From one delay to the next [1], above 1.
    between : int
        Further delays, evenly spaced, in each stretch in which all sections listen [1].
    """
    top = min(quiet.last, quiet.lost_at - quiet.frame)
    if top < 0:
        return np.empty(0)
    count = max(2, math.ceil(math.log(max(top / FINEST, 2.0)) / math.log(factor)) + 1)
    parts = [np.zeros(1), np.geomspace(min(FINEST, max(top / 2, FINEST / 4)), max(top, FINEST), count)]
    for since, until in quiet.heard[:MOST_HEARD]:
        for instant in (since, until - quiet.frame):
            near = 0.4 * max(ABSOLUTE, RELATIVE * instant)
            parts.append(np.array([instant - near, instant + near]))
        parts.append(np.linspace(since, max(since, min(top, until - quiet.frame)), between + 2))
    delays = np.unique(np.concatenate(parts))
    delays = delays[(delays >= 0) & (delays <= top)]
    # One beyond, that cannot boot, so that the last stretch has an edge.
    return np.append(delays, top + FINEST) if top < quiet.last else delays


def islands_of(build: Build, scan: Array, absolute: float = ABSOLUTE, relative: float = RELATIVE) -> Islands:
    """Return the stretches of delay that boot.

    Parameters
    ----------
    build : Build
        With a run long enough for every delay scanned.
    scan : array
        Delays to scan [s], rising.
    absolute, relative : float
        How finely edges are found [s, and 1], as in :func:`inrushlib.search.islands.find_islands`.
    """
    return find_islands(lambda v: with_delay(build, v), scan, absolute=absolute, relative=relative)


def quick_window(quiet: Quiet) -> Island | None:
    """Return the widest stretch of delay that boots, its edges to 50 us or 2 %; None where none was found.

    Parameters
    ----------
    quiet : Quiet
        The start without a frame.
    """
    scan = delays_to_scan(quiet, QUICK_FACTOR, QUICK_BETWEEN)
    if not len(scan):
        return None
    islands = islands_of(quiet.build, scan, QUICK_ABSOLUTE, QUICK_RELATIVE)
    return _widest(islands) if islands.found else None


def _is_hot(start: Startup) -> bool:
    return any(each.part is Stressed.SWITCH for each in start.overstressed)


def _too_hot_from(quiet: Quiet, low: float, island: Island) -> tuple[float | None, int]:
    """Return the delay [s], ``low`` or later in the island, from which the switch is too hot, and the starts run."""
    build, high = quiet.build, island.high
    if is_open(island):
        high = max(high, LONGEST)
        build = with_duration(build, (quiet.start.running_at or 0.0) + high + quiet.frame)
    if not _is_hot(simulate(with_delay(build, high))):
        return None, 1
    if _is_hot(simulate(with_delay(build, low))):
        return low, 2
    runs = 2
    while high - low > max(FINEST, 0.01 * high):
        middle = 0.5 * (low + high)
        if _is_hot(simulate(with_delay(build, middle))):
            high = middle
        else:
            low = middle
        runs += 1
    return low, runs
