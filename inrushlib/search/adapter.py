"""The smallest adapter that starts a build, and the next standard rating up.

``smallest_adapter``  by search over the model, with the running picture's need beside it

A rating with which a part sees more than it stands is no answer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from inrushlib.build import Build
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.adapter_size import AdapterSize, NoAdapter, NoNeed, PictureNeed, StartNeed, WhyNoAdapter
from inrushlib.search.islands import Islands, find_islands, which_boot
from inrushlib.search.ratings import RATINGS, ROUNDING, Rung, limit_ratio, rung_at, with_limit
from inrushlib.search.rerun import Rerun
from inrushlib.search.running import picture_in_words, running_current
from inrushlib.startup import hold_lumps, simulate

LOWEST_LIMITS = (0.05, 1e-3)  # [A] where the scan begins; the second where the first already boots
SCAN_FACTOR = {True: 1.25, False: 1.5}
"""From one scanned current to the next, for adapters that trip and for those that do not."""
FINENESS = 0.0045  # of the current, to which its edge is found


def smallest_adapter(build: Build) -> AdapterSize | NoAdapter:
    """Return the smallest adapter that starts the build at the first try, or why there is none.

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
    ratio = limit_ratio(build)
    islands = _scan(build, RATINGS[-1] * ratio)
    drawn = running_current(build)
    running = NoNeed.NEVER_SHOWN if drawn is None else PictureNeed(drawn, drawn / CONTINUOUS_SHARE)
    limit = islands.found[0].low if islands.found else None
    # The edge is known to lie between what fails and what boots; a rating between the two may boot as well.
    fails = (islands.found[0].low_fails or 0.0) / ratio if islands.found else 0.0
    least = max(fails * (1 + ROUNDING), running.rating if isinstance(running, PictureNeed) else 0.0)
    tried = _standard(build, least)
    before, picture, runs = simulate(build).headline, picture_in_words(build), islands.runs + tried.runs + 1
    if tried.taken is not None:
        taken = tried.taken.rating * ratio
        limit = taken if limit is None else min(limit, taken)
        return AdapterSize(
            standard_rating=tried.taken.rating, starting=StartNeed(limit, limit / ratio), running=running,
            picture=picture, islands=islands.found, start=Rerun(before, tried.taken.headline), runs=runs,
        )  # fmt: skip
    starting = NoNeed.NEVER_BOOTS if limit is None else StartNeed(limit, limit / ratio)
    shown = tried.overstresses
    if shown is None:
        shown, runs = rung_at(build, RATINGS[-1]), runs + 1
    return NoAdapter(
        why=_why_none(tried, running), starting=starting, running=running, picture=picture, islands=islands.found,
        shown_at=shown.rating, start=Rerun(before, shown.headline), runs=runs,
    )  # fmt: skip


def _scan(build: Build, top: float) -> Islands:
    """Return the limit currents up to ``top`` [A] that boot."""
    factor = SCAN_FACTOR[build.adapter.limit_style in ("hiccup", "latch-off")]
    runs = 0
    for lowest in LOWEST_LIMITS:
        scan = np.geomspace(lowest, top, int(np.ceil(np.log(top / lowest) / np.log(factor))) + 1)
        islands = find_islands(lambda v: with_limit(build, v), scan, relative=FINENESS)
        runs += islands.runs
        if not islands.boots[0]:
            break
    return replace(islands, runs=runs)


@dataclass(frozen=True)
class _Tried:
    """What the ladder came to: the rating that was taken, the first that boots but overstresses a part, starts run."""

    taken: Rung | None
    overstresses: Rung | None
    runs: int


def _why_none(tried: _Tried, running: PictureNeed | NoNeed) -> WhyNoAdapter:
    if tried.overstresses is not None:
        return WhyNoAdapter.OVERSTRESSES
    if isinstance(running, PictureNeed) and not running.carried_by(RATINGS[-1]):
        return WhyNoAdapter.PICTURE_TOO_LARGE
    return WhyNoAdapter.NONE_STARTS


def _standard(build: Build, least: float) -> _Tried:
    """Return the first standard rating at or above ``least`` [A] that boots and overstresses nothing."""
    overstresses: Rung | None = None
    runs = 0
    for rating in (rating for rating in RATINGS if rating >= least * (1 - ROUNDING)):
        # Nearly always the first one does.
        runs += 1
        if not which_boot([with_limit(build, rating * limit_ratio(build))]).all():
            continue
        runs += 1
        found = rung_at(build, rating)
        if found.headline.boots:
            return _Tried(found, overstresses, runs)
        if found.headline.overstressed and overstresses is None:
            overstresses = found
    return _Tried(None, overstresses, runs)
