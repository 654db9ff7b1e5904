"""Which part of the run is shown, at which instant it is read off, and which curves are drawn."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w
import numpy as np

from inrushlib.plots import VOLTAGES, Line, values_by_line
from inrushlib.quantities import format_quantity, parse_quantity
from inrushlib.startup import Kind, Startup
from widgets.signs import signs
from widgets.state import BuildState
from widgets.time_state import TimeState

FIRST = 20e-3  # [s]
AROUND_FRAME = 3  # times as long as the first frame, before and after it
LONG_FRAME = 2e-3  # [s], shown around a frame that is shorter


def instant(text: str) -> float | None:
    """Return what was typed as an instant [s]; a plain number is taken in ms, None is what is no instant."""
    text = text.strip()
    for candidate in (f"{text} ms", f"{text}s", text):
        try:
            return parse_quantity(candidate, "s")
        except ValueError:
            continue
    return None


def frame_span(start: Startup) -> tuple[float, float] | None:
    """Return the time around the first frame [s]; None where none is sent."""
    begin = next((each.time for each in start.switchings if each.kind is Kind.FRAME_START), None)
    end = next((each.time for each in start.switchings if each.kind is Kind.FRAME_END), None)
    if begin is None or end is None:
        return None
    wide = AROUND_FRAME * max(end - begin, LONG_FRAME)
    return max(0.0, begin - wide), min(end + wide, start.build.run.duration)


class TimeView:
    """Views and fields for the time shown, a slider and a field for the cursor, a button for each curve."""

    def __init__(self, state: BuildState, time: TimeState) -> None:
        self.state, self.time = state, time
        self._moving = False
        self.views: dict[str, Callable[[], tuple[float, float] | None]] = {
            "Whole run": lambda: (0.0, time.duration),
            "First 20 ms": lambda: (0.0, FIRST),
            "First frame": lambda: frame_span(state.start) if state.start is not None else None,
        }
        self.buttons = {name: w.Button(description=name) for name in self.views}
        self.first, self.last, self.at = (w.Text(continuous_update=False) for _ in range(3))
        self.cursor = w.FloatSlider(min=0, max=100, step=0.1, readout=False)
        self.closer = w.Button(description="+", tooltip="Zoom in, around the reading line")
        self.wider = w.Button(description="−", tooltip="Zoom out, around the reading line")
        self.channels = {line: w.ToggleButton(description=line, value=False) for line in (*VOLTAGES, Line.LEAD_CURRENT)}
        self._wire()
        self.bar, self.read, self.curves = self._lay_out()
        self.refresh()

    def _lay_out(self) -> tuple[w.Box, w.Box, w.Box]:
        views = w.HBox([*self.buttons.values()])
        views.add_class("wb-buttons")
        span = w.HBox([w.HTML('<span class="wb-name">time shown</span>'), self.first, w.HTML("to"), self.last,
                       self.wider, self.closer])  # fmt: skip
        span.add_class("wb-span")
        bar = w.Box([views, span])
        bar.add_class("wb-bar")
        read = w.Box([w.HTML('<span class="wb-name">read at</span>'), self.cursor, self.at])
        read.add_class("wb-read")
        curves = w.Box([*self.channels.values()])
        curves.add_class("wb-channels")
        for button in self.channels.values():
            button.add_class("wb-channel")
        return bar, read, curves

    def _wire(self) -> None:
        for name, button in self.buttons.items():
            button.on_click(lambda _, name=name: self.viewed(name))
        self.cursor.observe(lambda change: self.pointed(change["new"]), "value")
        self.first.observe(lambda change: self.bounded(first=change["new"]), "value")
        self.last.observe(lambda change: self.bounded(last=change["new"]), "value")
        self.at.observe(lambda change: self.read_at(change["new"]), "value")
        self.closer.on_click(lambda _: self.time.zoom_by(0.5))
        self.wider.on_click(lambda _: self.time.zoom_by(2.0))
        for button in self.channels.values():
            button.observe(lambda _: self.chosen(), "value")
        self.time.observe(self.refresh, ["span", "cursor", "voltages"])
        self.state.observe(self.refresh, "shown")

    def viewed(self, name: str) -> None:
        """A view was chosen; one of what is not there changes nothing."""
        span = self.views[name]()
        if span is not None:
            self.time.zoom(*span)
            low, high = self.time.shown_span
            if not low <= self.time.cursor <= high:
                self.time.cursor = 0.5 * (low + high)

    def pointed(self, place: float) -> None:
        """The cursor's handle was moved: it goes over what is shown."""
        low, high = self.time.shown_span
        if not self._moving and place != self._cursor_place():
            self.time.cursor = low + place / 100 * (high - low)

    def bounded(self, first: str | None = None, last: str | None = None) -> None:
        """A bound of the time was typed; one that cannot be read, or is no range, is put back."""
        if self._moving:
            return
        shown = self.time.shown_span
        low = instant(first) if first is not None else shown[0]
        high = instant(last) if last is not None else shown[1]
        if low is not None and high is not None and low < high:
            self.time.zoom(low, high)
        self.refresh()

    def read_at(self, text: str) -> None:
        """The instant to read at was typed; what cannot be read is put back."""
        found = None if self._moving else instant(text)
        if found is not None:
            self.time.cursor = min(max(found, 0.0), self.time.duration)
        if not self._moving:
            self.refresh()

    def chosen(self) -> None:
        """A curve was switched on or off; the last voltage stays, and the current, which has axes of its own."""
        if self._moving:
            return
        names = tuple(line for line in VOLTAGES if self.channels[line].value)
        if names:
            self.time.voltages = names
        self.refresh()

    def refresh(self, _: Any = None) -> None:
        """Show the state's range and cursor."""
        self._moving = True
        low, high = self.time.shown_span
        self.cursor.value = self._cursor_place()
        for field, value in ((self.first, low), (self.last, high), (self.at, self.time.cursor)):
            field.value = signs(format_quantity(value, "s", digits=5))
        for line, button in self.channels.items():
            button.value = line in self.time.voltages or line is Line.LEAD_CURRENT
        self._moving = False

    def tell(self, start: Startup) -> None:
        """Show what each curve reads at the cursor; those that the build does not have take no room."""
        for line, values in values_by_line(start, np.array([self.time.cursor])).items():
            unit = "A" if line is Line.LEAD_CURRENT else "V"
            self.channels[line].description = f"{line}\n{_fixed(float(values[0]))} {unit}"
        self.channels[Line.GATE].layout.display = "none" if start.build.switch is None else ""

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return self.cursor, self.first, self.last, self.at, *self.channels.values()

    def _cursor_place(self) -> float:
        low, high = self.time.shown_span
        place = 100 * (self.time.cursor - low) / (high - low)
        return round(min(max(place, 0.0), 100.0), 1)


def _fixed(value: float) -> str:
    """A value that keeps its width while the cursor moves."""
    return f"{value + 0.0:.2f}".replace("-0.00", "0.00")
