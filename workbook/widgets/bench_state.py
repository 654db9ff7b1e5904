"""What the bench page knows: the cards, and readings that come in."""

from __future__ import annotations

from datetime import date
from typing import Any

import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.guide import CardName, Dealt, deal, enter, parse_readings
from widgets.question import Asked, Task, Told
from widgets.state import BuildState

RUNS = 256


class BenchState(tl.HasTraits):
    """State of the seventh notebook; no widgets in here.

    What was measured belongs to the build, which takes it along to every page and, once saved, to its file.

    Parameters
    ----------
    state : BuildState
        Has the build.
    """

    entered = tl.Any(None, allow_none=True)
    """What came in last, an ``Entered``; None once that was taken back."""
    before = tl.Any(None, allow_none=True)
    """The odds before that, a ``Dealt``; None where nothing came in."""
    problems = tl.Dict()
    """Why a card's readings are not accepted, by card."""

    def __init__(self, state: BuildState) -> None:
        super().__init__()
        self.state = state
        self.task = Task(state, self.deal, live=True)
        state.observe(self.begun, "begun")
        state.observe(self.changed, "build")

    def deal(self, build: Build, told: Told, asked: Asked) -> Dealt:
        """Compute the odds and the cards."""
        return deal(build, build.measured, runs=RUNS, progress=told, cancelled=asked)

    def ask(self) -> None:
        """Compute anew; what is under way is stopped."""
        self.task.cancel()
        self.task.start()

    def begun(self, _: Any = None) -> None:
        """Another build: nothing of the last one's."""
        self.entered, self.before, self.problems = None, None, {}

    def changed(self, _: Any = None) -> None:
        """The build changed: what came in last may have been taken back."""
        if self.entered is not None and not set(self.entered.log.rows) <= set(self.state.build.measured.rows):
            self.entered, self.before = None, None
        self.ask()

    def enter(self, name: CardName, text: str, day: date | None = None) -> bool:
        """Take the readings of a card; those that are not accepted change nothing, and ``problems`` says why."""
        build = self.state.build
        try:
            found = enter(build, name, parse_readings(name, text, build), day or date.today(), build.measured)
        except InrushError as error:
            self.problems = {**self.problems, name: "\n".join(error.problems)}  # it stands on the card
            return False
        self.problems = {each: why for each, why in self.problems.items() if each is not name}
        self.before, self.entered = self.task.result if self.task.fresh else None, found
        return self.state.change({row.key: row.value for row in found.log.rows}, found.log)
