"""Many builds at once: verdicts and end values, shared among threads.

``screen_many``   answers for a sequence of builds; ``screen_packed`` for builds that are packed already
``Answers``       them, one array entry a build
``share_out``, ``alike``, ``pool``
                any runs shared among threads: what one compiled loop can take, and the threads
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import Cancelled
from inrushlib.startup.effort import MOST_STEPS, MOST_SWITCHINGS, SCREEN_TOLERANCE
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.pack import Packed, pack
from inrushlib.startup.unfinished import raise_unfinished
from inrushlib.startup.verdict import Verdict

Array = NDArray[np.float64]
CHUNK = 8


@dataclass(frozen=True, kw_only=True)
class Answers:
    """What many starts came to; arrays of one entry a build, infinity where there is none.

    Attributes
    ----------
    verdicts : array
        Place of each verdict in :class:`~inrushlib.startup.Verdict` [1].
    running_at, ready_at : array
        When the program first ran, and when all sections showed data [s].
    peak_lead_current, final_lead_current : array
        Largest current of the lead, and that at the end [A].
    final_bus_voltage : array
        At the end [V].
    highest_bus_voltage, highest_panel_voltage, highest_reservoir_voltage, highest_section_voltage : array
        At the bus, at the root of the panel, at the regulator's input, at any lump [V].
    statuses : array
        How each run ended [1], 0 for done; the other numbers stand in :mod:`inrushlib.model.layout`.
    """

    verdicts: NDArray[np.int64]
    running_at: Array
    ready_at: Array
    peak_lead_current: Array
    final_bus_voltage: Array
    final_lead_current: Array
    highest_bus_voltage: Array
    highest_panel_voltage: Array
    highest_reservoir_voltage: Array
    highest_section_voltage: Array
    statuses: NDArray[np.int64]

    def verdict(self, i: int) -> Verdict:
        """Return the verdict of one build.

        Parameters
        ----------
        i : int
            Place of the build [1].
        """
        return list(Verdict)[int(self.verdicts[i])]

    @property
    def boots(self) -> NDArray[np.bool_]:
        """Which builds boot at the first try."""
        found: NDArray[np.bool_] = self.verdicts == list(Verdict).index(Verdict.BOOTS)
        return found


def screen_many(
    builds: Sequence[Build],
    *,
    tolerance: float = SCREEN_TOLERANCE,
    until_lost: bool = False,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Answers:
    """Return the answers for many builds.

    Parameters
    ----------
    builds : sequence of Build
        They may differ in anything but the number of lumps and the interruptions; where they
        differ in those they are run one kind after the other.
    tolerance : float
        As in :func:`~inrushlib.startup.screen` [1].
    until_lost : bool
        Whether each start ends at its first brown-out or trip. Which builds boot at the first try is the same
        then, and found sooner; the other answers are those at that moment.
    workers : int or None
        Threads [1]; None for one a processor.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between chunks; true stops the work with :class:`Cancelled`.

    Raises
    ------
    SolverError
        Where a run hit a bound.
    Cancelled
        Where the caller asked to stop.
    """
    from inrushlib.model.decided import UNTIL_END, UNTIL_LOST

    rows = _rows(
        [pack(build) for build in builds],
        tolerance=tolerance, until=UNTIL_LOST if until_lost else UNTIL_END,
        workers=workers, progress=progress, cancelled=cancelled,
    )  # fmt: skip
    for build, row in zip(builds, rows, strict=True):
        raise_unfinished(build, row, MOST_STEPS, MOST_SWITCHINGS)
    return read_answers(rows)


def screen_packed(
    packed: Sequence[Packed],
    *,
    tolerance: float = SCREEN_TOLERANCE,
    until_lost: bool = False,
    until_decided: bool = False,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Answers:
    """Return the answers for many builds that are packed already; a run that hits a bound only has its status.

    Parameters
    ----------
    packed : sequence of Packed
        As :func:`inrushlib.startup.pack.pack` gives them; arguments and errors otherwise as :func:`screen_many`.
    tolerance, until_lost, workers, progress, cancelled
        As there [1].
    until_decided : bool
        Whether each start ends where its verdict can no longer change, if it does not by ``until_lost``. All verdicts
        are the same then; the other answers are those at that moment.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    from inrushlib.model.decided import UNTIL_DECIDED, UNTIL_END, UNTIL_LOST

    until = UNTIL_LOST if until_lost else UNTIL_DECIDED if until_decided else UNTIL_END
    return read_answers(
        _rows(packed, tolerance=tolerance, until=until, workers=workers, progress=progress, cancelled=cancelled)
    )


