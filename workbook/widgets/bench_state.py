"""What the bench page knows: the log of a build, the cards, and readings that come in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.guide import CardName, Dealt, Entered, deal, enter, joined, parse_readings
from inrushlib.measurements import MeasurementLog, add_to_log, log_beside, read_log
from widgets.question import Asked, Task, Told
from widgets.state import BuildState

RUNS = 256
NOTHING = MeasurementLog()


class BenchState(tl.HasTraits):
    """State of the seventh notebook; no widgets in here.

    The log is that of the build's file; while the build has none, the page keeps it, and writes it beside the file
    once there is one.

    Parameters
    ----------
    state : BuildState
        Has the build.
    """

    log = tl.Any(NOTHING)
    entered = tl.Any(None, allow_none=True)
    """What came in last, an ``Entered``."""
    before = tl.Any(None, allow_none=True)
    """The odds before that, a ``Dealt``; None where nothing came in."""
    problems = tl.Dict()
    """Why a card's readings are not accepted, by card."""
    problem = tl.Unicode("")
    """Why the log cannot be read or written."""

    def __init__(self, state: BuildState) -> None:
        super().__init__()
        self.state = state
        self._unwritten = NOTHING  # rows that the file does not have, because it could not be written
        self.task = Task(state, self.deal, live=True)
        self.read()
        state.observe(self.begun, "begun")
        state.observe(self.saved, "saved")

    def deal(self, build: Build, told: Told, asked: Asked) -> Dealt:
        """Compute the odds and the cards."""
        return deal(build, self.log, runs=RUNS, progress=told, cancelled=asked)

    def ask(self) -> None:
        """Compute anew; what is under way is stopped."""
        self.task.cancel()
        self.task.start()

    def read(self) -> None:
        """Take up the log beside the build's file."""
        path = self.state.path
        self.problem = ""
        if path is None or not log_beside(path).exists():
            return
        try:
            self.log = both(read_log(log_beside(path)), self._unwritten)
        except InrushError as error:
            self.problem = str(error)

    def begun(self, _: Any = None) -> None:
        """Another build: its log, and nothing of the last one's."""
        self.log, self.entered, self.before, self.problems = NOTHING, None, None, {}
        self._unwritten = NOTHING
        self.read()

    def saved(self, _: Any = None) -> None:
        """The build has a file now: what the page kept goes beside it."""
        path = self.state.path
        if path is None:
            return
        if self.log.rows and not log_beside(path).exists():
            self._unwritten = NOTHING
            self._write(self.log)
        elif self._unwritten.rows:
            self._write(NOTHING)

    def enter(self, name: CardName, text: str, day: date | None = None) -> bool:
        """Take the readings of a card; those that are not accepted change nothing, and ``problems`` says why."""
        self.read()
        build = self.state.build
        try:
            found = enter(build, name, parse_readings(name, text, build), day or date.today(), self.log)
        except InrushError as error:
            self.problems = {**self.problems, name: str(error)}
            return False
        self._take(found, self.task.result if self.task.fresh else None)
        return True

    def _take(self, found: Entered, before: Any) -> None:
        self.problems = {name: why for name, why in self.problems.items() if name is not found.name}
        self.log = joined(self.log, [found])
        self.before, self.entered = before, found
        values: Mapping[str, Any] = {row.key: row.value for row in found.rows}
        if not self.state.change(values) or self.state.build == self.task.build:
            self.ask()  # nothing of the build moved, but its ranges did
        if self.state.path is not None:
            self._write(MeasurementLog(found.rows, found.together))

    def _write(self, log: MeasurementLog) -> None:
        """Add rows to the file, with those that could not be written before."""
        path, log = self.state.path, both(self._unwritten, log)
        try:
            add_to_log(log_beside(path), log.rows, log.together)
        except InrushError as error:
            self._unwritten, self.problem = log, str(error)
        else:
            self._unwritten, self.problem = NOTHING, ""


def both(log: MeasurementLog, more: MeasurementLog) -> MeasurementLog:
    """Return a log with the rows of another below its own."""
    return MeasurementLog((*log.rows, *more.rows), (*log.together, *more.together))
