"""Pages made of questions, and the second notebook's."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.answers.screen import Screen
from widgets.frame import Frame, begin
from widgets.question import Task
from widgets.question_view import SPLIT, TakeOver, TaskView
from widgets.supply_map import MapQuestion, map_html
from widgets.supply_remedies import ask_remedies, remedies_html, remedy_values
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

AROUND = 420  # [px] of a window: rail, reading, what is said above a picture, foot
EXAMPLE = "tide_board_never_starts.toml"


class TaskPage:
    """The frame with questions about the build in it, one open at a time.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the example.
    example : str
        File name of a build that comes along.
    here : str
        Name of the page in the rail.
    threaded : bool
        False computes in the caller's thread, for tests.
    """

    def __init__(self, path: str | Path | None, example: str, here: str, threaded: bool = True) -> None:
        self.state = begin(path, example, threaded)
        self.questions = self.make_questions()
        self.asked = w.ToggleButtons(options=tuple(self.questions), value=next(iter(self.questions)))
        self.asked.add_class("wb-seg")
        self.answer = w.VBox([])
        self.opened()  # the first answer is computed while the frame is made
        self.frame = Frame(self.state, here, "As it is: will it boot?")
        self.frame.stage.children = [self.asked, self.answer]
        self.frame.sent = [self.answer, *(part for view in self.questions.values() for part in view.widgets)]
        self.asked.observe(self.opened, "value")
        self.frame.access.observe(self.sized, ["width", "height", "ratio", "dark"])
        self.box = self.frame.box

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        raise NotImplementedError

    def sized(self, _: Any = None) -> None:
        """The page told how wide it is, and whether it is dark."""
        access = self.frame.access
        # A phone's window changes its height while one scrolls.
        high = access.height - AROUND if access.width >= SPLIT else math.inf
        for view in self.questions.values():
            view.fit(Screen(view.room(access.width), access.ratio, access.dark, high))

    def opened(self, _: Any = None) -> None:
        """Another question was chosen."""
        name = self.asked.value
        self.answer.children = [self.questions[name].box]
        for other, view in self.questions.items():
            view.show(other == name)


class SupplyPage(TaskPage):
    """The second notebook: adapter, remedies, reservoir, brightness, map."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        super().__init__(path, EXAMPLE, "Supply", threaded)

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
                "What could be changed so that it starts, alone and together, in standard values, each tried on the "
                "model as it stands; the command inrush remedies judges them by the odds too, which takes a minute.",
                take_over=TakeOver("Put the first one into the build", remedy_values),
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
            "Map of two values": TaskView(
                Task(self.state, self.map.ask), "Draw the map", map_html,
                "The verdict over any two values of the build.", inputs=self.map.box, beside=True,
            ),
        }  # fmt: skip


def which_supply(path: str | Path | None = None) -> w.VBox:
    """Return the page of the second notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board that never starts.
    """
    return SupplyPage(path).box