def _rows(
    packed: Sequence[Packed],
    *,
    tolerance: float,
    until: int,
    workers: int | None,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Array:
    """Run them; the rows that the compiled runs fill."""
    from inrushlib.model import batch

    answers = np.empty((len(packed), batch.ANSWERS))

    def run(rows: list[int]) -> None:
        some = np.empty((len(rows), batch.ANSWERS))
        batch.run_batch(
            np.array([packed[i].parts for i in rows]),
            np.array([packed[i].lumps for i in rows]),
            packed[rows[0]].interruptions,
            tolerance,
            MOST_STEPS,
            MOST_SWITCHINGS,
            until,
            some,
        )
        answers[rows] = some

    with compiling(Compiles.RUN):
        share_out(packed, run, workers=workers, progress=progress, cancelled=cancelled)
    return answers


def share_out(
    packed: Sequence[Packed],
    run: Callable[[list[int]], None],
    *,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> None:
    """Have many builds run by threads, some that are alike at a time.

    Parameters
    ----------
    packed : sequence of Packed
        What to run [SI].
    run : callable
        Called with the places of some of them [1]; holds no global lock for most of its time.
    workers, progress, cancelled
        As of :func:`screen_many` [1].

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    workers = workers or os.cpu_count() or 1
    size = max(1, min(CHUNK, -(-len(packed) // workers)))
    chunks = [chunk for group in alike(packed) for chunk in _split(group, size)]
    done = 0

    def work(rows: list[int]) -> int:
        if cancelled is not None and cancelled():
            return 0
        run(rows)
        return len(rows)

    for count in pool(os.getpid(), workers).map(work, chunks):
        done += count
        if progress is not None:
            progress(done / len(packed))
    if done < len(packed):
        raise Cancelled("stopped before all starts were run")


@cache
def pool(process: int, workers: int) -> ThreadPoolExecutor:
    """Threads that are kept: a search asks many times, and each time for little.

    They are those of one process: a forked child has the pool's memory, but none of its threads.

    Parameters
    ----------
    process, workers : int
        Which process, and how many threads [1].
    """
    return ThreadPoolExecutor(workers, thread_name_prefix="start-ups")


def alike(packed: Sequence[Packed]) -> list[list[int]]:
    """Group runs that one compiled loop can take: as many lumps, same interruptions.

    Parameters
    ----------
    packed : sequence of Packed
        Of each run [SI].
    """
    groups: dict[tuple[int, bytes], list[int]] = {}
    for i, p in enumerate(packed):
        groups.setdefault((len(p.lumps), p.interruptions.tobytes()), []).append(i)
    return list(groups.values())


def _split(rows: list[int], size: int) -> list[list[int]]:
    return [rows[i : i + size] for i in range(0, len(rows), size)]


def read_answers(answers: Array) -> Answers:
    """Return the rows of the compiled run as answers.

    Parameters
    ----------
    answers : (runs, ANSWERS) array
        As :func:`inrushlib.model.batch.run_batch` fills them [SI].
    """
    from inrushlib.model import batch

    bus, panel, reservoir, section = (answers[:, column] for column in batch.HIGHEST)
    return Answers(
        verdicts=answers[:, batch.VERDICT].astype(np.int64),
        running_at=answers[:, batch.RUNNING_AT],
        ready_at=answers[:, batch.READY_AT],
        peak_lead_current=answers[:, batch.PEAK],
        final_bus_voltage=answers[:, batch.FINAL_BUS],
        final_lead_current=answers[:, batch.FINAL_LEAD],
        highest_bus_voltage=bus,
        highest_panel_voltage=panel,
        highest_reservoir_voltage=reservoir,
        highest_section_voltage=section,
        statuses=answers[:, batch.STATUS].astype(np.int64),
    )
