"""What each part was doing from when to when, for the strip under the curves.

``find_spans``   the spans of every part
``Span``         one of them
``Actor``        a part that is seen doing something
``State``        what a part can be doing
``wakings``      when sections get and lose their supply
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from inrushlib.build import Build
from inrushlib.startup.curves import Array
from inrushlib.startup.switchings import Kind, Switching


class Actor(StrEnum):
    """A part that is seen doing something; the value names it on a page."""

    ADAPTER = "adapter"
    CONTROLLER = "controller"
    GATE = "gate"
    DATA_LINE = "data line"
    PIXELS = "pixels"


class State(StrEnum):
    """What a part is doing; the value says it in words."""

    OFF = "off"
    ON = "on"
    LIMITING = "limiting"
    TRIPPED = "tripped"
    NO_MAINS = "no mains"
    RESET = "reset"
    BOOT = "boot"
    RUN = "run"
    IDLE = "idle"
    FIRST_FRAME = "first frame"
    CONTENT = "content"
    POWER_ON_COLOUR = "power-on colour"
    PARTLY_WRITTEN = "partly written"
    SHOWING_DATA = "showing data"


_ADAPTER = {
    Kind.OVER: State.LIMITING,
    Kind.NOT_OVER: State.ON,
    Kind.TRIP: State.TRIPPED,
    Kind.RETRY: State.ON,
    Kind.MAINS_OFF: State.NO_MAINS,
    Kind.MAINS_ON: State.ON,
}
_CONTROLLER = {Kind.RESET_RELEASE: State.BOOT, Kind.BROWN_OUT: State.RESET, Kind.RUN: State.RUN}
_GATE = {Kind.GATE_LOW: State.ON, Kind.BROWN_OUT: State.OFF}


@dataclass(frozen=True)
class Waking:
    """A section rises to its wake voltage, or falls below it.

    Attributes
    ----------
    time : float
        When [s].
    section : int
        Its index [1].
    awake : bool
        Whether it rises.
    """

    time: float
    section: int
    awake: bool


@dataclass(frozen=True)
class Span:
    """A part's state for a while.

    Attributes
    ----------
    start, end : float
        From when to when [s].
    state : State
        What it does.
    """

    start: float
    end: float
    state: State


class _Track:
    """Collects spans; a state that stays the same is one span."""

    def __init__(self, state: State) -> None:
        self.spans: list[Span] = []
        self.state = state
        self.since = 0.0

    def change(self, time: float, state: State) -> None:
        if state == self.state:
            return
        if time > self.since:
            self.spans.append(Span(self.since, time, self.state))
        self.state, self.since = state, time

    def close(self, time: float) -> tuple[Span, ...]:
        if time > self.since or not self.spans:
            self.spans.append(Span(self.since, time, self.state))
        return tuple(self.spans)


def wakings(time: Array, voltages: Array, wake: float) -> list[Waking]:
    """Return when sections get enough voltage to light up, and when they lose it, in order.

    Parameters
    ----------
    time : (n,) array
        Instants [s], rising.
    voltages : (n, sections) array
        Of each section [V].
    wake : float
        From which a pixel works [V].

    Examples
    --------
    >>> wakings(np.array([0.0, 1.0, 2.0]), np.array([[0.0], [4.0], [4.0]]), 2.0)
    [Waking(time=0.5, section=0, awake=True)]
    """
    awake = voltages >= wake
    found = [Waking(0.0, int(k), True) for k in np.flatnonzero(awake[0])]
    rows, sections = np.nonzero(awake[1:] != awake[:-1])
    for row, k in zip(rows, sections, strict=True):
        before, after = voltages[row, k], voltages[row + 1, k]
        share = (wake - before) / (after - before)
        instant = time[row] + share * (time[row + 1] - time[row])
        found.append(Waking(float(instant), int(k), bool(awake[row + 1, k])))
    return sorted(found, key=lambda waking: waking.time)


def _pixels(awake: set[int], shown: set[int], sections: int) -> State:
    """Return what the display shows: pixels without voltage are off, whatever they remember."""
    if not awake:
        return State.OFF
    if not shown & awake:
        return State.POWER_ON_COLOUR
    return State.SHOWING_DATA if len(shown & awake) == sections else State.PARTLY_WRITTEN


def _pixel_spans(build: Build, switchings: Sequence[Switching], wakes: Iterable[Waking]) -> tuple[Span, ...]:
    track, awake, shown = _Track(State.OFF), set[int](), set[int]()
    changes: list[tuple[float, set[int], int, bool]] = [(w.time, awake, w.section, w.awake) for w in wakes]
    changes += [
        (s.time, shown, s.index, s.kind is Kind.SHOWS)
        for s in switchings
        if s.index is not None and s.kind in (Kind.SHOWS, Kind.FORGETS)
    ]
    for time, members, section, joins in sorted(changes, key=lambda change: change[0]):
        (members.add if joins else members.discard)(section)
        track.change(time, _pixels(awake, shown, build.wiring.sections))
    return track.close(build.run.duration)


def find_spans(build: Build, switchings: Sequence[Switching], wakes: Iterable[Waking]) -> dict[Actor, tuple[Span, ...]]:
    """Return the spans of adapter, controller, gate (with a switch), data line and pixels.

    Parameters
    ----------
    build : Build
        What was started.
    switchings : sequence of Switching
        Of the run, in order.
    wakes : iterable of Waking
        When sections get and lose their supply, in order.
    """
    tracks = {Actor.ADAPTER: _Track(State.ON), Actor.CONTROLLER: _Track(State.RESET)}
    if build.switch is not None:
        tracks[Actor.GATE] = _Track(State.OFF)
    line = tracks[Actor.DATA_LINE] = _Track(State.IDLE)
    for s in switchings:
        if s.kind in _ADAPTER:
            tracks[Actor.ADAPTER].change(s.time, _ADAPTER[s.kind])
        if s.kind in _CONTROLLER:
            tracks[Actor.CONTROLLER].change(s.time, _CONTROLLER[s.kind])
        if s.kind in _GATE and Actor.GATE in tracks:
            tracks[Actor.GATE].change(s.time, _GATE[s.kind])
        if s.kind is Kind.FRAME_START:
            line.change(s.time, State.FIRST_FRAME if s.index == 1 else State.CONTENT)
        if s.kind in (Kind.FRAME_END, Kind.FRAME_LOST):
            line.change(s.time, State.IDLE)
    spans = {actor: track.close(build.run.duration) for actor, track in tracks.items()}
    return spans | {Actor.PIXELS: _pixel_spans(build, switchings, wakes)}
