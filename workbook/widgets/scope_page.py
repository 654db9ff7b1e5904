"""The fifth notebook's page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from widgets.captures import CaptureFiles, made_capture
from widgets.overlay import OverlayState
from widgets.panel_page import ask_again
from widgets.question import Task
from widgets.question_page import TaskPage
from widgets.question_view import TakeOver, TaskView
from widgets.scope_capture import Factors, OverlayQuestion, laid_html
from widgets.scope_fit import FitQuestion, FitView, fit_html, fit_learned, fit_values

EXAMPLE = "tide_board_with_switch.toml"


class ScopePage(TaskPage):
    """The fifth notebook: capture, overlay, fit."""

    def __init__(
        self, path: str | Path | None = None, capture: str | Path | None = None, threaded: bool = True
    ) -> None:
        self.capture = capture
        super().__init__(path, EXAMPLE, "Scope", threaded)
        self.frame.sent.append(self.captures.shift)
        self.overlay.observe(self.changed, ["trace", "mapping", "shift", "units"])
        self.factors.changed.append(self.changed)

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        self.overlay = OverlayState()
        self.factors = Factors(self.overlay)
        self.captures = CaptureFiles(self.state, self.overlay)
        first = Path(self.capture) if self.capture else made_capture(self.state.build)
        if first is not None:
            self._begin_with(first)
        self.over = OverlayQuestion(self.overlay, self.factors, self.captures.show_shift)
        self.fit = FitQuestion(self.state, self.factors)
        return {
            "Capture over the model": TaskView(
                Task(self.state, self.over.ask, live=True), "", laid_html,
                "Choose or upload a capture; what its channels show is guessed where that is safe, and asked for where "
                "not. The difference is measured minus modelled.",
                inputs=w.VBox([self.captures.box, self.factors.box]), beside=True,
            ),
            "Fit": FitView(
                self.fit, Task(self.state, self.fit.ask), "Fit values", fit_html,
                "The values with which the model lies best on the capture, and which of them it determines. It starts "
                "from the build as it stands; it takes some seconds for each key.",
                inputs=self.fit.box, beside=True,
                take_over=TakeOver("Put the determined values into the build", fit_values, fit_learned),
            ),
        }  # fmt: skip

    def _begin_with(self, path: Path) -> None:
        listed = {str(value) for _, value in self.captures.pick.options}
        if str(path.resolve()) in listed:
            self.captures.pick.value = str(path.resolve())
        else:
            self.captures.read(path)

    def changed(self, _: Any = None) -> None:
        """Another capture, another meaning of a channel, another shift."""
        for view in self.questions.values():
            ask_again(view)


def model_against_scope(path: str | Path | None = None, capture: str | Path | None = None) -> w.VBox:
    """Return the page of the fifth notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board with a switch.
    capture : str or Path or None
        Capture to begin with; None for the one that was made of the example, where the build is one.
    """
    return ScopePage(path, capture).box
