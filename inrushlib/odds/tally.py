"""What is kept of the runs of a spread: sums, and the worst so far; the same size for any number of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.closeness import GRADES, SlackTally
from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import Ran
from inrushlib.odds.first_order import FirstOrder
from inrushlib.odds.interval import Estimate, replicated
from inrushlib.odds.points import Plan
from inrushlib.startup import Verdict

Array = NDArray[np.float64]


class Tally:
    """What is kept of the runs.

    Parameters
    ----------
    planned : Plan
        Of the runs.
    draw : Draw
        What is drawn.
    """

    def __init__(self, planned: Plan, draw: Draw) -> None:
        self.counts = np.zeros((planned.replicates, len(Verdict)), dtype=np.int64)
        self.failed = 0
        self.runs = 0
        self.first_order = FirstOrder(planned.replicates, len(draw.dimensions), planned.points)
        self.slack = SlackTally(planned, len(draw.dimensions))
        self._points = planned.points
        self._worst: tuple[int, float, Array] | None = None

    def add(self, ran: Ran) -> None:
        """Take in a chunk.

        Parameters
        ----------
        ran : Ran
            What it came to.
        """
        done = ran.codes >= 0
        replicate = ran.chunk.replicate
        self.counts[replicate] += np.bincount(ran.codes[done], minlength=len(Verdict))
        self.failed += int((~done).sum())
        self.runs += len(ran.codes)
        self.first_order.add(replicate, ran.chunk.points, (ran.codes == 0).astype(float))
        if ran.slacks is not None:
            self.slack.add(ran.chunk, ran.codes, ran.slacks)
        rank = np.lexsort((-ran.rails, np.where(done, ran.codes, -1)))[-1]
        worst = (int(ran.codes[rank]), -float(ran.rails[rank]), ran.chunk.points[rank])
        if self._worst is None or worst[:2] > self._worst[:2]:
            self._worst = worst

    def odds(self) -> dict[Verdict, Estimate]:
        """Return how often it ends how [1]."""
        return {verdict: replicated(self.counts[:, i], self._points) for i, verdict in enumerate(Verdict)}

    def worst(self) -> Array:
        """Return the point of the worst run: of those watched the smallest slack, if none of the others ends worse."""
        assert self._worst is not None
        code, _, point = self._worst
        watched = self.slack.worst()
        if watched is None or (code >= 0 and GRADES[code] > GRADES[watched[1]]):
            return point
        return watched[0]

    def worst_code(self) -> int:
        """Return the verdict's number of the worst run; below zero where none could be finished."""
        assert self._worst is not None
        watched = self.slack.worst()
        if watched is None or (self._worst[0] >= 0 and GRADES[self._worst[0]] > GRADES[watched[1]]):
            return self._worst[0]
        return watched[1]
