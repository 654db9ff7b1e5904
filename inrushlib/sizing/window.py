"""The window for the first frame: how long to wait between closing the switch and the first data.

``delay_window``   earliest, latest and recommended ``first_frame_delay``
``quick_window``   its edges only, less finely
``quiet_start``    what happens as long as no frame comes

Until a frame ends, a start does not depend on when it was sent. So one start with the frame as late as
the run allows tells when each section listens and when the controller browns out or the adapter trips:
the scan is dense between those instants, and no delay beyond the second is run.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import BuildError
from inrushlib.sizing.search import Array, Island, Islands, find_islands
from inrushlib.startup import Kind, Startup, Verdict, simulate
from inrushlib.startup.pack import frame_time
from inrushlib.startup.simulate import TOLERANCE

FINEST = 10e-6  # [s] the shortest delay that matters; edges are found to half of it, or to 0.4 %
ABSOLUTE, RELATIVE = FINEST / 2, 0.004
SCAN_FACTOR = 1.3
BETWEEN = 9  # scanned delays between listening and brown-out, evenly spaced
QUICK_FACTOR, QUICK_BETWEEN = 4.0, 4
QUICK_ABSOLUTE, QUICK_RELATIVE = 50e-6, 0.02
QUICK_TOLERANCE = 1e-4  # of the start without a frame
MOST_HEARD = 8
CLOSE = 0.1e-3  # [s] by which runs of different tolerance may enter run apart
SETTLING = 0.05  # [s] of the first look for capacitors to charge and the bus to fall


@dataclass(frozen=True)
class DelayWindow:
    """The range of ``first_frame_delay`` that boots, from run; SI, None where there is none.

    Attributes
    ----------
    earliest, latest : float or None
        Edges of the widest stretch that boots [s].
    too_early, too_late : Verdict or None
        How it ends just outside; None where the stretch reaches the end of what was scanned.
    first_frame_takes_from : float or None
        Delay from which it is the first frame that turns the display dark [s]: with a refresh interval an earlier
        one is lost and a later frame does it.
    recommended : float or None
        The same factor away from there and from the latest [s], and not so late that the switch gets too hot.
    margin_early, margin_late : float or None
        From the recommended value to the edges [s].
    too_hot_from : float or None
        Delay from which the switch passes its highest junction temperature [s], where that is in the window.
    flash : float or None
        How long the display is lit before data, at the recommended value [s].
    scanned_to : float
        Longest delay that fits the run: a later frame would not end within it [s].
    islands : tuple of Island
        All stretches that boot.
    reason : str
        Why there is no window; empty where there is one.
    runs : int
        Starts run.
    """

    earliest: float | None
    latest: float | None
    too_early: Verdict | None
    too_late: Verdict | None
    first_frame_takes_from: float | None
    recommended: float | None
    margin_early: float | None
    margin_late: float | None
    too_hot_from: float | None
    flash: float | None
    scanned_to: float
    islands: tuple[Island, ...]
    reason: str
    runs: int


def with_delay(build: Build, delay: float) -> Build:
    """Return the build with its first frame ``delay`` [s] after run is entered."""
    return build.with_values({"firmware.first_frame_delay": delay})


@dataclass(frozen=True)
class Quiet:
    """What happens while no frame has come yet; instants counted from run, SI.

    Attributes
    ----------
    start : Startup
        Without a first frame, at least until it is lost.
    last : float
        Longest delay whose frame still ends within the run [s].
    heard : tuple of (from, until)
        Stretches in which all sections listen [s].
    lost_at : float
        First brown-out or trip [s], infinite where there is none.
    lost_what : str
        Which of the two, in words; empty where there is none.
    frame : float
        How long a frame takes [s].
    """

    start: Startup
    last: float
    heard: tuple[tuple[float, float], ...]
    lost_at: float
    lost_what: str
    frame: float

    def takes_from(self, low: float, high: float) -> float:
        """Return the delay [s] between two from which all sections take the first frame; ``low`` where none does."""
        found = [max(low, since) for since, until in self.heard if until - self.frame >= low and since <= high]
        return min(found, default=low)


def quiet_start(build: Build, *, tolerance: float = TOLERANCE) -> Quiet | str:
    """Return what happens while no frame has come, or why no frame can come at all.

    Parameters
    ----------
    build : Build
        The build; its own delay does not matter.
    tolerance : float
        As in :func:`inrushlib.startup.simulate` [1].
    """
    # A frame at the end of the run is late enough to be none. What comes after a first brown-out or trip
    # does not matter, so a short run that shows one is enough.
    never = with_delay(build, build.run.duration)
    look = _first_look(build)
    brief = never.run.model_copy(update={"duration": min(look, never.run.duration)})
    start = simulate(never.model_copy(update={"run": brief}), tolerance=tolerance)
    if look < never.run.duration and not (start.brown_outs or start.trips):
        start = simulate(never, tolerance=tolerance)
    lost = [s for s in start.switchings if s.kind in (Kind.BROWN_OUT, Kind.TRIP)]
    if start.running_at is None:
        if lost:
            return f"{lost[0].what} before the program runs, whatever the delay"
        return f"the program never runs, whatever the delay: {start.reason}"
    frame = frame_time(build)
    last = build.run.duration - start.running_at - frame - CLOSE
    if last <= 0:
        return f"the run of {build.run.duration:g} s ends before a frame that starts with the program does"
    lost_at = (lost[0].time if lost else math.inf) - start.running_at
    return Quiet(start, last, _heard(start), lost_at, lost[0].what if lost else "", frame)


def _first_look(build: Build) -> float:
    """Return how long a run [s] shows most failures: a frame after the switch has taken and the bus has settled."""
    firmware = build.firmware
    acts = max(firmware.gate_delay, firmware.first_frame_delay)
    return build.adapter.soft_start + build.controller.boot_time + acts + frame_time(build) + SETTLING


def between(low: float, high: float) -> float:
    """Return the delay [s] that is the same factor away from two, a delay of zero counted as the finest.

    Examples
    --------
    >>> round(between(1e-3, 9e-3), 9)
    0.003
    """
    return min(max(math.sqrt(max(low, FINEST) * max(high, FINEST)), low), high)


def _heard(start: Startup) -> tuple[tuple[float, float], ...]:
    """Return the stretches from run in which all sections listen."""
    origin, count = start.running_at or 0.0, start.build.wiring.sections
    listening: set[int] = set()
    since: float | None = None
    found = []
    for s in start.switchings:
        if s.index is None or s.kind not in (Kind.LISTENS, Kind.DEAF):
            continue
        (listening.add if s.kind is Kind.LISTENS else listening.discard)(s.index)
        if len(listening) == count and since is None:
            since = max(0.0, s.time - origin)
        elif len(listening) < count and since is not None:
            found.append((since, s.time - origin))
            since = None
    if since is not None:
        found.append((since, start.build.run.duration - origin))
    return tuple(found)


def delay_window(build: Build) -> DelayWindow:
    """Return the window of ``first_frame_delay`` that boots with the build's switch and gate delay.

    Its edges are found to 10 us or 1 % by running the model; islands narrower than the scan (a factor of 1.3,
    and ten delays in each stretch in which all sections listen) can be missed.

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
        raise BuildError("switch: none in the build; accepted: a build with a [switch] table", build.title)
    quiet = quiet_start(build)
    if isinstance(quiet, str):
        return _nothing(quiet, 0.0, 1)
    scan = delays_to_scan(quiet)
    if not len(scan):
        why = f"{quiet.lost_what} before any frame could end, whatever the delay; as it is, {simulate(build).reason}"
        return _nothing(why, quiet.last, 2)
    islands = islands_of(build, scan)
    runs = 2 + islands.runs
    if not islands.found:
        return _nothing(f"no delay boots; as it is, {simulate(build).reason}", quiet.last, runs)
    widest = max(islands.found, key=lambda island: island.high - island.low)
    hot, more = _too_hot_from(build, widest)
    # Where every delay is too hot the verdict alone is left to go by.
    top = widest.high if hot is None or hot <= widest.low else hot
    takes = quiet.takes_from(widest.low, top)
    start = _first_that_boots(build, (between(takes, top), 0.5 * (takes + top), takes, widest.low))
    recommended = start.build.firmware.first_frame_delay
    return DelayWindow(
        earliest=widest.low,
        latest=widest.high,
        too_early=widest.low_verdict,
        too_late=widest.high_verdict,
        first_frame_takes_from=takes,
        recommended=recommended,
        margin_early=recommended - widest.low,
        margin_late=top - recommended,
        too_hot_from=hot,
        flash=start.figures.lit_before_data,
        scanned_to=quiet.last,
        islands=islands.found,
        reason="",
        runs=runs + more,
    )


