"""The smallest adapter that starts a build, and the next standard rating up.

``smallest_adapter``  by search over the model, with the running picture's need beside it
``next_rating``       the next standard rating up; never the nearest
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.panel import solve_panel
from inrushlib.sizing.search import Island, find_islands
from inrushlib.startup import Verdict, screen_many, simulate

RATINGS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 40.0, 60.0)
"""Label ratings in A that 5 V supplies are commonly sold with; common practice, no source."""

CONTINUOUS_SHARE = 0.8
"""Continuous load at most this share of the rating: NEC 210.20(A), 125 % of the continuous load."""

LOWEST_LIMIT = 0.05  # [A]
SCAN_FACTOR = 1.25


@dataclass(frozen=True)
class AdapterSize:
    """The smallest adapter, SI; None where there is none.

    Attributes
    ----------
    smallest_limit_current, smallest_rated_current : float or None
        Smallest limit current that boots at the first try [A], and the label that goes with it at the
        build's ratio of limit to label.
    running_current, running_rating : float
        Lead current of the running picture [A], and the rating that carries it continuously.
    standard_rating : float or None
        Next standard rating that both starts the display and carries the picture [A].
    decided_by : str
        ``"start"`` or ``"running picture"``, whichever asks for more.
    islands : tuple of Island
        All stretches of limit current that boot.
    reason : str
        Why none boots; empty where one does.
    runs : int
        Starts run.
    """

    smallest_limit_current: float | None
    smallest_rated_current: float | None
    running_current: float
    running_rating: float
    standard_rating: float | None
    decided_by: str
    islands: tuple[Island, ...]
    reason: str
    runs: int


def next_rating(current: float) -> float | None:
    """Return the next standard rating [A] at or above ``current`` [A]; None above the ladder.

    Examples
    --------
    >>> next_rating(2.01)
    2.5
    >>> next_rating(61.0) is None
    True
    """
    return next((rating for rating in RATINGS if rating >= current * (1 - 1e-9)), None)


def with_limit(build: Build, limit: float) -> Build:
    """Return the build with an adapter of the given limit current [A], its ratios to the label kept."""
    a = build.adapter
    factor = limit / a.limit_current
    values = {"adapter.rated_current": factor * a.rated_current}
    for key in ("limit_current", "peak_current", "foldback_current"):
        if f"adapter.{key}" in build.given:
            values[f"adapter.{key}"] = factor * getattr(a, key)
    return build.with_values(values)


def running_current(build: Build) -> float:
    """Return the lead current [A] of the running picture on an adapter that does not limit."""
    firmware = build.firmware
    colour = firmware.first_frame if firmware.content_delay is None else firmware.content
    ample = with_limit(build, 10 * RATINGS[-1] * build.adapter.limit_current / build.adapter.rated_current)
    return float(solve_panel(ample, colour).adapter_current)


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
    ratio = build.adapter.limit_current / build.adapter.rated_current
    top = RATINGS[-1] * ratio
    count = int(np.ceil(np.log(top / LOWEST_LIMIT) / np.log(SCAN_FACTOR))) + 1
    islands = find_islands(lambda limit: with_limit(build, limit), np.geomspace(LOWEST_LIMIT, top, count))
    running = running_current(build)
    need = running / CONTINUOUS_SHARE
    limit = islands.found[0].low if islands.found else None
    label = None if limit is None else limit / ratio
    rating, more = _standard(build, max(label or 0.0, need), ratio)
    reason = ""
    if rating is None:
        largest = simulate(with_limit(build, top))
        reason = f"no standard rating up to {RATINGS[-1]:g} A starts it and carries its picture; "
        reason += f"at {RATINGS[-1]:g} A: {largest.verdict}, {largest.reason}"
    return AdapterSize(
        smallest_limit_current=limit,
        smallest_rated_current=label,
        running_current=running,
        running_rating=need,
        standard_rating=rating,
        decided_by="running picture" if label is not None and need > label else "start",
        islands=islands.found,
        reason=reason,
        runs=islands.runs + more,
    )


def _standard(build: Build, least: float, ratio: float) -> tuple[float | None, int]:
    """Return the first standard rating at or above ``least`` that boots, and the starts run."""
    ladder = [rating for rating in RATINGS if rating >= least * (1 - 1e-9)]
    runs = 0
    for start in range(0, len(ladder), 2):
        some = ladder[start : start + 2]
        answers = screen_many([with_limit(build, rating * ratio) for rating in some])
        runs += len(some)
        for i, rating in enumerate(some):
            if answers.verdict(i) is Verdict.BOOTS:
                return rating, runs
    return None, runs
