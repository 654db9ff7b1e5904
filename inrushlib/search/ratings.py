"""Adapters by the current on their label.

``RATINGS``      the labels that 5 V supplies are commonly sold with
``next_rating``  the next standard rating up; never the nearest
``with_limit``   a build with a larger or smaller adapter of the same kind
"""

from __future__ import annotations

from inrushlib.build import Build

RATINGS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 40.0, 60.0)
"""Label ratings in A that 5 V supplies are commonly sold with; common practice, no source."""


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
