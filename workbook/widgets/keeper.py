"""Writes what is to be kept: the first change of a series at once, then the newest every quarter of a second."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from typing import Final

from widgets.worker import NAME

EVERY: Final = 0.25  # [s] between two writings: a slider that is held changes the build thirty times a second


class Keeper:
    """Write in a thread of its own, for the disk takes longer than a picture.

    Parameters
    ----------
    write : callable
        Writes the newest there is.
    threaded : bool
        False writes at once, in the caller's thread, for tests.
    """

    def __init__(self, write: Callable[[], None], threaded: bool = True) -> None:
        self.write, self.threaded = write, threaded
        self._turn = threading.Condition()
        self._writing = threading.Lock()
        self._asked = self._done = 0
        self._busy = False

    def note(self) -> None:
        """Note that there is something new to write."""
        with self._turn:
            self._asked += 1

    def begin(self) -> None:
        """Begin to write what was noted, where nothing is being written; what is noted meanwhile follows."""
        if not self.threaded:
            self.last()
            return
        with self._turn:
            if self._busy or self._asked == self._done:
                return
            self._busy = True
        threading.Thread(target=self._work, name=NAME).start()  # no daemon: a page that ends waits for it

    def last(self) -> None:
        """Write what still waits for it, at once: the page was left a moment after its last change."""
        with self._writing:
            if (asked := self._asked) > self._done:
                try:
                    self.write()
                finally:
                    self._done = asked

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is left to write; returns whether that came within ``seconds``."""
        with self._turn:
            return self._turn.wait_for(lambda: not self._busy, seconds)

    def _work(self) -> None:
        while True:
            begun = time.monotonic()
            try:
                self.last()
            except Exception:  # a page that keeps nothing any more would not say so
                logging.getLogger(__name__).exception("a build could not be kept")
            time.sleep(max(0.0, begun + EVERY - time.monotonic()))
            with self._turn:
                if self._asked == self._done:
                    self._busy = False
                    self._turn.notify_all()
                    return
