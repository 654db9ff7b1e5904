"""The notebook to begin with: what each of the others answers, and the story of one display."""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets as w

from inrushlib.answers.blocks import Caution, Value, Words
from inrushlib.answers.guide import CARES
from inrushlib.answers.html import html_of, render_block
from inrushlib.errors import InrushError
from inrushlib.text import for_html
from widgets.access import Access
from widgets.files import row
from widgets.help import help_box
from widgets.look import STYLE
from widgets.problems import problem_html
from widgets.rail import links
from widgets.story import STEPS, Judged, Step, Story, judge
from widgets.worker import COMPUTE, SEND, Latest

ANSWERS = (
    ("1_will_it_boot.ipynb", "Will it boot?", "Whether the adapter starts the display, why not, how close it was."),
    ("2_which_supply.ipynb", "Which supply?", "The adapter, or what else would start it, and how bright it may run."),
    ("3_switch_delay.ipynb", "When to send the first frame?", "How long to wait after closing the switch, and what the "
     "switch stands."),
    ("4_feed_and_wire.ipynb", "Feed and wire", "Where to feed the panel, with what wire and fuse, and what gets hot."),
    ("6_how_sure.ipynb", "How sure is it?", "The odds over all that is not known, and what would turn the verdict."),
    ("5_model_against_scope.ipynb", "Model against scope", "Whether your capture agrees, and what it tells of your "
     "parts."),
    ("7_at_the_bench.ipynb", "At the bench", "What to measure first, and how each reading moves the odds."),
)  # fmt: skip
WORKING = '<span class="wb-small">being computed …</span>'


@dataclass
class StepView:
    """Widgets of one step."""

    step: Step
    place: int

    def __post_init__(self) -> None:
        self.answer: float | None = None
        self.told, self.judged, self.open = w.HTML(WORKING), w.HTML(), w.HTML()
        self.field = w.Text(continuous_update=False, placeholder="your answer, with its unit")
        self.field.observe(self.check, "value")
        head = w.HTML(f"<h3>{self.place}. {for_html(self.step.title)}</h3>")
        page = next(name for notebook, name, _ in ANSWERS if notebook == self.step.notebook)
        task = w.HTML(
            f'<div><b>For you.</b> {for_html(self.step.task)} <a href="{self.step.notebook}">{for_html(page)}</a></div>'
        )
        line = row(f"answer {self.place}", self.field, self.judged)
        line.add_class("wb-reading-row")
        self.box = w.VBox([head, self.told, task, line, self.open])
        self.box.add_class("wb-bench-card")

    def show(self, story: Story) -> None:
        """Compute what is said and what is to be found, and show it."""
        try:
            words, self.answer = self.step.words(story), self.step.answer(story)
        except InrushError as error:
            self.told.value = problem_html(str(error))
            return
        self.told.value = f"<div>{html_of(words)}</div>"
        answer = html_of(_told(self.answer, self.step.unit))
        self.open.value = f"<details><summary>Answer</summary>{answer}</details>"
        self.check()

    def check(self, _: object = None) -> None:
        """Say of the reader's answer whether it is right."""
        judged = Judged.EMPTY if self.answer is None else judge(self.field.value, self.step.unit, self.answer)
        self.judged.value = f'<span role="status">{for_html(judged.value)}</span>'


def _told(value: float, unit: str) -> Words:
    return Value(value, unit) if unit not in ("", "%") else f"{value:.0f} {unit}".strip()


class StoryPage:
    """What each notebook answers, and the steps of the story.

    Parameters
    ----------
    threaded : bool
        False computes in the caller's thread, for tests.
    """

    def __init__(self, threaded: bool = True) -> None:
        self.story = Story()
        self.views = [StepView(step, place) for place, step in enumerate(STEPS, 1)]
        self.worker = Latest(threaded)
        self.access = Access()
        self.access.observe(lambda _: self.send_again(), "built")
        self.box = self._lay_out()
        self.tell(0)

    def tell(self, place: int) -> None:
        """Compute the step at a place, then the next one; what is more urgent comes between."""

        def job() -> None:
            self.views[place].show(self.story)
            if place + 1 < len(self.views):
                self.tell(place + 1)

        self.worker.submit(COMPUTE, job)

    def send_again(self) -> None:
        """Send everything once more: what changed while the page was being built may have been lost on its way."""

        def job() -> None:
            for view in self.views:
                for widget in (view.told, view.open, view.judged):
                    widget.send_state()

        self.worker.submit(SEND, job)

    def _lay_out(self) -> w.VBox:
        style, nav = w.HTML(STYLE), w.HTML(links("Start"))
        style.add_class("wb-style")
        nav.add_class("wb-nav")
        title = w.HTML('<div class="wb-title"><b>From a box of parts to a running board</b></div>')
        top = w.Box([title, nav])
        top.add_class("wb-top")
        lines = "".join(
            f'<li><a href="{notebook}">{for_html(name)}</a> {for_html(what)}</li>' for notebook, name, what in ANSWERS
        )
        about = w.HTML(
            f'<div class="wb-caption">What each page answers</div><ul class="wb-list">{lines}</ul>'
            '<div class="wb-small">For a build of your own press “New” on any of these pages: it asks for five things.'
            "</div>"
            '<div class="wb-small">The story of a tide board at a harbour, invented for this workbook. Every number is '
            "computed as you read; each step has something to find out on another page, and a field that checks it."
            "</div>"
        )
        stage = w.VBox([about, *(view.box for view in self.views), w.HTML(render_block(Caution(CARES)))])
        stage.add_class("wb-stage")
        stage.add_class("wb-card")
        stage.add_class("wb-story")
        rail = w.VBox([top])
        rail.add_class("wb-rail")
        page = w.VBox([style, rail, stage, help_box("Start"), self.access])
        page.add_class("wb-page")
        fit = w.VBox([page])
        fit.add_class("wb-fit")
        return fit


def start_here() -> w.VBox:
    """Return the page of the notebook to begin with."""
    return StoryPage().box
