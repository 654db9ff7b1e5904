"""The odds of a build: how often it ends how, while its values are anywhere in their ranges.

``spread``      odds, worst run, and what each key does to them
``SpreadFound`` the answer
``Worst``       its worst run
``Influence``   what one key, or one group of keys, does to whether it boots
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import Ran, SlackReader, verdicts
from inrushlib.odds.first_order import FirstOrder
from inrushlib.odds.interval import Estimate, replicated
from inrushlib.odds.key_ranges import KeyRange, Which, key_ranges
from inrushlib.odds.points import Plan, chunks, plan
from inrushlib.startup import Verdict

Array = NDArray[np.float64]
RUNS = 4096
SEED = 1


@dataclass(frozen=True, kw_only=True)
class Worst:
    """The worst run: of those with the worst verdict the one whose rail ended lowest.

    Attributes
    ----------
    verdict : Verdict or None
        How it ended; None where no run could be finished.
    values : dict of str to object
        Dotted key to value, of the keys that were drawn [SI].
    build : Build
        It as a build; saved and opened it ends the same.
    """

    verdict: Verdict | None
    values: dict[str, Any]
    build: Build


@dataclass(frozen=True, kw_only=True)
class Influence:
    """What one key, or one group of keys, does to whether the build boots at the first try.

    Attributes
    ----------
    name : str
        The dotted key, or the group.
    keys : tuple of str
        Dotted keys.
    settles : Estimate
        Share of the doubt that knowing it would settle [1]: the first-order index.
    """

    name: str
    keys: tuple[str, ...]
    settles: Estimate


@dataclass(frozen=True, kw_only=True)
class SpreadFound:
    """The odds of a build.

    Attributes
    ----------
    build : Build
        Whose values were spread.
    ranges : tuple of KeyRange
        Over what.
    odds : dict of Verdict to Estimate
        How often it ends how, of all runs [1], with the interval at 95 %; all six verdicts.
    boots : Estimate
        How often it boots at the first try [1].
    runs, failed : int
        Runs, and how many of them could not be finished [1].
    influences : tuple of Influence
        Of all that was drawn, the one that settles most first.
    worst : Worst
        The worst run.
    slack : dict of str to dict of str to float
        Quantiles of what each rule had to spare [its unit]; empty where no reader was given.
    """

    build: Build
    ranges: tuple[KeyRange, ...]
    odds: dict[Verdict, Estimate]
    boots: Estimate
    runs: int
    failed: int
    influences: tuple[Influence, ...]
    worst: Worst
    slack: dict[str, dict[str, float]]


class _Tally:
    """What is kept of the runs: sums, and the worst so far; the same size for any number of them."""

    def __init__(self, planned: Plan, draw: Draw) -> None:
        self.counts = np.zeros((planned.replicates, len(Verdict)), dtype=np.int64)
        self.failed = 0
        self.first_order = FirstOrder(planned.replicates, len(draw.dimensions), planned.points)
        self._worst: tuple[int, float, Array] | None = None

    def add(self, ran: Ran) -> None:
        done = ran.codes >= 0
        replicate = ran.chunk.replicate
        self.counts[replicate] += np.bincount(ran.codes[done], minlength=len(Verdict))
        self.failed += int((~done).sum())
        self.first_order.add(replicate, ran.chunk.points, (ran.codes == 0).astype(float))
        rank = np.lexsort((-ran.rails, np.where(done, ran.codes, -1)))[-1]
        worst = (int(ran.codes[rank]), -float(ran.rails[rank]), ran.chunk.points[rank])
        if self._worst is None or worst[:2] > self._worst[:2]:
            self._worst = worst

    def worst(self, draw: Draw) -> Worst:
        assert self._worst is not None
        code, _, point = self._worst
        verdict = list(Verdict)[code] if code >= 0 else None
        return Worst(verdict=verdict, values=draw.values(point), build=draw.saved(point))


def spread(
    build: Build,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    which: Which = Which.ALL,
    workers: int | None = None,
    read_slack: SlackReader | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> SpreadFound:
    """Return the odds of a build over the ranges of its values.

    Points of replicated scrambled Sobol nets are run through the model on all cores. The same seed gives the same
    answer on any number of them.

    Parameters
    ----------
    build : Build
        Any build.
    runs : int
        Runs at least [1], 64 or more; up to an eighth more are run.
    seed : int
        Of the points [1], 0 or more.
    which : Which
        Which keys are spread.
    workers : int or None
        Threads [1]; None for one a processor.
    read_slack : callable or None
        What reads the slacks of packed runs.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    BuildError
        Where a stated range is not right: before the first run, all of them at once.
    UsageError
        Where there is nothing to spread, or a number of runs or a seed that is not accepted.
    Cancelled
        Where the caller asked to stop.
    """
    if seed < 0:
        raise UsageError(f"seed: value {seed}; accepted: 0 or more, whole")
    ranges = key_ranges(build, which)
    if not ranges:
        raise UsageError(f"{build.title}: nothing to spread; [tolerance] of the build file names no value that it has")
    planned = plan(runs)
    draw = Draw(build, ranges)
    tally = _Tally(planned, draw)
    done = 0
    points = chunks(planned, len(draw.dimensions), seed)
    for ran in verdicts(draw, points, workers=workers, read_slack=read_slack, cancelled=cancelled):
        tally.add(ran)
        done += len(ran.codes)
        if progress is not None:
            progress(done / planned.runs)
    odds = {verdict: replicated(tally.counts[:, i], planned.points) for i, verdict in enumerate(Verdict)}
    return SpreadFound(
        build=build,
        ranges=ranges,
        odds=odds,
        boots=odds[Verdict.BOOTS],
        runs=planned.runs,
        failed=tally.failed,
        influences=_influences(draw, tally),
        worst=tally.worst(draw),
        slack={},
    )


def _influences(draw: Draw, tally: _Tally) -> tuple[Influence, ...]:
    found = [
        Influence(name=name, keys=draw.keys_of(name), settles=settles)
        for name, settles in zip(draw.dimensions, tally.first_order.indices(), strict=True)
    ]
    return tuple(sorted(found, key=lambda each: -each.settles.value))
