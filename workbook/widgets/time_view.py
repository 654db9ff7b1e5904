"""Which part of the run is shown, at which instant it is read off, and which voltages are drawn."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from inrushlib.plots import VOLTAGES
from inrushlib.quantities import format_quantity, parse_quantity
from widgets.state import BootState

WIDE = w.Layout(width="auto", flex="1 1 0", min_width="60px")
FIELD = w.Layout(width="92px", flex="0 0 92px")
NAME = w.Layout(width="78px", flex="0 0 78px")
SMALL = w.Layout(width="auto", flex="0 0 auto")


def instant(text: str) -> float | None:
    """Return what was typed as an instant [s]; a plain number is taken in ms, None is what is no instant."""
    text = text.strip()
    for candidate in (f"{text} ms", f"{text}s", text):
        try:
            return parse_quantity(candidate, "s")
        except ValueError:
            continue
    return None


class TimeView:
    """Range and cursor as sliders with fields beside them, buttons to zoom, boxes for the voltages."""

    def __init__(self, state: BootState) -> None:
        self.state = state
        self._moving = False
        self.first, self.last, self.at = (w.Text(continuous_update=False, layout=FIELD) for _ in range(3))
        self.range = w.FloatRangeSlider(min=0, max=100, value=(0, 100), step=0.5, readout=False, layout=WIDE)
        self.cursor = w.FloatSlider(min=0, max=100, step=0.1, readout=False, layout=WIDE)
        self.whole = w.Button(description="whole run", layout=SMALL, tooltip="Show the whole run")
        self.closer = w.Button(icon="search-plus", layout=SMALL, tooltip="Zoom in, around the reading line")
        self.wider = w.Button(icon="search-minus", layout=SMALL, tooltip="Zoom out, around the reading line")
        self.boxes = {
            name: w.Checkbox(description=name, indent=False, layout=w.Layout(width="auto")) for name in VOLTAGES
        }
        self._wire()
        rows = [
            w.HBox([w.HTML("time shown", layout=NAME), self.first, self.range, self.last, self.whole, self.closer,
                    self.wider]),
            w.HBox([w.HTML("read at", layout=NAME), self.at, self.cursor]),
        ]  # fmt: skip
        for row in rows:
            row.add_class("wb-key")
        which = w.Box([w.HTML("voltages", layout=NAME), *self.boxes.values()])
        which.add_class("wb-which")
        self.box = w.VBox([*rows, which])
        self.refresh()

    def _wire(self) -> None:
        self.range.observe(lambda change: self.ranged(change["new"]), "value")
        self.cursor.observe(lambda change: self.pointed(change["new"]), "value")
        self.first.observe(lambda change: self.bounded(first=change["new"]), "value")
        self.last.observe(lambda change: self.bounded(last=change["new"]), "value")
        self.at.observe(lambda change: self.read_at(change["new"]), "value")
        self.whole.on_click(lambda _: self.state.zoom(0.0, self.state.build.run.duration))
        self.closer.on_click(lambda _: self.state.zoom_by(0.5))
        self.wider.on_click(lambda _: self.state.zoom_by(2.0))
        for box in self.boxes.values():
            box.observe(lambda _: self.chosen(), "value")
        self.state.observe(self.refresh, ["span", "cursor", "voltages", "build"])

    def ranged(self, places: tuple[float, float]) -> None:
        """The range's handles were moved."""
        if not self._moving and tuple(places) != self._places():
            self.state.zoom(*(place / 100 * self.state.build.run.duration for place in places))

    def pointed(self, place: float) -> None:
        """The cursor's handle was moved: it goes over what is shown."""
        low, high = self.state.shown_span
        if not self._moving and place != self._cursor_place():
            self.state.cursor = low + place / 100 * (high - low)

    def bounded(self, first: str | None = None, last: str | None = None) -> None:
        """A bound of the range was typed; one that cannot be read, or is no range, is put back."""
        if self._moving:
            return
        shown = self.state.shown_span
        low = instant(first) if first is not None else shown[0]
        high = instant(last) if last is not None else shown[1]
        if low is not None and high is not None and low < high:
            self.state.zoom(low, high)
        self.refresh()

    def read_at(self, text: str) -> None:
        """The instant to read at was typed; what cannot be read is put back."""
        found = None if self._moving else instant(text)
        if found is not None:
            self.state.cursor = min(max(found, 0.0), self.state.build.run.duration)
        if not self._moving:
            self.refresh()

    def chosen(self) -> None:
        """A voltage was ticked or unticked; the last one stays."""
        if self._moving:
            return
        names = tuple(name for name, box in self.boxes.items() if box.value)
        if names:
            self.state.voltages = names
        self.refresh()

    def refresh(self, _: Any = None) -> None:
        """Show the state's range and cursor."""
        self._moving = True
        low, high = self.state.shown_span
        self.range.value = self._places()
        self.cursor.value = self._cursor_place()
        for field, value in ((self.first, low), (self.last, high), (self.at, self.state.cursor)):
            field.value = format_quantity(value, "s", digits=5)
        for name, box in self.boxes.items():
            box.value = name in self.state.voltages
        self._moving = False

    def _places(self) -> tuple[float, float]:
        low, high = (100 * t / self.state.build.run.duration for t in self.state.shown_span)
        return 0.5 * round(low / 0.5), 0.5 * round(high / 0.5)

    def _cursor_place(self) -> float:
        low, high = self.state.shown_span
        place = 100 * (self.state.cursor - low) / (high - low)
        return round(min(max(place, 0.0), 100.0), 1)
