"""Pages made of questions, and the second notebook's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.build import load_build
from inrushlib.text import for_html
from widgets import report
from widgets.access import Access
from widgets.answer_html import STYLE as MORE_STYLE
from widgets.controls import Controls
from widgets.files import BuildFiles, shipped
from widgets.look import STYLE
from widgets.question import Task
from widgets.question_view import TakeOver, TaskView
from widgets.state import BootState
from widgets.supply_map import MapQuestion, map_html
from widgets.supply_remedies import ask_remedies, remedies_html
from widgets.supply_reports import (
    adapter_html,
    adapter_values,
    ask_adapter,
    ask_brightness,
    ask_reservoir,
    brightness_html,
    reservoir_html,
    reservoir_values,
)
from widgets.worker import DRAW, SEND

DEFAULT = "tide_board_never_starts.toml"
BUILD = "Build file"
HELP = (
    "Choose a build, or a group of values to change. Point at a name, or step to its field, and this line says what it "
    "means. The answers below follow the build."
)


class TaskPage:
    """A build with its verdict above, its values to change, and questions about it below, one open at a time."""

    def __init__(self, path: str | Path, threaded: bool = True) -> None:
        self.state = BootState(load_build(path), threaded)
        self.state.path = Path(path)
        self.controls = Controls(self.state)
        self.files = BuildFiles(self.state)
        self.files.pick.index = 0
        self.verdict = w.HTML(report.FIRST_RUN)
        self.title, self.problem = w.HTML(), w.HTML()
        self.questions = self.make_questions()
        self.access = Access()
        self.access.observe(lambda _: self.send_again(), "built")
        self.tabs = _tabs((BUILD, *self.controls.names))
        self.panel = w.VBox([])
        self.panel.add_class("wb-panel")
        self.asked = _tabs(tuple(self.questions))
        self.asked.add_class("wb-asked")
        self.answer = w.VBox([])
        self.box = self._lay_out()
        self._wire()

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        raise NotImplementedError

    def _lay_out(self) -> w.VBox:
        left = w.VBox([self.tabs, self.panel, self.problem, w.HTML(f'<div class="wb-help">{HELP}</div>')])
        left.add_class("wb-left")
        right = w.VBox([self.title, self.asked, self.answer])
        right.add_class("wb-right")
        columns = w.Box([left, right])
        columns.add_class("wb-columns")
        page = w.VBox([w.HTML(STYLE + MORE_STYLE), self.verdict, columns, self.access])
        page.add_class("wb-page")
        page.add_class("wb-stack")
        return page

    def _wire(self) -> None:
        self.tabs.observe(self.turned, "value")
        self.asked.observe(self.opened, "value")
        self.state.observe(self.tell, ["problem", "message", "build", "path"])
        self.state.observe(self.judged, "start")
        self.tell()
        self.judged()
        self.turned()
        self.opened()

    def turned(self, _: Any = None) -> None:
        """Another group of values was chosen."""
        name = self.tabs.value
        self.panel.children = [self.files.box if self.tabs.index == 0 else self.controls.open(name)]

    def opened(self, _: Any = None) -> None:
        """Another question was chosen."""
        name = self.asked.value
        self.answer.children = [self.questions[name].box]
        for other, view in self.questions.items():
            view.show(other == name)

    def judged(self, _: Any = None) -> None:
        """Say the verdict of the newest start."""

        def job() -> None:
            if self.state.start is not None:
                self.verdict.value = report.verdict_html(self.state.start)

        self.state.worker.submit(DRAW, job)

    def tell(self, _: Any = None) -> None:
        """Show which build it is, what is not right, or what was done."""
        state = self.state
        where = f" <span>{for_html(state.path.name)}</span>" if state.path else ""
        self.title.value = f'<div class="wb-title">{for_html(state.build.title)}{where}</div>'
        if state.problem:
            words = f"Not accepted, used is the build without it:\n{state.problem}" if state.refused else state.problem
            self.problem.value = f'<div class="wb-problem" role="alert">{for_html(words)}</div>'
        else:
            words = for_html(state.message)
            self.problem.value = f'<div class="wb-message" role="status">{words}</div>' if words else ""

    def send_again(self) -> None:
        """Send everything once more: what changed while the page was being built may have been lost on its way."""

        def job() -> None:
            own = (self.verdict, self.title, self.problem, self.panel, self.answer)
            for widget in (*own, *(part for view in self.questions.values() for part in view.widgets)):
                widget.send_state()

        self.state.worker.submit(SEND, job)


def _tabs(names: tuple[str, ...]) -> w.ToggleButtons:
    tabs = w.ToggleButtons(options=names, value=names[0])
    tabs.add_class("wb-tabs")
    return tabs


class SupplyPage(TaskPage):
    """The second notebook: adapter, remedies, reservoir, brightness, map."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        super().__init__(path or shipped("builds") / DEFAULT, threaded)

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        self.map = MapQuestion(self.state)
        return {
            "Smallest adapter": TaskView(
                Task(self.state, ask_adapter, live=True), "", adapter_html,
                "The smallest adapter that starts the display, found by search over the model, beside what the running "
                "picture needs. The adapter's kind and its ratios of limit and peak to the label are kept.",
                take_over=TakeOver("Put this rating into the build", adapter_values),
            ),
            "Remedies": TaskView(
                Task(self.state, ask_remedies), "Compare remedies", remedies_html,
                "What could be changed so that it starts, each tried on the model, with the part values that it takes.",
            ),
            "Reservoir": TaskView(
                Task(self.state, ask_reservoir, live=True), "", reservoir_html,
                "The smallest capacitor behind a diode that carries the controller through the dip of the bus, by the "
                "model and by hand.",
                take_over=TakeOver("Put diode and reservoir into the build", reservoir_values),
            ),
            "Brightness cap": TaskView(
                Task(self.state, ask_brightness, live=True), "", brightness_html,
                "The brightest level that adapter and wires carry, and the constants that the program needs.",
            ),
            "Map of two keys": TaskView(
                Task(self.state, self.map.ask), "Draw the map", map_html,
                "The verdict over any two values of the build.", inputs=self.map.box,
            ),
        }  # fmt: skip


def which_supply(path: str | Path | None = None) -> w.VBox:
    """Return the page of the second notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the tide board that never starts.
    """
    return SupplyPage(path).box
