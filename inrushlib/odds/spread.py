"""The odds of a build: how often it ends how, while its values are anywhere in their ranges.

``spread``      odds, worst run, and what each key does to them
``SpreadFound`` the answer
``Worst``       its worst run, or its worst corner
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.odds.closeness import SlackSpread
from inrushlib.odds.corner import Ending, endings, worst_corner
from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import Workers, verdicts
from inrushlib.odds.influence import Influence, influences, with_totals
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import KeyRange, Which, key_ranges
from inrushlib.odds.points import chunks, plan
from inrushlib.odds.tally import Tally
from inrushlib.startup import Rule, Verdict

RUNS = 4096
SEED = 1
OF_MAIN, OF_TOTALS = 0.55, 0.9
"""Shares of the work that are done after the odds and after the total indices [1]."""


@dataclass(frozen=True, kw_only=True)
class Worst:
    """A run that ended badly, or that came closest to it.

    Attributes
    ----------
    verdict : Verdict or None
        How it ended; None where no run could be finished.
    values : dict of str to object
        Dotted key to value, of the keys that were drawn [SI].
    build : Build
        It as a build; saved and opened it ends the same.
    rule : Rule or None
        The rule that came closest, or that took effect by most of its threshold; None where no slack was read.
    slack : float or None
        What that rule had to spare [its unit].
    """

    verdict: Verdict | None
    values: dict[str, Any]
    build: Build
    rule: Rule | None = None
    slack: float | None = None


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
        The worst run: of those whose slack was read the one with the smallest, unless another ended worse. Without
        slacks the one of the worst verdict whose rail ended lowest.
    corner : Worst or None
        The worst that a bounded search found at the ends of the ranges; None where it was not asked for.
    slack : tuple of SlackSpread
        What each rule had to spare, the one that came closest most often first; empty where it was not asked for.
    watched : int
        Runs whose slacks were read [1].
    more_runs : int
        Runs for total indices and the corner, beside those of the odds [1].
    """

    build: Build
    ranges: tuple[KeyRange, ...]
    odds: dict[Verdict, Estimate]
    boots: Estimate
    runs: int
    failed: int
    influences: tuple[Influence, ...]
    worst: Worst
    corner: Worst | None
    slack: tuple[SlackSpread, ...]
    watched: int
    more_runs: int


def spread(
    build: Build,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    which: Which = Which.ALL,
    full: bool = False,
    workers: Workers | None = None,
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
    full : bool
        Whether slacks (of an eighth of the runs), total indices and the worst corner are worked out too: some three
        times the time.
    workers : int, Crew or None
        Threads [1], or other workers; None for one thread a processor.
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
    tally = Tally(planned, draw)
    main = OF_MAIN if full else 1.0
    points = chunks(planned, len(draw.dimensions), seed, watch=full)
    tied = (replace(each, points=draw.tied(each.points)) for each in points)
    for ran in verdicts(draw, tied, workers=workers, cancelled=cancelled):
        tally.add(ran)
        if progress is not None:
            progress(main * tally.runs / planned.runs)
    ranked = influences(draw, tally.first_order.indices(), tally.slack.indices())
    corner, more = None, 0
    if full:
        ranked, more = with_totals(draw, ranked, planned, seed, workers=workers, cancelled=cancelled)
        if progress is not None:
            progress(OF_TOTALS)
        worst, count = worst_corner(draw, tally.worst(), workers=workers, cancelled=cancelled)
        corner, more = _ending(draw, worst), more + count
        if progress is not None:
            progress(1.0)
    odds = tally.odds()
    return SpreadFound(
        build=build,
        ranges=ranges,
        odds=odds,
        boots=odds[Verdict.BOOTS],
        runs=planned.runs,
        failed=tally.failed,
        influences=ranked,
        worst=_worst(draw, tally, full, cancelled),
        corner=corner,
        slack=tally.slack.spreads(),
        watched=tally.slack.runs,
        more_runs=more,
    )


def _worst(draw: Draw, tally: Tally, full: bool, cancelled: Callable[[], bool] | None) -> Worst:
    point, code = tally.worst(), tally.worst_code()
    if full:
        return _ending(draw, endings(draw, point[None, :], workers=1, cancelled=cancelled)[0])
    verdict = list(Verdict)[code] if code >= 0 else None
    return Worst(verdict=verdict, values=draw.values(point), build=draw.saved(point))


def _ending(draw: Draw, found: Ending) -> Worst:
    return Worst(
        verdict=list(Verdict)[found.code] if found.code >= 0 else None,
        values=draw.values(found.point),
        build=draw.saved(found.point),
        rule=found.rule,
        slack=found.slack,
    )
