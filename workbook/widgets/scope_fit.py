"""Keys of the build fitted to the capture: which, the report, the fitted build as a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as w
import traitlets as tl

from inrushlib.answers.compare import Laid, compare_answer
from inrushlib.answers.fit import with_note
from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.build import Build, build_keys
from inrushlib.cli.compare import accuracy
from inrushlib.errors import InrushError, UsageError
from inrushlib.files import write_safely
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import ValueKind, key_words
from inrushlib.startup import simulate
from inrushlib.text import for_html
from inrushlib.trace import Fit, Stage, compare, fit_build, learned
from widgets.files import WIDE, pressed, row, work_folder
from widgets.problems import problem_html
from widgets.question import Asked, Told
from widgets.question_view import TaskView
from widgets.scope_capture import Factors

FIRST_KEYS = ("adapter.limit_current", "lead.resistance", "controller.boot_time")


def fittable(build: Build) -> tuple[str, ...]:
    """Return the keys that can be fitted: single numbers above zero."""
    found = []
    for key, info in build_keys().items():
        if not info.table or info.kind is not ValueKind.NUMBER or getattr(build, info.table) is None:
            continue
        value = build.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and value > 0:
            found.append(key)
    return tuple(found)


@dataclass(frozen=True)
class Fitted:
    """A fit, and the capture over the model with its values."""

    fit: Fit
    laid: Laid


class FitQuestion(tl.HasTraits):
    """Which keys; the question itself."""

    stage: Any = tl.Unicode("")
    """What the fit is doing."""

    def __init__(self, state: Any, factors: Factors) -> None:
        super().__init__()
        self.state, self.factors = state, factors
        self.keys = w.SelectMultiple(rows=9, layout=WIDE)
        self.bootstrap = w.BoundedIntText(value=0, min=0, max=1000, layout=w.Layout(width="80px"))
        self.probe = w.Text(value="3 %", layout=w.Layout(width="110px"), continuous_update=False)
        self.time = w.Text(value="100 ppm", layout=w.Layout(width="110px"), continuous_update=False)
        self.chosen = w.HTML()
        hint = w.HTML("Several with Ctrl or Shift. What the capture does not determine is said, not guessed.")
        hint.add_class("wb-note")
        self.box = w.VBox(
            [
                row("values", self.keys),
                row("chosen", self.chosen),
                hint,
                row("probe accuracy", self.probe, w.HTML("of gains, standard deviation; known where calibrated")),
                row("time accuracy", self.time, w.HTML("of the scope's time base; known where calibrated")),
                row("repeats", self.bootstrap, w.HTML("of the fit for its errors; 0 takes them from profiles")),
            ]
        )
        self.keys.observe(self.say, "value")
        self.offer()
        state.observe(self.offer, "shown")

    def offer(self, _: Any = None) -> None:
        """List the keys of the build; what was chosen stays."""
        keys = fittable(self.state.build)
        options = tuple((key_words(key), key) for key in keys)
        if tuple(self.keys.options) != options:
            chosen = self.keys.value or FIRST_KEYS
            self.keys.options = options
            self.keys.value = [key for key in chosen if key in keys]

    def say(self, _: Any = None) -> None:
        """Say which keys are chosen, since the list shows a few of them at a time."""
        self.chosen.value = for_html(", ".join(key_words(key) for key in self.keys.value) or "none")

    def ask(self, build: Build, told: Told, asked: Asked) -> Fitted:
        """Fit."""
        if not self.keys.value:
            raise UsageError("no key is chosen; accepted: one or more of the list")

        def progress(stage: Stage) -> None:
            self.stage = stage.words
            told(stage.share)

        measured = self.factors.measured(build)
        fit = fit_build(
            build, measured, self.keys.value, accuracy=accuracy(self.probe.value, self.time.value),
            bootstrap=self.bootstrap.value, progress=progress, cancelled=asked,
        )  # fmt: skip
        start = simulate(fit.build)
        comparison = compare(measured, start, fit.shift)
        channels = self.factors.channels()
        return Fitted(fit, Laid(measured=measured, start=start, comparison=comparison, channels=channels))


class FitView(TaskView):
    """The widgets of a fit: what it is doing is said in words, and the fitted build can be saved."""

    def __init__(self, question: FitQuestion, *args: Any, **named: Any) -> None:
        self.question = question
        self.path = w.Text(value="fitted.toml", layout=WIDE, continuous_update=False)
        self.save = w.Button(description="Save fitted build", icon="save", disabled=True)
        self.save.layout.width = "auto"
        self.saved = w.HTML()
        self._asked: Path | None = None
        super().__init__(*args, **named)
        self.box.children = (*self.box.children, pressed(row("save to", self.path, self.save)), self.saved)
        self.save.on_click(lambda _: self.write())
        question.observe(self.tell, "stage")

    def tell(self, change: Any = None) -> None:
        """Show the stage while it runs."""
        super().tell(change)
        if self.task.running and self.question.stage:
            words = for_html(f"{self.question.stage} …")
            self.said.value = f'<span class="wb-small" role="status">{words}</span>'
        self.save.disabled = self.task.result is None

    def write(self) -> None:
        """Write the fitted build with a note of the capture; a file that is there is replaced when asked twice."""
        name = self.path.value.strip()
        target = work_folder() / (name if Path(name).suffix else f"{name}.toml")
        if not name:
            self._refuse("file: no name; accepted: a path such as fitted.toml")
        elif target.exists() and self._asked != target:
            self._asked = target
            self._refuse(f"{target.name} is there already; press Save once more to replace it")
        else:
            self._asked = None
            try:
                write_safely(with_note(self.task.result.fit), target)
            except InrushError as error:
                self._refuse(str(error))
            else:
                self.saved.value = f'<div class="wb-message" role="status">{for_html(f"Saved {target}.")}</div>'

    def _refuse(self, why: str) -> None:
        self.saved.value = problem_html(why, of_file=True)

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return (*super().widgets, self.save, self.saved)


def fit_values(found: Fitted) -> Mapping[str, Any]:
    """Return the fitted values that the capture determines."""
    return {key: fitted.value for key, fitted in found.fit.keys.items() if fitted.error is not None}


def fit_learned(found: Fitted) -> MeasurementLog:
    """Return what the capture told, for the log of what has been measured."""
    rows, together = learned(found.fit, date.today())
    return MeasurementLog(tuple(rows), tuple(together))


def fit_html(found: Fitted, screen: Screen | None = None) -> str:
    """Return the fit's report, and the capture over the model with its values."""
    return render(compare_answer(found.laid, found.fit), screen)
