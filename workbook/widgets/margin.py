"""How close a start was, and what would turn it: worked out once nothing newer waits."""

from __future__ import annotations

import time
from typing import Any

import traitlets as tl

from inrushlib.errors import InrushError
from inrushlib.margins import assumed_values, nearest_edges
from inrushlib.startup import Startup
from widgets.state import BuildState
from widgets.worker import COMPUTE, DETAILS, Latest

REST = 0.5  # [s] without a change, after which it is worked out what would turn the answer


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
        self.state = state
        self.worker = Latest(state.worker.threaded)
        state.observe(self._started, "start")
        state.observe(self._changed, "build")
        self._started()

    def _changed(self, _: Any = None) -> None:
        """What turned the build before says nothing of this one."""
        self.edges, self.assumed = (), None

    def _started(self, _: Any = None) -> None:
        start = self.state.start
        if start is None:
            return

        def mark() -> None:
            try:
                start.slack  # noqa: B018  (worked out here, in this worker, and kept by the start)
            except InrushError:
                return
            self.marked = start
            if self.worker.threaded:
                self.worker.submit(DETAILS, lambda: self._rest(start))

        self.worker.submit(COMPUTE, mark)

    def _rest(self, start: Startup) -> None:
        """Wait whether the build stays as it is, then look."""
        time.sleep(REST)
        if start is self.state.start:
            self.look(start)

    def look(self, start: Startup) -> None:
        """Work out what would turn the answer, and on which assumed values it hangs.

        Parameters
        ----------
        start : Startup
            The newest one.
        """
        if not start.build.is_known_as(self.state.build):
            return
        try:
            edges = nearest_edges(start.build)
            assumed = assumed_values(start.build, edges)
        except InrushError:
            return
        if start.build.is_known_as(self.state.build):
            self.edges, self.assumed = edges, assumed
