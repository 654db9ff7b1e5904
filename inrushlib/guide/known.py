"""The odds of a build with what has been measured of it: the one place that joins the two.

``with_measured``  the build whose ranges are narrowed by a log
"""

from __future__ import annotations

from typing import Any

from inrushlib.build import Build, build_keys
from inrushlib.measurements import Measurement, MeasurementLog
from inrushlib.odds import KeyRange, key_ranges


def with_measured(build: Build, log: MeasurementLog) -> Build:
    """Return a build for computing odds: its measured values, each within the interval of its measurement.

    Nothing of it is for a file. A side that a measurement did not tell ends where the key's own range does.

    Parameters
    ----------
    build : Build
        Any build.
    log : MeasurementLog
        What has been measured of it; a key of a part that it does not have is left out.

    Examples
    --------
    >>> from datetime import date
    >>> from inrushlib.build import new_build
    >>> from inrushlib.measurements import How
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> row = Measurement(key="bus.ceramic", value=2e-6, low=1.8e-6, high=2.2e-6, how=How.BENCH, source="meter",
    ...                   day=date(2026, 3, 1))
    >>> found = with_measured(build, MeasurementLog((row,)))
    >>> found.bus.ceramic, found.tolerance["bus.ceramic"].high
    (2e-06, 2.2e-06)
    """
    newest = {key: row for key, row in log.newest().items() if build.get(key) is not None}
    if not newest:
        return build
    before = {each.key: each for each in key_ranges(build)}
    values: dict[str, Any] = {}
    for key, row in newest.items():
        low, high = _ends(row, before.get(key))
        values[key] = row.value
        if low < high:
            values[f"tolerance.{key}"] = {"low": low, "high": high}
    return build.with_values(values)


def _ends(row: Measurement, before: KeyRange | None) -> tuple[float, float]:
    info = build_keys()[row.key]
    low = row.low if row.low is not None else before.low if before is not None else row.value
    high = row.high if row.high is not None else before.high if before is not None else row.value
    least = info.low if info.low_included else max(info.low, 1e-3 * row.value)
    return min(max(low, least), row.value), max(min(high, info.high), row.value)
