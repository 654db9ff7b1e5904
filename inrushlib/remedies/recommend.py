"""What to do about a build: every remedy, those found over all levers at once, and which to take.

``recommend_remedies``  all of them, with odds
``Recommendation``      the list, and what it recommends, best first

What boots in 95 % of the runs comes first, by effort, within one by what has to be changed (an adapter before pixels),
then by the number of parts; the rest follows by how often it boots. An odds' estimate has an interval, so that among
those that boot often enough the odds are no better guide than the work they take.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from inrushlib.build import Build
from inrushlib.odds.decide import WANTED
from inrushlib.odds.spread import spread
from inrushlib.remedies.compare import NoRemedy, Remedy, compare_remedies
from inrushlib.remedies.designs import pieces_of
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.joint import search_jointly
from inrushlib.remedies.leads import lead_needed
from inrushlib.remedies.measures import BESIDE, BULKS, SINGLE
from inrushlib.remedies.outcome import Change, Found, RemedyName
from inrushlib.remedies.picture import carries_picture
from inrushlib.remedies.risks import dip_verdicts, risks
from inrushlib.remedies.shortfall import Shortfall, shortfall_of
from inrushlib.remedies.trial import Candidate
from inrushlib.remedies.unsolved import unsolved
from inrushlib.search.running import running_picture, showing
from inrushlib.startup import Headline, Startup, Verdict, screen, simulate

FINALIST_RUNS: Final = 256
"""Runs of a finalist at least [1]."""
MOST: Final = 2
"""Ways of a class of effort that are judged [1], found over all levers at once; a single measure beside them."""
# Which measure a combination is named after: the one that does most of the work.
_LEAD = (
    RemedyName.BIGGER_ADAPTER, RemedyName.DARK_PIXELS, RemedyName.HIGH_SIDE_SWITCH, RemedyName.LOAD_SWITCH,
    RemedyName.OWN_SUPPLY, RemedyName.RESERVOIR_BEHIND_DIODE, RemedyName.CAPACITOR_BANK, RemedyName.BUS_CAPACITOR,
    RemedyName.PANEL_CAPACITOR, RemedyName.SLOWER_GATE, RemedyName.MORE_FEEDS, RemedyName.MORE_DATA_LINES,
    RemedyName.RAIL_CAPACITOR, RemedyName.INRUSH_LIMITER, RemedyName.REPEATED_FRAME,
)  # fmt: skip
_COMPARED, _SEARCHED = 0.1, 0.8  # shares of the work done after each step


@dataclass(frozen=True)
class Recommendation:
    """What to do about a build.

    Attributes
    ----------
    remedies : tuple of Remedy or NoRemedy
        The build as it is first, then all, ordered by how much has to change. Over all levers at once is only looked
        where the build is not enough as it is.
    ranked : tuple of Remedy
        Those that help, best first; none where the build boots often enough as it is and its adapter carries its
        running picture, or where nothing helps.
    wanted : float or None
        The share of runs that has to boot [1]; None where odds were not asked.
    shortfall : Shortfall or None
        Why no switch does it on the build's own adapter without a bank of capacitors; None where one does, or where the
        build needs nothing.
    """

    remedies: tuple[Remedy | NoRemedy, ...]
    ranked: tuple[Remedy, ...]
    wanted: float | None
    shortfall: Shortfall | None = None

    @property
    def good(self) -> tuple[Remedy, ...]:
        """Those of the ranked that boot often enough; all where odds were not asked."""
        return tuple(each for each in self.ranked if is_often_enough(each, self.wanted))


def is_often_enough(remedy: Remedy, wanted: float | None) -> bool:
    """Say whether a remedy boots often enough.

    Parameters
    ----------
    remedy : Remedy
        One that helps.
    wanted : float or None
        The share of runs that has to boot [1]; None where odds do not matter.
    """
    return wanted is None or (remedy.odds is not None and remedy.odds.value >= wanted)


def recommend_remedies(
    build: Build,
    *,
    runs: int = FINALIST_RUNS,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Recommendation:
    """Return every remedy of a build, and which to take.

    Parameters
    ----------
    build : Build
        Any build.
    runs : int
        Runs for the odds of each [1], 64 or more; 0 for a quicker answer by nominal starts, without odds.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between starts; true stops the work.

    Raises
    ------
    SolverError
        Where a start hits a bound.
    UsageError
        For a number of runs that is not accepted.
    Cancelled
        Where the caller asked to stop.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> found = recommend_remedies(build, runs=0)
    >>> "high-side switch" in [each.name.value for each in found.ranked]
    True
    """
    tell = progress or (lambda _: None)
    listed = compare_remedies(build, progress=lambda share: tell(_COMPARED * share), cancelled=cancelled)
    wanted = WANTED if runs else None
    now = _judged(listed[0], runs, cancelled)
    found: list[Remedy] = []
    if not _is_enough(now, wanted):
        ways = search_jointly(
            build, with_odds=runs > 0, cancelled=cancelled,
            progress=lambda share: tell(_COMPARED + (_SEARCHED - _COMPARED) * share),
        )  # fmt: skip
        made = (_remedy(way, now.before) for way in _worth_judging(ways))
        found = [each for each in made if each is not None]
    judged = [now]
    others = [*listed[1:], *found]
    for number, each in enumerate(others):
        judged.append(_judged(each, runs, cancelled))
        tell(_SEARCHED + (1 - _SEARCHED) * (number + 1) / len(others))
    kept = _merged(judged[: len(listed)], judged[len(listed) :])
    remedies = (kept[0], *sorted(kept[1:], key=lambda each: each.change))
    ranked = _ranked(remedies, wanted)
    shortfall = None if _is_enough(now, wanted) else shortfall_of(build, ranked, wanted)
    return Recommendation(remedies, ranked, wanted, shortfall)


def _worth_judging(ways: list[Candidate]) -> list[Candidate]:
    """Return the best few of each class of effort, its best single measure, and what is bought instead."""
    found = []
    for effort in Effort:
        some = [way for way in ways if way.effort is effort and not way.names & SINGLE]
        found += [*some[:MOST], *[way for way in some[MOST:] if len(way.names) == 1][:1]]
    return found + [way for way in ways if way.names & SINGLE]


def _remedy(way: Candidate, before: Headline) -> Remedy | None:
    """Return a way as a remedy; None where a part does not stand its start, or where its picture undoes it."""
    start = simulate(way.build)
    if not start.headline.boots or start.running_at is None:
        return None
    shown = showing(way.build, running_picture(way.build).colour, start.running_at)
    if screen(shown).verdict is not Verdict.BOOTS:
        return None
    names = sorted({*way.names, RemedyName.REPEATED_FRAME}, key=_LEAD.index)
    measures = way.space.measures
    parts = Found(needed=way.space.needed(way.build, way.rungs), combined_with=tuple(names[1:]))
    dip = dip_verdicts([start]).get(id(start))
    return Remedy(
        name=names[0],
        change=max((measure.change for measure in measures), default=Change.FIRMWARE),
        parts=parts,
        start=start,
        could_go_wrong=(*risks(start, dip), *unsolved(start, way.space.build)),
        before=before,
        pieces=_pieces(way, start),
    )


def _pieces(way: Candidate, start: Startup) -> int:
    measures = way.space.measures
    bought = [lever.key for each in measures if each.name in SINGLE for lever in each.levers if lever.key in BESIDE]
    beside = sum(bool(start.build.get(key) != way.space.build.get(key)) for key in bought)
    lead = len(lead_needed(way.space.build, start.build))
    more = [start.build.get(lever.key) for each in measures for lever in each.levers if lever.key in BULKS]
    return (
        sum(measure.pieces for measure in measures)
        + lead
        + beside
        + sum(max(0, pieces_of(value) - 1) for value in more)
    )


def _judged(remedy: Remedy | NoRemedy, runs: int, cancelled: Callable[[], bool] | None) -> Remedy | NoRemedy:
    if not runs or isinstance(remedy, NoRemedy) or not (remedy.helps or remedy.name is RemedyName.AS_IT_IS):
        return remedy
    found = spread(remedy.build, runs=runs, cancelled=cancelled)
    told = [each.name for each in found.influences[:1] if each.settles.low > 0.0]
    return replace(remedy, odds=found.boots, decided_by=told[0] if told else "")


def _merged(listed: list[Remedy | NoRemedy], found: list[Remedy | NoRemedy]) -> list[Remedy | NoRemedy]:
    """Return both, less the old entries of a name that one found over all levers at once does better.

    One that does no better than what is listed by that name, or by the name of one of its measures alone, is left out.
    """
    kept = list(listed)
    for each in found:
        assert isinstance(each, Remedy)
        same = [other for other in listed[1:] if other.name is each.name]
        if any(isinstance(other, Remedy) and other.helps and not _is_better(each, other) for other in same):
            continue
        kept = [other for other in kept if other not in same or _carries_on(other)]
        kept.append(each)
    return kept


def _carries_on(listed: Remedy | NoRemedy) -> bool:
    return isinstance(listed, Remedy) and listed.helps and carries_picture(listed.build)


def _is_better(one: Remedy, other: Remedy) -> bool:
    """Say whether one boots more often, beyond what the intervals leave open, or is alone in carrying its picture."""
    if not carries_picture(other.build):
        return True
    return one.odds is not None and other.odds is not None and one.odds.low > other.odds.high


def _is_enough(now: Remedy | NoRemedy, wanted: float | None) -> bool:
    """Say whether a build needs nothing: it boots often enough, and its adapter carries the picture that follows."""
    return isinstance(now, Remedy) and now.helps and is_often_enough(now, wanted) and carries_picture(now.build)


def _ranked(remedies: tuple[Remedy | NoRemedy, ...], wanted: float | None) -> tuple[Remedy, ...]:
    if _is_enough(remedies[0], wanted):
        return ()
    some = [each for each in remedies[1:] if isinstance(each, Remedy) and each.helps]
    some = [each for each in some if carries_picture(each.build)] or some

    def place(each: Remedy) -> tuple[float, ...]:
        share = 1.0 if each.odds is None else each.odds.value
        if is_often_enough(each, wanted):
            return (0, each.effort, each.change, each.pieces, -share)
        return (1, -share, each.effort, each.change, each.pieces)

    return tuple(sorted(some, key=place))
