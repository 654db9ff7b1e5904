"""Why a run could not be finished, and which key of the build makes it one that can be.

``Progress``    how far a run came
``Round``       what goes round in it so often that it would not end
``rounds``      which of these, if any
``unfinished``  the error of a run that hit a bound
``raise_unfinished``, ``progress_of``
                the same of one of many runs, where it did; how far that came
``too_large``   the error of a run whose curves take more memory than is allowed
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.model import layout as at
from inrushlib.quantities import format_quantity

Array = NDArray[np.float64]
DURATION = "run.duration"
MOST_A_ROUND = 1000  # steps or switchings; a start that is one round takes some hundred


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far a run came.

    Attributes
    ----------
    time : float
        Instant at which it stopped [s].
    steps, switchings, brown_outs, trips : int
        How many it had until then [1].
    """

    time: float
    steps: int
    switchings: int
    brown_outs: int
    trips: int


class Round(Enum):
    """What can go round for as long as it is let, and the key that makes a round longer."""

    RESETS = ("resets of the controller", "controller", "reset_hold")
    TRIPS = ("trips of the adapter", "adapter", "retry_delay")

    def __init__(self, what: str, table: str, field: str) -> None:
        self.what = what
        self.table = table
        self.field = field

    @property
    def key(self) -> str:
        """The key, dotted."""
        return f"{self.table}.{self.field}"

    def count(self, progress: Progress) -> int:
        """How often it went round.

        Parameters
        ----------
        progress : Progress
            How far the run came.
        """
        return progress.brown_outs if self is Round.RESETS else progress.trips


def rounds(progress: Progress) -> Round | None:
    """Return what goes round so fast that hardly anything but its rounds was computed, None where nothing does.

    Parameters
    ----------
    progress : Progress
        How far the run came.

    Examples
    --------
    >>> rounds(Progress(time=0.2, steps=600_000, switchings=500_000, brown_outs=100_000, trips=1)).key
    'controller.reset_hold'
    >>> rounds(Progress(time=0.2, steps=2_000_000, switchings=9, brown_outs=1, trips=0))
    """
    most = max(Round, key=lambda each: each.count(progress))
    count = most.count(progress)
    return most if max(progress.steps, progress.switchings) <= MOST_A_ROUND * count else None


def unfinished(status: int, build: Build, most_steps: int, most_switchings: int, progress: Progress) -> SolverError:
    """Return the error for a run that ended with a status other than done.

    Parameters
    ----------
    status : int
        How the run ended [1], not done; the numbers stand in :mod:`inrushlib.model.layout`.
    build : Build
        What was run.
    most_steps, most_switchings : int
        The bounds that it had [1].
    progress : Progress
        How far it came.
    """
    where = f"the run of {build.run.duration:g} s stopped at {progress.time:g} s"
    if status == at.STEPS_SPENT:
        why = f"it took {most_steps} steps, the most that are allowed"
    elif status == at.SWITCHINGS_SPENT:
        why = f"{most_switchings} switchings, the most that are allowed"
    else:
        why = "no step was short enough there; check the build for values far from any real part"
        return SolverError(f"{where}: {why}", build.title)
    remedy, key = _remedy(build, progress)
    return SolverError(f"{where}: {why}{remedy}", build.title, key=key)


def raise_unfinished(build: Build, answers: Array, most_steps: int, most_switchings: int) -> None:
    """Raise the error for a run of many that ended with a status other than done.

    Parameters
    ----------
    build : Build
        What was run.
    answers : (ANSWERS,) array
        What the compiled run said of it, as :func:`inrushlib.model.batch.run_batch` fills a row [SI].
    most_steps, most_switchings : int
        The bounds that it had [1].

    Raises
    ------
    SolverError
        Where it hit one of them.
    """
    from inrushlib.model import batch

    status = int(answers[batch.STATUS])
    if status != at.DONE:
        raise unfinished(status, build, most_steps, most_switchings, progress_of(answers))


def progress_of(answers: Array) -> Progress:
    """Return how far one run of many came.

    Parameters
    ----------
    answers : (ANSWERS,) array
        As of :func:`raise_unfinished` [SI].
    """
    from inrushlib.model import batch

    return Progress(
        time=float(answers[batch.ENDED_AT]), steps=int(answers[batch.STEPS_KEPT]),
        switchings=int(answers[batch.SWITCHINGS]), brown_outs=int(answers[batch.BROWN_OUTS]),
        trips=int(answers[batch.TRIPS]),
    )  # fmt: skip


def too_large(build: Build, lumps: int, most_bytes: float, progress: Progress) -> SolverError:
    """Return the error for a run that ended, but whose curves take more memory than is allowed.

    Parameters
    ----------
    build : Build
        What was run.
    lumps : int
        How many it was cut into [1].
    most_bytes : float
        What its curves may take [bytes].
    progress : Progress
        How far it came: to its end.
    """
    remedy, key = _remedy(build, progress)
    return SolverError(
        f"the curves of {build.run.duration:g} s, {progress.steps} steps of {lumps} lumps, take more memory than the "
        f"{most_bytes / 2**30:g} GiB that are allowed{remedy}, or set wiring.lumps = 1",
        build.title, key=key,
    )  # fmt: skip


def _remedy(build: Build, progress: Progress) -> tuple[str, str]:
    """What makes such a run one that ends: its words, and the key that they name first."""
    found = rounds(progress)
    if found is None:
        return f"; shorten {DURATION}", DURATION
    count = found.count(progress)
    every = format_quantity(progress.time / count, "s", 2)
    stands = format_quantity(getattr(getattr(build, found.table), found.field), "s")
    words = f", with {count} {found.what}, on average one every {every}; lengthen {found.key} ({stands})"
    return f"{words}, or shorten {DURATION}", found.key
