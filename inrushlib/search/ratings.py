"""Adapters by the current on their label.

``RATINGS``      the labels that 5 V supplies are commonly sold with
``next_rating``  the next standard rating up; never the nearest
``with_limit``   a build with a larger or smaller adapter of the same kind
``rating_ladder``, ``Rung``
                 how each standard rating starts a build
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.startup import Headline, hold_lumps, simulate

RATINGS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 40.0, 60.0)
"""Label ratings in A that 5 V supplies are commonly sold with; common practice, no source."""
ROUNDING = 1e-9  # of a rating


def next_rating(current: float) -> float | None:
    """Return the next standard rating [A] at or above ``current`` [A]; None above the ladder.

    Examples
    --------
    >>> next_rating(2.01)
    2.5
    >>> next_rating(61.0) is None
    True
    """
    return next((rating for rating in RATINGS if rating >= current * (1 - ROUNDING)), None)


def with_limit(build: Build, limit: float) -> Build:
    """Return the ``build`` with an adapter of a limit current ``limit`` [A], its ratios to the label kept."""
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


@dataclass(frozen=True)
class Rung:
    """How a standard rating starts the build.

    Attributes
    ----------
    rating : float
        The label [A].
    headline : Headline
        How the start ends.
    peak_lead_current : float
        Of that start [A].
    """

    rating: float
    headline: Headline
    peak_lead_current: float


def rating_ladder(build: Build) -> tuple[Rung, ...]:
    """Return how each standard rating starts the build.

    Parameters
    ----------
    build : Build
        Its adapter's style and its ratios of limit, peak and foldback to the label are kept.

    Returns
    -------
    tuple of Rung
        One for each of ``RATINGS``, in their order.

    Raises
    ------
    SolverError
        Where a start hits a bound.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "row", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> next(rung.rating for rung in rating_ladder(build) if rung.headline.boots)
    3.0
    """
    build = hold_lumps(build)
    return tuple(rung_at(build, rating) for rating in RATINGS)


def rung_at(build: Build, rating: float) -> Rung:
    """Return how the ``build`` starts on an adapter of a label ``rating`` [A]."""
    start = simulate(with_limit(build, rating * limit_ratio(build)))
    return Rung(rating, start.headline, start.figures.peak_lead_current)


def limit_ratio(build: Build) -> float:
    """Return limit current over label of the ``build``'s adapter [1]."""
    return build.adapter.limit_current / build.adapter.rated_current
