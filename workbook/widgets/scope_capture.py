"""The capture against the model: factors of its channels, the comparison, its table and picture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from inrushlib.answers.compare import Laid, channels_alone, compare_answer, model_alone
from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.startup import Startup, curve_named, simulate
from inrushlib.text import one_line
from inrushlib.trace import Measured, Trace, compare, measure
from widgets.files import row
from widgets.overlay import NOT_SHOWN, OverlayState
from widgets.question import Asked, Told


class Factors:
    """A factor for each channel that shows something: probe, shunt, a turned polarity."""

    def __init__(self, overlay: OverlayState) -> None:
        self.overlay = overlay
        self.fields: dict[str, w.Text] = {}
        self.box = w.Box([])
        self.box.add_class("wb-rows")
        overlay.observe(self.offer, "mapping")
        self.changed: list[Any] = []

    def offer(self, _: Any = None) -> None:
        """Offer a field for each channel that is shown; what was typed stays."""
        shown = [name for name, quantity in self.overlay.mapping.items() if quantity != NOT_SHOWN]
        for name in shown:
            if name not in self.fields:
                self.fields[name] = w.Text(value="1", continuous_update=False, layout=w.Layout(width="110px"))
                self.fields[name].observe(lambda _: [tell() for tell in self.changed], "value")
        self.box.children = [self._line(name) for name in shown]

    def _line(self, name: str) -> w.HBox:
        what = "A per V of a shunt" if curve_named(self.overlay.mapping[name]).is_current else "of the probe"
        about = w.HTML(f"{what}, −1 to turn it round")
        about.add_class("wb-note")
        line = row(f"factor of {one_line(name)}", self.fields[name], about)
        line.add_class("wb-named")
        return line

    def values(self) -> dict[str, float]:
        """Return the factors that are not 1; each also says that the channel's unit is changed by it."""
        found = {}
        for name, quantity_name in self.overlay.mapping.items():
            text = self.fields[name].value.strip() if name in self.fields else "1"
            if quantity_name == NOT_SHOWN or text == "1":
                continue
            try:
                found[name] = float(text)
            except ValueError:
                raise UsageError(f'factor of {name}: "{text}"; accepted: a plain number other than zero') from None
        return found

    def channels(self) -> dict[str, str]:
        """Return the name of each curve's channel."""
        return {curve: name for name, curve in self.overlay.mapping.items() if curve != NOT_SHOWN}

    def measured(self, build: Build) -> Measured:
        """Return the capture as measured curves."""
        trace: Any = self.overlay.trace
        if trace is None:
            raise UsageError("no capture is loaded; accepted: choose, name or upload one first")
        shown = {name: quantity for name, quantity in self.overlay.mapping.items() if quantity != NOT_SHOWN}
        return measure(trace, shown, build, self.values())


@dataclass(frozen=True)
class Unsaid:
    """A capture of which no channel is known to show anything, and the model's run."""

    trace: Trace
    start: Startup


class OverlayQuestion:
    """The capture over the model as the build stands."""

    def __init__(self, overlay: OverlayState, factors: Factors, lined_up: Callable[[], None]) -> None:
        self.overlay, self.factors, self.lined_up = overlay, factors, lined_up
        self._known: Any = None

    def ask(self, build: Build, told: Told, asked: Asked) -> Laid | Unsaid | Startup:
        """Lay it over, with the shift of the page; a new capture is lined up first. Without one, the model's run."""
        start = simulate(build)
        if self.overlay.trace is None:
            return start
        if not self.factors.channels():
            return Unsaid(self.overlay.trace, start)
        measured = self.factors.measured(build)
        new = self._known is not self.overlay.trace and self.overlay.shift == 0.0
        comparison = compare(measured, start, None if new else float(self.overlay.shift))
        self._known = self.overlay.trace
        if new:
            self.overlay.move(comparison.shift)
            self.lined_up()
        return Laid(measured=measured, start=start, comparison=comparison, channels=self.factors.channels())


def laid_html(found: Laid | Unsaid | Startup, screen: Screen | None = None) -> str:
    """Return how far apart they are, and the picture; of one of them alone where there is nothing to lay over."""
    match found:
        case Laid():
            answer = compare_answer(found)
        case Unsaid():
            answer = channels_alone(found.trace, found.start)
        case _:
            answer = model_alone(found)
    return render(answer, screen)