def _first_that_boots(build: Build, delays: Sequence[float]) -> Startup:
    """Return the start with the first of the delays [s] that boots, the last one being known to boot."""
    for delay in delays:
        start = simulate(with_delay(build, delay))
        if start.verdict is Verdict.BOOTS:
            break
    return start


def _nothing(reason: str, last: float, runs: int) -> DelayWindow:
    return DelayWindow(None, None, None, None, None, None, None, None, None, None, last, (), reason, runs)


def delays_to_scan(quiet: Quiet, factor: float = SCAN_FACTOR, between: int = BETWEEN) -> Array:
    """Return the delays [s] to scan; none where the start is lost before any frame could end.

    Parameters
    ----------
    quiet : Quiet
        The start without a frame.
    factor : float
        From one delay to the next [-], above 1.
    between : int
        Further delays, evenly spaced, in each stretch in which all sections listen [-].
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
    """Return the stretches of delay that boot; arguments as :func:`inrushlib.sizing.search.find_islands`."""
    return find_islands(lambda v: with_delay(build, v), scan, absolute=absolute, relative=relative)


def quick_window(build: Build, quiet: Quiet) -> Island | None:
    """Return the widest stretch of delay that boots, its edges to 50 us or 2 %; None where none was found."""
    scan = delays_to_scan(quiet, QUICK_FACTOR, QUICK_BETWEEN)
    if not len(scan):
        return None
    found = islands_of(build, scan, QUICK_ABSOLUTE, QUICK_RELATIVE).found
    return max(found, key=lambda island: island.high - island.low) if found else None


def _is_hot(start: Startup) -> bool:
    switch, hottest = start.build.switch, start.figures.highest_junction_temperature
    return switch is not None and hottest is not None and hottest > switch.highest_junction


def _too_hot_from(build: Build, island: Island) -> tuple[float | None, int]:
    """Return the delay [s] in the island from which the switch is too hot, and the starts run."""
    if not _is_hot(simulate(with_delay(build, island.high))):
        return None, 1
    low, high, runs = island.low, island.high, 2
    if _is_hot(simulate(with_delay(build, low))):
        return low, 2
    while high - low > max(FINEST, 0.01 * high):
        middle = 0.5 * (low + high)
        if _is_hot(simulate(with_delay(build, middle))):
            high = middle
        else:
            low = middle
        runs += 1
    return low, runs
