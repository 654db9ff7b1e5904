"""How close a start was, and what would turn it: worked out once nothing newer waits."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any

import traitlets as tl

from inrushlib.errors import InrushError
from inrushlib.margins import Assumed, Edge, assumed_values, nearest_edges
from inrushlib.startup import Cancelled, Startup
from widgets.state import BuildState
from widgets.worker import DETAILS, Latest

REST = 0.5  # [s] without a change, after which it is worked out what would turn the answer
AFTER = 5.0  # [s] at most that it waits for the page's own question to be answered


class MarginState(tl.HasTraits):
    """Margin of a state's newest start; no widgets in here.

    Parameters
    ----------
    state : BuildState
        Has the start.
    """

    marked = tl.Any(allow_none=True)
    """The start whose slack has been worked out."""
    edges = tl.Tuple()
    """Where the answer turns, nearest first; empty until that is known for the build as it stands."""
    assumed = tl.Any(allow_none=True)
    """The values that were assumed; None until that is known for the build as it stands."""

    def __init__(self, state: BuildState) -> None:
        super().__init__()
        self._found: tuple[Startup | None, tuple[Edge, ...], Sequence[Assumed] | None] = (None, (), None)
        self.state = state
        self.worker = Latest(state.worker.threaded)
        state.observe(self._started, "start")
        state.observe(self._changed, "shown")
        self._started()

    def of(self, start: Startup) -> tuple[tuple[Edge, ...], Sequence[Assumed] | None]:
        """Return edges and assumed values of a start, as far as they are known; also while a newer one is computed.

        Parameters
        ----------
        start : Startup
            The one that is shown.
        """
        found, edges, assumed = self._found
        return (edges, assumed) if start is found else ((), None)

    def _changed(self, _: Any = None) -> None:
        """What turned the build before says nothing of this one; on a busy machine this one's is there already."""
        found, _, _ = self._found
        if found is None or not found.build.is_known_as(self.state.shown):
            self.edges, self.assumed = (), None

    def _started(self, _: Any = None) -> None:
        """Work out the newest start's slack at once: it takes less time than a picture that is drawn twice."""
        start = self.state.start
        if start is None:
            return
        try:
            start.slack  # noqa: B018  (kept by the start)
        except InrushError:
            return
        self.marked = start
        if self.worker.threaded:
            at = time.monotonic() + REST
            self.worker.submit(DETAILS, lambda: self._rest(start, at))

    def _rest(self, start: Startup, at: float) -> None:
        """Wait until an instant [s] whether the build stays as it is, and for the page's own answer; then look."""
        time.sleep(max(0.0, at - time.monotonic()))
        self.state.answers.wait(AFTER)
        if start is self.state.start:
            self.look(start)

    def look(self, start: Startup) -> None:
        """Work out what would turn the answer, and on which assumed values it hangs.

        Parameters
        ----------
        start : Startup
            The newest one.
        """

        def is_old() -> bool:
            return not start.build.is_known_as(self.state.build)

        if is_old():
            return
        try:
            edges = nearest_edges(start.build, cancelled=is_old)
            assumed = assumed_values(start.build, edges)
        except (InrushError, Cancelled):
            return
        if not is_old():
            self._found, before = (start, edges, assumed), self.edges
            self.edges, self.assumed = edges, assumed
            if edges == before:  # of another start of the same build, which whoever looks has to hear of
                self.notify_change(tl.Bunch(name="edges", old=before, new=edges, owner=self, type="change"))
