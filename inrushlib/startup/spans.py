"""What each part was doing from when to when, for the strip under the curves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.startup.switchings import Kind, Switching

_ADAPTER = {
    Kind.OVER: "limiting",
    Kind.NOT_OVER: "on",
    Kind.TRIP: "tripped",
    Kind.RETRY: "on",
    Kind.MAINS_OFF: "no mains",
    Kind.MAINS_ON: "on",
}
_CONTROLLER = {Kind.RESET_RELEASE: "boot", Kind.BROWN_OUT: "reset", Kind.RUN: "run"}
_GATE = {Kind.GATE_LOW: "on", Kind.BROWN_OUT: "off"}


@dataclass(frozen=True)
class Span:
    """A part's state from ``start`` to ``end`` [s]."""

    start: float
    end: float
    state: str


class _Track:
    """Collects spans; a state that stays the same is one span."""

    def __init__(self, state: str) -> None:
        self.spans: list[Span] = []
        self.state = state
        self.since = 0.0

    def change(self, time: float, state: str) -> None:
        if state == self.state:
            return
        if time > self.since:
            self.spans.append(Span(self.since, time, self.state))
        self.state, self.since = state, time

    def close(self, time: float) -> tuple[Span, ...]:
        if time > self.since or not self.spans:
            self.spans.append(Span(self.since, time, self.state))
        return tuple(self.spans)


def _written(shown: set[int], sections: int) -> str:
    if not shown:
        return "power-on colour"
    return "showing data" if len(shown) == sections else "partly written"


def find_spans(build: Build, switchings: Sequence[Switching]) -> dict[str, tuple[Span, ...]]:
    """Return the spans of adapter, controller, gate (with a switch), data line and pixels."""
    tracks = {"adapter": _Track("on"), "controller": _Track("reset")}
    if build.switch is not None:
        tracks["gate"] = _Track("off")
    tracks["data line"] = _Track("idle")
    tracks["pixels"] = _Track("power-on colour")
    shown: set[int] = set()
    for s in switchings:
        if s.kind in _ADAPTER:
            tracks["adapter"].change(s.time, _ADAPTER[s.kind])
        if s.kind in _CONTROLLER:
            tracks["controller"].change(s.time, _CONTROLLER[s.kind])
        if s.kind in _GATE and "gate" in tracks:
            tracks["gate"].change(s.time, _GATE[s.kind])
        if s.kind is Kind.FRAME_START:
            tracks["data line"].change(s.time, "first frame" if s.index == 1 else "content")
        if s.kind in (Kind.FRAME_END, Kind.FRAME_LOST):
            tracks["data line"].change(s.time, "idle")
        if s.index is not None and s.kind in (Kind.SHOWS, Kind.FORGETS):
            (shown.add if s.kind is Kind.SHOWS else shown.discard)(s.index)
            tracks["pixels"].change(s.time, _written(shown, build.wiring.sections))
    end = build.run.duration
    return {name: track.close(end) for name, track in tracks.items()}
