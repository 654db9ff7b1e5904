"""The frame of every page: rail, reading, body, foot."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as w

from inrushlib.build import load_build
from widgets.access import Access
from widgets.build_files import load_measured
from widgets.chain import Chain
from widgets.controls import Controls
from widgets.files import shipped, work_folder
from widgets.help import PHYSICS, WORDS, help_box
from widgets.look import STYLE
from widgets.margin import MarginState
from widgets.rail import Rail
from widgets.reading import Reading
from widgets.state import BuildState
from widgets.worker import SEND
from widgets.working_copy import WorkingCopy

HELP = "Point at a value, or step to its field: what it means, where to find it, and what is accepted stand here."
LIMITS = (
    "<b>Limits.</b> The model takes a few points for each section of pixels, not one for each pixel, and knows no heat "
    "in wires or connectors; its part values are typical of the trade until you put in your own. Lay a capture over it "
    "before you trust it. <b>Caution.</b> Fuse each feed below what its wire stands, never leave a first power-on "
    "alone, and leave mains and building wiring to a licensed person and to local codes."
)
FOOT = (
    f'<div><span class="wb-help">{HELP}</span><span class="wb-ways"><a href="#{PHYSICS}">How this is computed</a>'
    f'<a href="#{WORDS}">Glossary</a></span>'
    f"<details><summary>A model, not an approval</summary>{LIMITS}</details></div>"
)


def begin(path: str | Path | None, example: str, threaded: bool) -> BuildState:
    """Return the state of a page.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the example.
    example : str
        File name of a build that comes along.
    threaded : bool
        False computes in the caller's thread, for tests.
    """
    if path is not None:
        build, problem = load_measured(path)
        state = BuildState(build, threaded)
        state.path, state.saved, state.problem = Path(path), build, problem
        return state
    build = load_build(shipped("builds") / example).without_comments()
    return BuildState(build, threaded, WorkingCopy(work_folder()))


class Frame:
    """One page: the parts that all have; what stands in the body is the page's own.

    Parameters
    ----------
    state : BuildState
        Has the build.
    here : str
        Name of the page in the rail.
    question : str
        What the page answers.
    """

    def __init__(self, state: BuildState, here: str, question: str) -> None:
        self.state = state
        self.rail = Rail(state, here)
        self.margin = MarginState(state)
        self.reading = Reading(state, self.margin, question)
        self.controls = Controls(state, self.margin)
        self.chain = Chain(state, self.controls)
        self.access = Access()
        self.access.observe(lambda _: self.send_again(), "built")
        self.access.observe(lambda _: state.follow(), "looked")
        self.stage = w.VBox([])
        self.stage.add_class("wb-stage")
        self.stage.add_class("wb-card")
        self.side = w.Box([])
        self.side.add_class("wb-side")
        self.sent: list[w.DOMWidget] = []
        self.help = help_box(here)
        self.box = self._lay_out()

    def _lay_out(self) -> w.VBox:
        style = w.HTML(STYLE)
        style.add_class("wb-style")
        body = w.Box([self.chain.box, self.stage, self.side])
        body.add_class("wb-body")
        foot = w.HTML(FOOT)
        foot.add_class("wb-foot")
        page = w.VBox([style, self.rail.box, self.reading.box, self.reading.said, body, self.help, foot, self.access])
        page.add_class("wb-page")
        fit = w.VBox([page])
        fit.add_class("wb-fit")
        return fit

    def send_again(self) -> None:
        """Send everything once more: what changed while the page was being built may have been lost on its way."""

        def job() -> None:
            for widget in (*self.rail.widgets, self.reading.box, self.reading.said, self.stage, self.side, *self.sent):
                widget.send_state()
                widget.layout.send_state()

        self.state.worker.submit(SEND, job)
