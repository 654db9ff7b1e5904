"""Points to verdicts on all cores, in the order of the points, with little in memory at a time.

``verdicts``   of chunks of points, in order
``run_chunk``  of one chunk
``Ran``        a chunk and what it came to
``Crew``       workers that are no threads of this process; ``Workers`` these, or a number of threads
"""

from __future__ import annotations

import os
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.errors import Cancelled
from inrushlib.odds.draw import Draw
from inrushlib.odds.points import Chunk
from inrushlib.startup import Slacks
from inrushlib.startup.effort import SCREEN_TOLERANCE
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.pack_columns import PackedColumns
from inrushlib.startup.slack import slack_columns
from inrushlib.startup.verdicts import run_columns

Array = NDArray[np.float64]
Codes = NDArray[np.int64]
AHEAD = 2
"""Chunks that wait for a thread, for each thread [1]."""


@dataclass(frozen=True)
class Ran:
    """A chunk and what it came to.

    Attributes
    ----------
    chunk : Chunk
        The points.
    codes : (n,) array
        Place of each verdict in :class:`~inrushlib.startup.Verdict`; below zero for a run that failed.
    rails : (n,) array
        Voltage of the controller's rail where each run ended [V].
    slacks : Slacks or None
        Of the runs that are watched; None where none is.
    """

    chunk: Chunk
    codes: Codes
    rails: Array
    slacks: Slacks | None


class Crew(ABC):
    """Workers that are no threads of this process."""

    @abstractmethod
    def verdicts(
        self, draw: Draw, chunks: Iterable[Chunk], *, tolerance: float, cancelled: Callable[[], bool] | None
    ) -> Iterator[Ran]:
        """Yield what chunks of points come to, in their order, as :func:`verdicts` does.

        Parameters
        ----------
        draw, chunks, tolerance, cancelled
            As for :func:`verdicts` [1].
        """


Workers = int | Crew
"""Threads of this process [1], or a crew."""


def run_chunk(draw: Draw, chunk: Chunk, tolerance: float) -> Ran:
    """Return what a chunk of points comes to, in the thread that asks.

    Parameters
    ----------
    draw : Draw
        From points to builds.
    chunk : Chunk
        The points.
    tolerance : float
        As in :func:`inrushlib.startup.screen` [1].
    """
    packed = draw.pack(chunk.points)
    found = [run_columns(each, tolerance=tolerance) for each in packed]
    codes, rails = (np.concatenate(each) for each in zip(*found, strict=True))
    return Ran(chunk, codes, rails, slack_columns(_first(packed, chunk.watched)) if chunk.watched else None)


def verdicts(
    draw: Draw,
    chunks: Iterable[Chunk],
    *,
    workers: Workers | None = None,
    tolerance: float = SCREEN_TOLERANCE,
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[Ran]:
    """Yield what chunks of points come to, in their order whatever the number of threads.

    Parameters
    ----------
    draw : Draw
        From points to builds.
    chunks : iterable of Chunk
        Taken as threads become free, so that few are in memory.
    workers : int, Crew or None
        Threads [1], or other workers; None for one thread a processor.
    tolerance : float
        As in :func:`inrushlib.startup.screen` [1].
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    if isinstance(workers, Crew):
        yield from workers.verdicts(draw, chunks, tolerance=tolerance, cancelled=cancelled)
        return
    workers = workers or os.cpu_count() or 1
    waiting: deque[Future[Ran]] = deque()
    with compiling(Compiles.RUN), ThreadPoolExecutor(workers, thread_name_prefix="spread") as pool:
        try:
            for chunk in chunks:
                waiting.append(pool.submit(run_chunk, draw, chunk, tolerance))
                if len(waiting) > workers * AHEAD:
                    yield waiting.popleft().result()
                if cancelled is not None and cancelled():
                    raise Cancelled("stopped before all starts were run")
            while waiting:
                yield waiting.popleft().result()
        finally:
            for each in waiting:
                each.cancel()


def _first(packed: list[PackedColumns], count: int) -> list[PackedColumns]:
    """Return the first runs of pieces."""
    found: list[PackedColumns] = []
    for each in packed:
        if count <= 0:
            break
        lumps = each.lumps if len(each.lumps) == 1 else each.lumps[:count]
        found.append(PackedColumns(each.parts[:count], lumps, each.interruptions))
        count -= len(found[-1].parts)
    return found
