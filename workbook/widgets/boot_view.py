"""The first notebook's outputs: verdict, picture, readings, figures, switchings."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from inrushlib.answers.margins import shown
from inrushlib.plots import LivePicture, View
from inrushlib.startup import Startup
from inrushlib.text import for_html
from widgets import report
from widgets.overlay import OverlayState
from widgets.state import BootState
from widgets.time_view import TimeView
from widgets.worker import DETAILS, DRAW, SEND

MOST_LINES = 300


class BootView:
    """Widgets that show a state's start.

    Everything is drawn in the state's worker: the picture and the verdict first, the tables when nothing newer waits.
    """

    def __init__(self, state: BootState, overlay: OverlayState) -> None:
        self.state, self.overlay = state, overlay
        self.picture = LivePicture()
        self.size: tuple[float, float] | None = None
        self.verdict = w.HTML(report.FIRST_RUN)
        self.problem = w.HTML()
        self.title = w.HTML()
        self.image = w.Image(format="png")
        self.image.add_class("wb-picture")
        self.times = TimeView(state)
        self.readings = w.HTML()
        self.closest = w.HTML()
        self.figures = w.HTML()
        self.log = w.Select(options=[], rows=9, layout=w.Layout(width="100%"))
        self.log.add_class("wb-log")
        heading = w.HTML("Everything that switched: choose a line to read there")
        heading.add_class("wb-heading")
        self.box = w.VBox(
            [self.title, self.image, self.times.box, self.closest, self.readings, self.figures, heading, self.log]
        )
        self._listing = False
        self._marked: Startup | None = None
        self._wire()
        self.tell()
        self.redraw()

    def _wire(self) -> None:
        self.state.observe(self.redraw, ["start", "span", "cursor", "voltages"])
        self.state.observe(self.tell, ["problem", "message", "build", "path"])
        self.overlay.observe(self.redraw, "overlays")
        self.log.observe(self.picked, "value")

    def resize(self, width: float, ratio: float) -> None:
        """Draw for another width on the page [px], with ``ratio`` pixels of the screen for each."""
        self.size = (width, ratio)
        self.redraw()

    def send_again(self) -> None:
        """Send everything once more: what changed while the page was being built may have been lost on its way."""

        def job() -> None:
            texts = (self.verdict, self.title, self.problem, self.closest, self.readings, self.figures)
            for widget in (*texts, self.image, self.log):
                widget.send_state()

        self.state.worker.submit(SEND, job)

    def redraw(self, _: Any = None) -> None:
        """Ask for the picture and the tables of the newest start."""
        self.state.worker.submit(DRAW, self.draw)

    def draw(self) -> None:
        """Draw the picture, say the verdict, and ask for the tables."""
        start = self.state.start
        if start is None:
            return
        if self.size is not None:
            size, self.size = self.size, None
            self.picture.resize(*size)
        self.image.value = self.picture.png(start, self._view(start))
        self.verdict.value = report.verdict_html(start)
        self.state.worker.submit(DETAILS, self.tabulate)

    def _view(self, start: Startup) -> View:
        """What is shown of a start; where its rules came closest only once that has been worked out."""
        low, high = self.state.shown_span
        duration = start.build.run.duration
        span = (min(low, 0.999 * duration), min(high, duration))
        marks = shown(start) if self._marked is start else ()
        return View(span, self.state.cursor, tuple(self.state.voltages), tuple(self.overlay.overlays), marks)

    def mark(self, start: Startup) -> None:
        """Say how close the start was, and mark it on the picture: further runs, so only once nothing newer waits."""
        if self._marked is start:
            return
        self.closest.value = report.closest_html(start)
        self._marked = start
        self.image.value = self.picture.png(start, self._view(start))

    def tabulate(self) -> None:
        """Show how close it was, readings, figures and switchings."""
        start = self.state.start
        self.mark(start)
        self.readings.value = report.readings_html(start, self.state.cursor)
        self.figures.value = report.figures_html(start)
        lines = report.switching_lines(start, MOST_LINES)
        if tuple(lines) != self.log.options:
            self._listing = True
            self.log.options = lines
            self.log.value = None
            self._listing = False

    def picked(self, change: Any) -> None:
        """A line of the list was chosen: read there."""
        if not self._listing and change["new"] is not None:
            self.state.cursor = float(change["new"])

    def tell(self, _: Any = None) -> None:
        """Show which build it is, what is not right, or what was done."""
        build, path = self.state.build, self.state.path
        where = f" <span>{for_html(path.name)}</span>" if path else ""
        self.title.value = f'<div class="wb-title">{for_html(build.title)}{where}</div>'
        if self.state.problem:
            words = for_html(self.state.problem)
            if self.state.refused:
                words = f"Not accepted, shown is the build without it:\n{words}"
            self.problem.value = f'<div class="wb-problem" role="alert">{words}</div>'
        elif self.state.message:
            self.problem.value = f'<div class="wb-message" role="status">{for_html(self.state.message)}</div>'
        else:
            self.problem.value = ""
