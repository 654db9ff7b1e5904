"""Undo and redo."""

from __future__ import annotations

import time
from collections.abc import Callable

from inrushlib.build import Build

MOST = 200
ONE_MOVE = 1.5  # [s], changes of the same values no farther apart are one step


class History:
    """Builds that were, and those that were taken back.

    Parameters
    ----------
    clock : callable
        Returns the time [s].
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self.before: list[Build] = []
        self.after: list[Build] = []
        self._keys: frozenset[str] = frozenset()
        self._at = float("-inf")

    def record(self, build: Build, keys: frozenset[str]) -> None:
        """Remember a build that is about to change.

        Parameters
        ----------
        build : Build
            As it stands before.
        keys : frozenset of str
            What changes; a slider on its way makes one step.
        """
        now = self.clock()
        if not (keys and keys == self._keys and now - self._at < ONE_MOVE and self.before):
            self.before = [*self.before[1 - MOST :], build]
        self.after = []
        self._keys, self._at = keys, now

    def undo(self, build: Build) -> Build:
        """Return the build before the last change; ``build`` itself where there was none."""
        return self._move(self.before, self.after, build)

    def redo(self, build: Build) -> Build:
        """Return the build that was taken back last; ``build`` itself where none was."""
        return self._move(self.after, self.before, build)

    def _move(self, source: list[Build], target: list[Build], build: Build) -> Build:
        if not source:
            return build
        target.append(build)
        self._keys = frozenset()
        return source.pop()
