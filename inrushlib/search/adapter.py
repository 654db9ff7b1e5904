"""The smallest adapter that starts a build, and the next standard rating up.

``smallest_adapter``  by search over the model, with the running picture's need beside it
``AdapterSize``       the answer
``Decides``           what asks for more, start or running picture

A rating with which a part sees more than it stands is no answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from inrushlib.build import Build
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.islands import Island, Islands, find_islands, which_boot
from inrushlib.search.ratings import RATINGS, next_rating, with_limit
from inrushlib.search.rerun import Rerun
from inrushlib.search.running import picture_in_words, running_current
from inrushlib.startup import Headline, hold_lumps, simulate

__all__ = ["RATINGS", "AdapterSize", "Decides", "next_rating", "running_current", "smallest_adapter", "with_limit"]

LOWEST_LIMITS = (0.05, 1e-3)  # [A] where the scan begins; the second where the first already boots
SCAN_FACTOR = {True: 1.25, False: 1.5}
"""From one scanned current to the next, for adapters that trip and for those that do not."""
FINENESS = 0.0045  # of the current, to which its edge is found


class Decides(StrEnum):
    """What asks for the larger adapter; the value says it in words."""

    START = "start"
    RUNNING_PICTURE = "running picture"


@dataclass(frozen=True, kw_only=True)
class AdapterSize:
    """The smallest adapter, SI; None where there is none.

    Attributes
    ----------
    smallest_limit_current, smallest_rated_current : float or None
        Smallest limit current that boots at the first try [A], and the label that goes with it at the
        build's ratio of limit to label.
    running_current, running_rating : float or None
        Lead current of the running picture [A], and the rating that carries it continuously; None where it is
        never shown.
    picture : str
        The running picture that was taken, in words.
    standard_rating : float or None
        Next standard rating that starts the display, carries the picture and overstresses nothing [A].
    decided_by : Decides
        Start or running picture, whichever asks for more.
    islands : tuple of Island
        All stretches of limit current that boot.
    reason : str
        Why there is no standard rating; empty where there is one.
    start : Rerun
        How it starts as it is, and with the standard rating; where there is none, with the first rating that
        starts it but overstresses a part, or else with the largest.
    runs : int
        Starts run.
    """

    smallest_limit_current: float | None
    smallest_rated_current: float | None
    running_current: float | None
    running_rating: float | None
    picture: str
    standard_rating: float | None
    decided_by: Decides
    islands: tuple[Island, ...]
    reason: str
    start: Rerun
    runs: int


def smallest_adapter(build: Build) -> AdapterSize:
    """Return the smallest adapter that starts the build at the first try.

    Parameters
    ----------
    build : Build
        Its adapter's style and its ratios of limit, peak and foldback to the label are kept.

    Raises
    ------
    SolverError
        Where a start hits a bound.
    """
    build = hold_lumps(build)
    ratio = build.adapter.limit_current / build.adapter.rated_current
    top = RATINGS[-1] * ratio
    islands = _scan(build, top)
    running = running_current(build)
    need = None if running is None else running / CONTINUOUS_SHARE
    limit = islands.found[0].low if islands.found else None
    # The edge is known to lie between what fails and what boots; a rating between the two may boot as well.
    fails = (islands.found[0].low_fails or 0.0) / ratio if islands.found else 0.0
    tried = _standard(build, max(fails * (1 + 1e-9), need or 0.0), ratio)
    rating = tried.rating
    if limit is not None and rating is not None:
        limit = min(limit, rating * ratio)
    label = None if limit is None else limit / ratio
    shown = tried.start or simulate(with_limit(build, top)).headline
    return AdapterSize(
        smallest_limit_current=limit,
        smallest_rated_current=label,
        running_current=running,
        running_rating=need,
        picture=picture_in_words(build),
        standard_rating=rating,
        decided_by=_decides(label, need),
        islands=islands.found,
        reason="" if rating is not None else _why_none(tried.boots_at, shown),
        start=Rerun(simulate(build).headline, shown),
        runs=islands.runs + tried.runs,
    )


def _decides(label: float | None, need: float | None) -> Decides:
    """Return which of two ratings [A] is the larger: for the start, or for the running picture."""
    more = label is not None and need is not None and need > label
    return Decides.RUNNING_PICTURE if more else Decides.START


def _why_none(boots_at: float | None, shown: Headline) -> str:
    """Return why no standard rating is an answer; ``boots_at`` [A] is the first that boots but overstresses a part."""
    if boots_at is not None:
        text = f"no rating up to {RATINGS[-1]:g} A starts it without overstressing a part; at {boots_at:g} A "
        return f"{text}{shown.damage}; {'; '.join(shown.advice)}"
    reason = f"no standard rating up to {RATINGS[-1]:g} A starts it and carries its picture; "
    return f"{reason}at {RATINGS[-1]:g} A: {shown.title}, {shown.reason}"


def _scan(build: Build, top: float) -> Islands:
    """Return the limit currents up to ``top`` [A] that boot."""
    factor = SCAN_FACTOR[build.adapter.limit_style in ("hiccup", "latch-off")]
    for lowest in LOWEST_LIMITS:
        scan = np.geomspace(lowest, top, int(np.ceil(np.log(top / lowest) / np.log(factor))) + 1)
        islands = find_islands(lambda v: with_limit(build, v), scan, relative=FINENESS)
        if not islands.boots[0]:
            break
    return islands


@dataclass(frozen=True)
class _Tried:
    """What the ladder of ratings came to: the answer, the first rating that boots, the start with it, starts run."""

    rating: float | None
    boots_at: float | None
    start: Headline | None
    runs: int


def _standard(build: Build, least: float, ratio: float) -> _Tried:
    """Return the first standard rating at or above ``least`` that boots and overstresses nothing."""
    boots_at: float | None = None
    start: Headline | None = None
    runs = 0
    for rating in (rating for rating in RATINGS if rating >= least * (1 - 1e-9)):
        # Nearly always the first one does.
        runs += 1
        if not which_boot([with_limit(build, rating * ratio)]).all():
            continue
        runs += 1
        found = simulate(with_limit(build, rating * ratio)).headline
        if found.boots:
            return _Tried(rating, rating, found, runs)
        if found.overstressed and start is None:
            boots_at, start = rating, found
    return _Tried(None, boots_at, start, runs)
