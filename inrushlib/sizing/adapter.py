"""The smallest adapter that starts a build, and the next standard rating up.

``smallest_adapter``  by search over the model, with the running picture's need beside it
``next_rating``       the next standard rating up; never the nearest
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.panel import solve_panel
from inrushlib.sizing.finding import CONTINUOUS_SHARE
from inrushlib.sizing.search import Island, Islands, find_islands, which_boot
from inrushlib.startup import simulate

RATINGS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 40.0, 60.0)
"""Label ratings in A that 5 V supplies are commonly sold with; common practice, no source."""

LOWEST_LIMITS = (0.05, 1e-3)  # [A] where the scan begins; the second where the first already boots
SCAN_FACTOR = {True: 1.25, False: 1.5}
"""From one scanned current to the next, for adapters that trip and for those that do not."""
FINENESS = 0.0045  # of the current, to which its edge is found


@dataclass(frozen=True)
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
    running_current: float | None
    running_rating: float | None
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
    # Given values that equal the limit must not end on its wrong side by a rounding.
    if a.peak_current is not None and "adapter.peak_current" in build.given:
        values["adapter.peak_current"] = max(limit, factor * a.peak_current)
    if "adapter.foldback_current" in build.given:
        values["adapter.foldback_current"] = min(limit, factor * a.foldback_current)
    if len(values) > 1 or "adapter.limit_current" in build.given:
        values["adapter.limit_current"] = limit
    return build.with_values(values)


def running_current(build: Build) -> float | None:
    """Return the lead current [A] of the running picture on an adapter that does not limit.

    From the steady panel; where that does not settle, the mean of the last tenth of a start; None where that does
    not get so far.
    """
    firmware, pixel = build.firmware, build.pixel
    colour = firmware.first_frame if firmware.content_delay is None else firmware.content
    # Twice what all pixels can take: ample, and yet near enough that the law's soft corner, 1 % of the limit
    # wide, does not lift the voltage.
    most = sum(build.wiring.pixels_per_section) * (pixel.quiescent_current + pixel.channel_current * sum(colour))
    ample = with_limit(build, 2 * (most + build.controller.run_current))
    try:
        return float(solve_panel(ample, colour).adapter_current)
    except SolverError:
        start = simulate(ample)
        return start.figures.settled_lead_current if start.verdict.starts else None


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
    islands = _scan(build, top)
    running = running_current(build)
    need = None if running is None else running / CONTINUOUS_SHARE
    limit = islands.found[0].low if islands.found else None
    # The edge is known to lie between what fails and what boots; a rating between the two may boot as well.
    fails = (islands.found[0].low_fails or 0.0) / ratio if islands.found else 0.0
    rating, more = _standard(build, max(fails * (1 + 1e-9), need or 0.0), ratio)
    if limit is not None and rating is not None:
        limit = min(limit, rating * ratio)
    label = None if limit is None else limit / ratio
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
        decided_by="running picture" if label is not None and need is not None and need > label else "start",
        islands=islands.found,
        reason=reason,
        runs=islands.runs + more,
    )


def _scan(build: Build, top: float) -> Islands:
    """Return the limit currents up to ``top`` [A] that boot."""
    factor = SCAN_FACTOR[build.adapter.limit_style in ("hiccup", "latch-off")]
    for lowest in LOWEST_LIMITS:
        scan = np.geomspace(lowest, top, int(np.ceil(np.log(top / lowest) / np.log(factor))) + 1)
        islands = find_islands(lambda v: with_limit(build, v), scan, relative=FINENESS)
        if not islands.boots[0]:
            break
    return islands


def _standard(build: Build, least: float, ratio: float) -> tuple[float | None, int]:
    """Return the first standard rating at or above ``least`` that boots, and the starts run."""
    ladder = [rating for rating in RATINGS if rating >= least * (1 - 1e-9)]
    for runs, rating in enumerate(ladder, 1):
        # Nearly always the first one does.
        if which_boot([with_limit(build, rating * ratio)]).all():
            return rating, runs
    return None, len(ladder)
