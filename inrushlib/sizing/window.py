"""The window for the first frame: how long to wait between closing the switch and the first data.

``delay_window``   earliest, latest and recommended ``first_frame_delay``
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import BuildError
from inrushlib.sizing.search import Island, find_islands
from inrushlib.startup import Startup, Verdict, screen, simulate
from inrushlib.startup.pack import frame_time

FINEST = 10e-6  # [s] to which an edge is found, or 1 %
SCAN_FACTOR = 1.12


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


def delay_window(build: Build) -> DelayWindow:
    """Return the window of ``first_frame_delay`` that boots with the build's switch and gate delay.

    Raises
    ------
    BuildError
        Where the build has no switch.
    SolverError
        Where a start hits a bound.
    """
    if build.switch is None:
        raise BuildError("switch: none in the build; the delay window needs a [switch] table", build.title)
    base = simulate(build)
    if base.running_at is None:
        reason = f"the program never runs, whatever the delay: {base.reason}"
        return _nothing(reason, (), 0.0, 1)
    last = build.run.duration - base.running_at - frame_time(build)
    if last <= 0:
        reason = f"the run of {build.run.duration:g} s ends before a frame that starts with the program does"
        return _nothing(reason, (), 0.0, 1)
    count = max(2, int(np.ceil(np.log(max(last / FINEST, 2.0)) / np.log(SCAN_FACTOR))) + 1)
    scan = np.concatenate(([0.0], np.geomspace(min(FINEST, last / 2), last, count)))
    islands = find_islands(lambda v: with_delay(build, v), scan, absolute=FINEST / 2, relative=0.004)
    if not islands.found:
        return _nothing(f"no delay boots: {base.reason}", (), last, islands.runs + 1)
    widest = max(islands.found, key=lambda island: island.high - island.low)
    hot, hot_runs = _too_hot_from(build, widest)
    top = widest.high if hot is None else max(widest.low, hot)
    takes, more = _takes_from(build, widest, top)
    recommended = float(np.sqrt(max(takes, FINEST) * max(top, FINEST)))
    recommended = min(max(recommended, takes), top)
    start = simulate(with_delay(build, recommended))
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
        scanned_to=last,
        islands=islands.found,
        reason="",
        runs=islands.runs + hot_runs + more + 2,
    )


def _nothing(reason: str, islands: tuple[Island, ...], last: float, runs: int) -> DelayWindow:
    return DelayWindow(None, None, None, None, None, None, None, None, None, None, last, islands, reason, runs)


def _takes(build: Build, delay: float) -> bool:
    """Say whether the first frame is the one that all sections take."""
    end = screen(with_delay(build, delay))
    if end.ready_at is None or end.running_at is None:
        return False
    return end.ready_at < end.running_at + delay + 1.5 * frame_time(build)


def _takes_from(build: Build, island: Island, top: float) -> tuple[float, int]:
    """Return the delay [s] from which the first frame takes, and the starts run."""
    if _takes(build, island.low) or not _takes(build, top):
        return island.low, 2
    low, high, runs = island.low, top, 2
    while high - low > max(FINEST, 0.01 * high):
        middle = float(np.sqrt(max(low, FINEST) * high)) if high > 4 * max(low, FINEST) else 0.5 * (low + high)
        if _takes(build, middle):
            high = middle
        else:
            low = middle
        runs += 1
    return high, runs


def _is_hot(start: Startup) -> bool:
    switch, hottest = start.build.switch, start.figures.highest_junction_temperature
    return switch is not None and hottest is not None and hottest > switch.highest_junction


def _too_hot_from(build: Build, island: Island) -> tuple[float | None, int]:
    """Return the delay [s] in the island from which the switch is too hot, and the starts run."""
    if not _is_hot(simulate(with_delay(build, island.high))):
        return None, 1
    low, high, runs = island.low, island.high, 1
    if _is_hot(simulate(with_delay(build, low))):
        return low, 2
    while high - low > max(FINEST, 0.01 * high):
        middle = 0.5 * (low + high)
        if _is_hot(simulate(with_delay(build, middle))):
            high = middle
        else:
            low = middle
        runs += 1
    return low, runs + 1
