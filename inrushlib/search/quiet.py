"""What happens as long as no first frame comes.

``quiet_start``   the start without a frame: when sections listen, when it is lost
``Quiet``         that start, and the build with a run long enough to judge any delay
``NoWindow``      why no delay boots

Until a frame ends, a start does not depend on when it was sent. So one start with the frame later than its end
tells when each section listens and when the controller browns out or the adapter trips. How long the build's own
run is does not matter: a run that ends is no reason for a frame to come too late.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from inrushlib.build import Build
from inrushlib.startup import Kind, Startup, hold_lumps, simulate
from inrushlib.startup.effort import TOLERANCE
from inrushlib.startup.pack import frame_time

LONGEST = 5.0  # [s] after the program's start; a later loss is looked for no more
LONGEST_DRAIN = 1.0  # [s]
SETTLING = 0.05  # [s] for capacitors to charge and the bus to fall
LOST = (Kind.BROWN_OUT, Kind.TRIP)


class WhyNone(StrEnum):
    """Why there is no window."""

    LOST_BEFORE_PROGRAM = "lost-before-program"
    PROGRAM_NEVER_RUNS = "program-never-runs"
    LOST_BEFORE_FRAME = "lost-before-frame"
    NO_DELAY_BOOTS = "no-delay-boots"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return _MEANINGS[self]


_MEANINGS = {
    WhyNone.LOST_BEFORE_PROGRAM: "it is lost before the program runs, whatever the delay",
    WhyNone.PROGRAM_NEVER_RUNS: "the program never runs, whatever the delay",
    WhyNone.LOST_BEFORE_FRAME: "it is lost before any frame could end, whatever the delay",
    WhyNone.NO_DELAY_BOOTS: "no delay boots",
}


@dataclass(frozen=True)
class NoWindow:
    """There is no first frame delay that boots.

    Attributes
    ----------
    why : WhyNone
        What stands against it.
    detail : str
        What happens instead, in words.
    scanned_to : float
        Longest delay tried [s]; 0 where none had to be.
    runs : int
        Starts run [1].
    """

    why: WhyNone
    detail: str
    scanned_to: float
    runs: int

    @property
    def reason(self) -> str:
        """Why there is no window, in one sentence."""
        return f"{self.why.meaning}: {self.detail}"


def with_delay(build: Build, delay: float) -> Build:
    """Return the build with another first frame delay.

    Parameters
    ----------
    build : Build
        Any build.
    delay : float
        From entering run to the first frame [s].
    """
    return build.with_values({"firmware.first_frame_delay": delay})


def with_duration(build: Build, duration: float) -> Build:
    """Return the build with a run of another length; interruptions beyond its own run stay out of it.

    Parameters
    ----------
    build : Build
        Any build.
    duration : float
        Length of the run [s].
    """
    own = build.run
    values: dict[str, object] = {"run.duration": duration}
    kept = [list(pair) for pair in own.interruptions if pair[0] <= own.duration]
    if len(kept) < len(own.interruptions):
        values["run.interruptions"] = kept
    return build.with_values(values)


@dataclass(frozen=True, kw_only=True)
class Quiet:
    """What happens while no frame has come yet; instants counted from run, SI.

    Attributes
    ----------
    build : Build
        With a run long enough for every delay up to ``last``, never shorter than its own.
    start : Startup
        Without a first frame, at least until it is lost.
    last : float
        Delay beyond which nothing changes any more, or the loss that no later frame can prevent [s].
    heard : tuple of (from, until)
        Stretches in which all sections listen [s].
    lost_at : float
        First brown-out or trip [s], infinite where there is none.
    lost_what : str
        Which of the two, in words; empty where there is none.
    frame : float
        How long a frame takes [s].
    runs : int
        Starts run [1].
    """

    build: Build
    start: Startup
    last: float
    heard: tuple[tuple[float, float], ...]
    lost_at: float
    lost_what: str
    frame: float
    runs: int

    def takes_from(self, low: float, high: float) -> float:
        """Return the delay [s] from which all sections take the first frame; ``low`` where none does.

        Parameters
        ----------
        low, high : float
            Delays between which to look [s].
        """
        found = [max(low, since) for since, until in self.heard if until - self.frame >= low and since <= high]
        return min(found, default=low)


def quiet_start(build: Build, *, tolerance: float = TOLERANCE) -> Quiet | NoWindow:
    """Return what happens while no frame has come, or why no frame can come at all.

    Parameters
    ----------
    build : Build
        The build; its own delay does not matter, nor how long its run is beyond the mains interruptions in it.
    tolerance : float
        As in :func:`inrushlib.startup.simulate` [1].
    """
    build = hold_lumps(build)
    # What comes after a first brown-out or trip does not matter, so a short run that shows one is enough.
    look = _first_look(build)
    start, runs = _without_frame(build, look, tolerance), 1
    if not (start.brown_outs or start.trips):
        runs += 1
        start = _without_frame(build, max(build.run.duration, look + LONGEST), tolerance)
    lost = next((s for s in start.switchings if s.kind in LOST), None)
    if start.running_at is None or (lost is not None and lost.time < start.running_at):
        if lost is not None:
            return NoWindow(WhyNone.LOST_BEFORE_PROGRAM, lost.what, 0.0, runs)
        return NoWindow(WhyNone.PROGRAM_NEVER_RUNS, start.reason, 0.0, runs)
    frame = frame_time(build)
    lost_at = math.inf if lost is None else lost.time - start.running_at
    last = min(_nothing_changes_from(start, frame), lost_at)
    needed = start.running_at + max(last, min(build.firmware.content_delay or 0.0, LONGEST)) + frame + _cycles(build)
    return Quiet(
        build=with_duration(build, max(build.run.duration, needed)),
        start=start,
        last=last,
        heard=_heard(start),
        lost_at=lost_at,
        lost_what="" if lost is None else lost.what,
        frame=frame,
        runs=runs,
    )


def _without_frame(build: Build, duration: float, tolerance: float) -> Startup:
    # A frame at the end of the run is late enough to be none.
    return simulate(with_delay(with_duration(build, duration), duration), tolerance=tolerance)


def _first_look(build: Build) -> float:
    """Return how long a run [s] shows most failures: a frame after the switch has taken and the bus has settled."""
    firmware = build.firmware
    acts = max(firmware.gate_delay, firmware.first_frame_delay)
    return build.adapter.soft_start + build.controller.boot_time + acts + frame_time(build) + SETTLING


def _cycles(build: Build) -> float:
    """Return the time [s] in which everything that recurs has come by, and what a frame brings about has shown."""
    a, c = build.adapter, build.controller
    burst = c.burst_period + c.burst_length if c.burst_current > 0 else 0.0
    trips = a.trip_delay + (a.peak_time or 0.0) if a.limit_style in ("hiccup", "latch-off") else 0.0
    # A reservoir carries the controller for a while after the bus has gone down.
    drains = c.reservoir * a.rated_voltage / c.run_current if c.run_current > 0 else 0.0
    return build.firmware.refresh_interval + burst + trips + min(drains, LONGEST_DRAIN) + 2 * SETTLING


def _nothing_changes_from(start: Startup, frame: float) -> float:
    """Return the delay [s] from which one is like the other: all has switched that does, and all that recurs recurred.

    Where something goes on switching it is the longest that is looked at.
    """
    origin, firmware = start.running_at or 0.0, start.build.firmware
    kinds = (Kind.LISTENS, Kind.DEAF, Kind.GATE_LOW, Kind.MAINS_OFF, Kind.MAINS_ON)
    last = max((s.time - origin for s in start.switchings if s.kind in kinds), default=0.0)
    content = firmware.content_delay or 0.0
    return min(max(last, content) + frame + _cycles(start.build), LONGEST)


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
