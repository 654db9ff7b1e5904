"""The fourth notebook's page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from widgets.panel_feeds import FeedQuestion, WireQuestion, feed_values, feeds_html, wire_values, wires_html
from widgets.panel_picture import ColourFields, PanelQuestion, Shown, panel_html
from widgets.panel_safety import SafetyQuestion, safety_html
from widgets.question import Task
from widgets.question_page import TaskPage
from widgets.question_view import TakeOver, TaskView

EXAMPLE = "tide_board_boots.toml"


def ask_again(view: TaskView) -> None:
    """What was asked for changed: the answer is old, and a quick one is asked for anew."""
    view.task.build = None
    view.freshen()


class PanelPage(TaskPage):
    """The fourth notebook: the panel's pictures, feeds, wires, safety."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        super().__init__(path, EXAMPLE, "Feed and wire", threaded)
        self.shown.observe(self.changed)
        for question, name in ((self.wires, "Wires"), (self.safety, "Safety")):
            self.follow(question, self.questions[name])

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        self.shown = Shown()
        self.colour = ColourFields(self.shown)
        self.panel_question, self.feeds = PanelQuestion(self.shown), FeedQuestion(self.shown)
        self.wires, self.safety = WireQuestion(self.shown), SafetyQuestion(self.shown)

        def inputs(*own: Any) -> w.VBox:
            return w.VBox([self.colour.box, *own])

        return {
            "Panel": TaskView(
                Task(self.state, self.panel_question.ask, live=True), "", panel_html,
                "Every pixel in one colour, settled: what each gets, how bright it is, what each wire carries. How the "
                "pixels lie is told by the last values of the wiring.",
                inputs=inputs(),
            ),
            "Where to feed": TaskView(
                Task(self.state, self.feeds.ask), "Compare feeds", feeds_html,
                "The usual ways of feeding side by side, and the places that give the worst pixel most.",
                inputs=inputs(self.feeds.box), take_over=TakeOver("Put these feeds into the build", feed_values),
            ),
            "Wires": TaskView(
                Task(self.state, self.wires.ask, live=True), "", wires_html,
                "The thinnest wires that keep the drop and the heat within limits. A length is one for all wires, or "
                "one each with commas between.",
                inputs=inputs(self.wires.box), take_over=TakeOver("Put these wires into the build", wire_values),
            ),
            "Safety": TaskView(
                Task(self.state, self.safety.ask, live=True), "", safety_html,
                "What can get hot, blow or misread. Gauges of lead, feeds and joints are those of the build.",
                inputs=inputs(self.safety.box),
            ),
        }  # fmt: skip

    def changed(self, _: Any = None) -> None:
        """Another colour or arrangement."""
        for view in self.questions.values():
            ask_again(view)

    def follow(self, question: WireQuestion | SafetyQuestion, view: TaskView) -> None:
        """Ask anew when a field of a question changes."""
        for line in question.box.children:
            for field in line.children[1:]:
                if not isinstance(field, w.HTML):
                    field.observe(lambda _: ask_again(view), "value")


def feed_and_wire(path: str | Path | None = None) -> w.VBox:
    """Return the page of the fourth notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board on a larger
        adapter.
    """
    return PanelPage(path).box
