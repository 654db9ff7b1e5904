"""One line of the table: a job of ours, one of theirs, and what their time is counted by."""

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto


class Clock(Enum):
    """What a job's time is counted by."""

    PROCESS = auto()
    CHILDREN = auto()
    WALL = auto()

    def now(self) -> float:
        """Processor time of this process or of those that it started, or the time of day [s]."""
        if self is Clock.CHILDREN:
            used = resource.getrusage(resource.RUSAGE_CHILDREN)
            return used.ru_utime + used.ru_stime
        return time.process_time() if self is Clock.PROCESS else time.monotonic()


@dataclass(frozen=True, kw_only=True)
class Duel:
    """Ours and theirs, each a call that does the whole job.

    Attributes
    ----------
    what, against : str
        The two jobs.
    times : int
        Rounds, ours and theirs by turns.
    often : int
        Calls of ours in a round, where one is too short to be timed.
    before : callable
        Called before each round of ours, which does not count.
    clock : Clock
        What the times are counted by.
    share : float
        Calls of theirs that make up the job.
    """

    what: str
    against: str
    ours: Callable[[], object]
    theirs: Callable[[], object]
    times: int = 5
    often: int = 1
    before: Callable[[], object] = lambda: None
    clock: Clock = Clock.PROCESS
    share: float = 1


def child(*words: str, **more: str) -> object:
    """Run Python with these words and more in its environment; translated sources are kept, whatever is set here."""
    env = os.environ | {"PYTHONDONTWRITEBYTECODE": ""} | more  # as whoever has it installed
    return subprocess.run([sys.executable, *words], env=env, stdout=subprocess.DEVNULL, check=True)
