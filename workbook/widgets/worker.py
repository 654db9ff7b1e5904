"""One worker that does only the newest of each kind of job."""

from __future__ import annotations

import contextlib
import logging
import threading
import time
from collections.abc import Callable, Iterator

SEND, DRAW, SAY, COMPUTE, PICTURES, KEEP, DETAILS = range(7)
"""Kinds of jobs, the more urgent first."""

Job = Callable[[], None]

NAME = "work of a page"
"""Of its threads."""

CALM = 0.1  # [s], details wait so long for something more urgent
STALE = 0.25  # [s], what waited so long waits no more


class Latest:
    """Run jobs one after another in a thread; one that waits is replaced by a newer one of its kind.

    Parameters
    ----------
    threaded : bool
        False runs each job at once, in the caller's thread, for tests.
    failed : callable or None
        Told of an exception that a job did not catch.
    """

    def __init__(self, threaded: bool = True, failed: Callable[[Exception], None] | None = None) -> None:
        self.threaded = threaded
        self.failed = failed
        self.done = 0
        self._waiting: dict[int, Job] = {}
        self._busy = False
        self._wait_until = 0.0
        self._turn = threading.Condition()

    def submit(self, kind: int, job: Job) -> None:
        """Ask for a job; one of the same kind that still waits is dropped."""
        if not self.threaded:
            self._run(job)
            return
        with self._turn:
            if kind == DETAILS and kind not in self._waiting:
                self._wait_until = time.monotonic() + STALE
            self._waiting[kind] = job
            if not self._busy:
                self._busy = True
                threading.Thread(target=self._work, name=NAME, daemon=True).start()
            self._turn.notify_all()

    def _work(self) -> None:
        while True:
            with self._turn:
                if not self._waiting:
                    self._busy = False
                    self._turn.notify_all()
                    return
                if min(self._waiting) == DETAILS:
                    left = max(0.0, self._wait_until - time.monotonic())
                    self._turn.wait_for(lambda: min(self._waiting) < DETAILS, min(CALM, left))
                kind = min(self._waiting)
                job = self._waiting.pop(kind)
            self._run(job)

    def _run(self, job: Job) -> None:
        try:
            job()
        except Exception as error:  # a worker that dies would leave the page dead without a word
            logging.getLogger(__name__).exception("a job of the page failed")
            if self.failed is not None:
                self.failed(error)
        finally:
            self.done += 1

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is left to do; returns whether that came within ``seconds``."""
        with self._turn:
            return self._turn.wait_for(lambda: not self._busy, seconds)


class Underway:
    """What is under way now, so that something less urgent can wait until nothing is."""

    def __init__(self) -> None:
        self._count = 0
        self._turn = threading.Condition()

    @contextlib.contextmanager
    def one(self) -> Iterator[None]:
        """One more is under way while the block lasts."""
        with self._turn:
            self._count += 1
        try:
            yield
        finally:
            with self._turn:
                self._count -= 1
                self._turn.notify_all()

    def wait(self, seconds: float) -> bool:
        """Wait until nothing is under way; returns whether that came within ``seconds``."""
        with self._turn:
            return self._turn.wait_for(lambda: self._count == 0, seconds)
