"""The first notebook's outputs: picture, readings, figures, switchings."""

from __future__ import annotations

from collections.abc import Callable
from threading import get_ident
from typing import Any

import ipywidgets as w

from inrushlib.answers.margins import shown
from inrushlib.plots import LivePicture, Scheme, View
from inrushlib.startup import Startup
from widgets import report
from widgets.margin import MarginState
from widgets.overlay import OverlayState
from widgets.picture import Picture
from widgets.state import BuildState
from widgets.time_state import TimeState
from widgets.time_view import TimeView
from widgets.worker import DETAILS, DRAW

MOST_LINES = 300


class BootView:
    """Widgets that show a state's start.

    Everything is drawn in the state's worker: the picture first, the tables when nothing newer waits.
    """

    def __init__(self, state: BuildState, margin: MarginState, time: TimeState, overlay: OverlayState) -> None:
        self.state, self.margin, self.time, self.overlay = state, margin, time, overlay
        self.picture = LivePicture()
        self.size: Callable[[], None] | None = None
        self._fitted: Callable[[], None] | None = None
        self.image = Picture()
        self.image.add_class("wb-picture")
        self.times = TimeView(state, time)
        self.doing = w.HTML()
        self.figures = [_card() for _ in range(3)]
        self.log = w.Select(options=[], rows=9, layout=w.Layout(width="100%"))
        self.log.add_class("wb-log")
        self.stage = [self.times.bar, self.image, self.times.read, self.times.curves, self.doing]
        self.side = [*self.figures, self._listed()]
        self._listing: int | None = None
        self._pointed = False
        self._wire()
        self.redraw()

    def _listed(self) -> w.VBox:
        heading = w.HTML("Everything that switched: choose a line to read there")
        heading.add_class("wb-heading")
        box = w.VBox([heading, self.log])
        box.add_class("wb-card")
        return box

    def _wire(self) -> None:
        self.state.observe(self.redraw, "start")
        self.time.observe(self.redraw, ["span", "cursor", "voltages"])
        self.overlay.observe(self.redraw, "overlays")
        self.margin.observe(self.redraw, "marked")
        self.log.observe(self.picked, "value")

    def resize(self, width: float, height: float, ratio: float, dark: bool) -> None:
        """Draw for another place on the page [px], with ``ratio`` pixels of the screen for each, light or dark."""

        def fit() -> None:
            self.picture.paint(Scheme.DARK if dark else Scheme.LIGHT)
            self.picture.resize(width, ratio, height)

        self.size = fit
        self.redraw()

    def redraw(self, _: Any = None) -> None:
        """Ask for the picture and the tables of the newest start."""
        self.state.worker.submit(DRAW, self.draw)

    def draw(self) -> None:
        """Draw the picture and ask for the tables."""
        start = self.state.start
        if start is None:
            return
        if not self._pointed:
            self._pointed = True
            self.time.cursor = telling_instant(start)
        fit = self.size  # read once: the page's own thread may ask for another place at any time
        if fit is not None and fit is not self._fitted:
            self._fitted = fit
            fit()
        self.image.value = self.picture.png(start, self._view(start))
        self.state.worker.submit(DETAILS, self.tabulate)

    def _view(self, start: Startup) -> View:
        """What is shown of a start; where its rules came closest only once that has been worked out."""
        low, high = self.time.shown_span
        duration = start.build.run.duration
        span = (min(low, 0.999 * duration), min(high, duration))
        marks = shown(start) if self.margin.marked is start else ()
        return View(span, self.time.cursor, tuple(self.time.voltages), tuple(self.overlay.overlays), marks)

    def tabulate(self) -> None:
        """Show readings, figures and switchings."""
        start = self.state.start
        self.times.tell(start)
        self.doing.value = report.doing_html(start, self.time.cursor)
        for card, words in zip(self.figures, report.figures_html(start), strict=True):
            card.value = words
        lines = report.switching_lines(start, MOST_LINES)
        if tuple(lines) != self.log.options:
            self._listing = get_ident()  # a choice by the page comes by another thread
            self.log.options = lines
            self.log.value = None
            self._listing = None

    def picked(self, change: Any) -> None:
        """A line of the list was chosen: read there."""
        if self._listing != get_ident() and change["new"] is not None:
            self.time.cursor = float(change["new"])

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return self.image, self.doing, self.log, *self.figures, *self.times.widgets


def telling_instant(start: Startup) -> float:
    """Where a reading says something from the first look on [s]: while it boots, or half way through one that fails."""
    return 0.5 * (start.running_at or start.build.run.duration)


def _card() -> w.HTML:
    card = w.HTML()
    card.add_class("wb-card")
    return card
