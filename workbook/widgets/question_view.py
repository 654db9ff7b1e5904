"""The widgets of one question: button, progress, cancel, what went wrong, the answer."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import ipywidgets as w

from inrushlib.answers.screen import Kept, Screen
from inrushlib.measurements import MeasurementLog
from inrushlib.quantities import in_percent
from inrushlib.text import for_html
from widgets.problems import problem_html
from widgets.question import Task
from widgets.state import NOTHING
from widgets.worker import DRAW, PICTURES

QUICK = 0.1  # [s] of processor time, pictures that take no more come together with their words
LATEST = 0.3  # [s], pictures are no longer behind their words
INPUTS, SPLIT = 316, 845
"""What stands beside an answer takes so much [px], from this width on; as in the style sheet."""


@dataclass(frozen=True)
class TakeOver:
    """What of the answer can be put into the build.

    Attributes
    ----------
    words : str
        Of the button.
    values : callable
        Takes the answer; returns keys and values, empty where there is nothing to take over.
    learned : callable
        Takes the answer; returns which of them were measured.
    """

    words: str
    values: Callable[[Any], Mapping[str, Any]]
    learned: Callable[[Any], MeasurementLog] = lambda _: NOTHING


class TaskView:
    """Widgets of one question.

    Parameters
    ----------
    task : Task
        The question.
    words : str
        Of the button.
    render : callable
        Takes the answer and the screen that its pictures are for; returns HTML.
    about : str
        One sentence above it.
    inputs : widget or None
        What is asked for first.
    take_over : TakeOver or None
        What can be put into the build.
    beside : bool
        Whether what is asked for stands beside the answer where there is room, so that both are seen at once.
    """

    def __init__(
        self, task: Task, words: str, render: Callable[[Any, Screen], str], about: str = "", inputs: Any = None,
        take_over: TakeOver | None = None, beside: bool = False,
    ) -> None:  # fmt: skip
        self.task, self.render, self.take_over, self.beside = task, render, take_over, beside
        self.screen = self.wanted = Screen(known=not task.worker.threaded)
        self.kept = Kept()
        self._behind = 0.0  # since when pictures are not of the newest answer [s]
        self.shown = False
        self.run = w.Button(description=words, icon="play")
        self.cancel = w.Button(description="Cancel", icon="stop", disabled=True)
        self.bar = w.FloatProgress(min=0.0, max=1.0, value=0.0, layout=w.Layout(width="220px"))
        self.said = w.HTML()
        self.take = w.Button(description=take_over.words if take_over else "", icon="arrow-up", disabled=True)
        self.problem = w.HTML()
        self.stale = w.HTML()
        self.output = w.HTML()
        self._wire()
        self.box = self._lay_out(about, inputs)
        self.tell()

    def _wire(self) -> None:
        self.run.on_click(lambda _: self.task.start())
        self.cancel.on_click(lambda _: self.task.cancel())
        self.take.on_click(lambda _: self.taken())
        self.task.observe(self.draw, "result")
        self.task.observe(self.tell, ["running", "share", "problem", "message", "build"])
        self.task.state.observe(self.freshen, "build")

    def _lay_out(self, about: str, inputs: Any) -> w.VBox:
        line = w.HBox([] if self.task.live else [self.run, self.cancel, self.bar, self.said])
        if self.take_over is not None:
            line.children = (*line.children, self.take)
        line.add_class("wb-run")
        intro = w.HTML(f'<div class="wb-small">{for_html(about)}</div>' if about else "")
        above = [intro, *([inputs] if inputs is not None else [])]
        below = [line] if line.children else []
        # What was found comes before the button that takes it over; a button that asks comes first.
        middle = [self.problem, self.stale, self.output]
        rows = [*above, *middle, *below] if self.task.live else [*above, *below, *middle]
        box = w.VBox(rows)
        box.add_class("wb-task")
        if self.beside:
            box.add_class("wb-split")
            if self.task.live:
                box.add_class("wb-live")
        return box

    def redraw(self) -> None:
        """Show the answer that is there with pictures for another screen."""
        if self.task.result is not None:
            self.kept.renew()
            self.show_answer()

    def show(self, shown: bool) -> None:
        """Freshen the answer when the tab is shown; called when it is hidden, too."""
        self.shown = shown
        self.fit(self.wanted)
        self.freshen()

    def freshen(self, _: Any = None) -> None:
        """The build changed, or the question came into view: ask where that is quick."""
        task = self.task
        if task.live and self.shown and (not task.fresh or task.running or task.problem):
            task.start()
        self.tell()

    def draw(self, _: Any = None) -> None:
        """Show the newest answer; where its pictures take long, its words first and these when nothing newer waits."""
        if self.task.result is None:
            return
        if self.kept.whole:
            self._behind = time.monotonic()
        self.kept.renew()
        if self.kept.took > QUICK:
            self.show_answer(0)
            self.task.worker.submit(PICTURES, self.draw_next)
        else:
            self.show_answer()

    def draw_next(self) -> None:
        """Draw the newest answer's next picture, the one on top first; all, where a moving slider kept them waiting."""
        late = time.monotonic() - self._behind > LATEST
        self.show_answer(None if late else self.kept.fresh + 1)
        if not self.kept.whole:
            self.task.worker.submit(PICTURES, self.draw_next)

    def show_answer(self, pictures: int | None = None) -> None:
        """Show the newest answer.

        Parameters
        ----------
        pictures : int or None
            How many, from the first, are of it [1]; the others stay for the moment. None for all.
        """
        self.kept.begin(pictures)
        self.output.value = self.render(self.task.result, replace(self.screen, kept=self.kept))

    def room(self, width: float) -> float:
        """Return how wide a picture of the answer may be [px].

        Parameters
        ----------
        width : float
            Of the place that questions have [px].
        """
        return width - INPUTS if self.beside and width >= SPLIT else width

    def fit(self, screen: Screen) -> None:
        """Draw for another screen; a question that is not open waits until it is.

        Parameters
        ----------
        screen : Screen
            Where the pictures are shown from now on.
        """
        self.wanted = screen
        if self.shown and screen != self.screen:
            self.screen = screen
            self.task.worker.submit(DRAW, self.redraw)

    def tell(self, _: Any = None) -> None:
        """Show how far it has come, what went wrong, and whether the answer is still for this build."""
        task = self.task
        if not task.live:
            self._tell_how_far()
        self.problem.value = problem_html(task.problem)
        old = task.result is not None and not task.fresh and not (task.live and task.running)
        first = task.live and task.running and task.result is None
        words = self._old_words() if old else "Being computed …" if first else ""
        self.stale.value = f'<div class="wb-stale">{words}</div>' if words else ""
        self.take.disabled = self.take_over is None or not task.fresh or not self.take_over.values(task.result)

    def _tell_how_far(self) -> None:
        """Button, bar and share; a question that answers by itself has none of them."""
        task = self.task
        self.run.disabled, self.cancel.disabled = task.running, not task.running
        self.bar.value = task.share if task.running else 0.0
        self.bar.layout.display = "" if task.running else "none"
        said = f"{in_percent(task.share)}" if task.running else task.message
        self.said.value = f'<span class="wb-small" role="status">{for_html(said)}</span>'

    def _old_words(self) -> str:
        before = "the build before it was changed" if self.task.build is not None else "what was asked before"
        words = f"What is shown here is for {before}."
        return words if self.task.live else f"{words} Press “{for_html(self.run.description)}” for the new one."

    def taken(self) -> None:
        """Put what was found into the build."""
        if self.take_over is not None and self.task.fresh:
            found = self.task.result
            self.task.state.change(self.take_over.values(found), self.take_over.learned(found))

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return self.run, self.cancel, self.bar, self.said, self.take, self.problem, self.stale, self.output
