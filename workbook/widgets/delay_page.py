"""The third notebook's page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from widgets.delay_reports import (
    ask_gate_map,
    ask_stress,
    ask_window,
    gate_map_html,
    stress_html,
    window_html,
    window_values,
)
from widgets.question import Task
from widgets.question_page import TaskPage
from widgets.question_view import TakeOver, TaskView

EXAMPLE = "tide_board_with_switch.toml"


class DelayPage(TaskPage):
    """The third notebook: delay window, gate map, switch stress."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        self.put = w.Button(description="Put a switch into the build", icon="arrow-up")
        self.offered = w.HBox([self.put])
        self.offered.add_class("wb-run")
        super().__init__(path, EXAMPLE, "First frame", threaded)
        self.frame.sent.append(self.offered)
        self.frame.stage.children = [*self.frame.stage.children, self.offered]
        self.put.on_click(lambda _: self.state.change({"switch": {}}))
        self.state.observe(self.offer, "shown")
        self.offer()

    def offer(self, _: Any = None) -> None:
        """Offer a switch, typical in all its values, where the build has none."""
        self.offered.layout.display = "" if self.state.build.switch is None else "none"

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        return {
            "Delay window": TaskView(
                Task(self.state, ask_window, live=True), "", window_html,
                "How long after the program begins to send the first frame: too early and the pixels do not listen "
                "yet, too late and the controller browns out or the switch gets too hot.",
                take_over=TakeOver("Put this delay into the build", window_values),
            ),
            "Gate map": TaskView(
                Task(self.state, ask_gate_map), "Draw the map", gate_map_html,
                "The window over the gate's resistance and capacitance, a factor of ten either side of the build's "
                "own, the resistance up to half of the pull-up. It takes some ten seconds.",
            ),
            "Switch stress": TaskView(
                Task(self.state, ask_stress, live=True), "", stress_html,
                "The stress of the switch: heat, its gate's drive, plugging in, and what drives its gate.",
            ),
        }  # fmt: skip


def switch_delay(path: str | Path | None = None) -> w.VBox:
    """Return the page of the third notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board with a switch.
    """
    return DelayPage(path).box
