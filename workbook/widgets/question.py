"""One question to the library: its answer, how far it has come, and why there is none."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable
from typing import Any

import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.startup import Cancelled
from widgets.problems import words_of
from widgets.state import BuildState
from widgets.worker import COMPUTE, Latest

Told = Callable[[float], None]
Asked = Callable[[], bool]
Compute = Callable[[Build, Told, Asked], Any]

TELL_EVERY = 0.1  # [s] between two reports of progress to the page


class Task(tl.HasTraits):
    """State of one question; no widgets in here.

    Parameters
    ----------
    state : BuildState
        Has the build.
    compute : callable
        Takes the build, a function to tell the share done, and one to ask whether to stop; returns the answer.
    live : bool
        Whether it is quick enough to be asked anew with every change of the build.
    """

    result = tl.Any(None, allow_none=True)
    build = tl.Any(None, allow_none=True)
    """What the answer is for."""
    share = tl.Float(0.0)
    running = tl.Bool(False)
    problem = tl.Unicode("")
    message = tl.Unicode("")

    def __init__(self, state: BuildState, compute: Compute, live: bool = False) -> None:
        super().__init__()
        self.state, self.compute, self.live = state, compute, live
        self.worker = Latest(state.worker.threaded, self._failed)
        self._stop = threading.Event()
        self._told = 0.0

    @property
    def fresh(self) -> bool:
        """Whether the answer is for the build as it stands."""
        known = self.build is not None and bool(self.build.is_known_as(self.state.build))
        return self.result is not None and known

    def start(self) -> None:
        """Ask, in the worker; an answer that is there stays until the new one comes."""
        stop = self._stop = threading.Event()
        build = self.state.build
        self.share, self.message = 0.0, ""
        self.running = True
        self.worker.submit(COMPUTE, lambda: self._answer(build, stop))

    def cancel(self) -> None:
        """Stop as soon as it can be stopped."""
        self._stop.set()

    def _answer(self, build: Build, stop: threading.Event) -> None:
        with self.state.answers.one() if self.live else contextlib.nullcontext():
            self._run(build, stop)

    def _run(self, build: Build, stop: threading.Event) -> None:
        try:
            found = self.compute(build, self._tell, stop.is_set)
        except Cancelled:
            self._end(stop, "", "Stopped. What was found before stays.")
        except InrushError as error:
            self._end(stop, words_of(error), "")
        else:
            self.build = build
            self.result = found
            self._end(stop, "", "")

    def _end(self, stop: threading.Event, problem: str, message: str) -> None:
        self.problem, self.message = problem, message
        if self._stop is stop:  # else a newer one waits
            self.running = False

    def _tell(self, share: float) -> None:
        now = time.monotonic()
        if share >= 1.0 or now - self._told >= TELL_EVERY:
            self._told = now
            self.share = min(max(share, 0.0), 1.0)

    def _failed(self, error: Exception) -> None:
        self.running = False
        self.problem = f"the page hit an error of its own ({type(error).__name__}: {error}); load the page anew"
