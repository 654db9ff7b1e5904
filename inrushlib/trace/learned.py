"""What a fit found, as rows for the log of what has been measured of a build.

``learned``   the rows, and how the errors of their keys go together
"""

from __future__ import annotations

from datetime import date

import numpy as np

from inrushlib.measurements import How, Measurement, Together
from inrushlib.trace.fit.fit import Fit
from inrushlib.trace.fit.status import FittedKey, Status

LEVEL = 0.95  # of the intervals of a fit
_TOLD = (Status.INTERVAL, Status.AT_LEAST, Status.AT_MOST, Status.AT_BOUND)


def learned(fit: Fit, day: date) -> tuple[list[Measurement], list[Together]]:
    """Return what a capture told, a row for each key that it determines or bounds.

    Keys that it tells nothing of, that go together with others, or whose intervals are withheld have no row.

    Parameters
    ----------
    fit : Fit
        The fit.
    day : date
        When it was made.

    Returns
    -------
    tuple of list of Measurement and list of Together
        For ``add_to_log``.

    Examples
    --------
    >>> key = FittedKey(key="adapter.limit_current", value=3.5, start=4.0, interval=(3.4, 3.6), status=Status.INTERVAL)
    >>> fit = Fit(keys={key.key: key}, build=None, shift=0.0, name="evening.csv")
    >>> rows, _ = learned(fit, date(2026, 3, 1))
    >>> rows[0].value, rows[0].low, rows[0].source, rows[0].modelled
    (3.5, 3.4, 'evening.csv', 4.0)
    """
    rows = [_row(fitted, fit.name or "capture", day) for fitted in fit.keys.values() if _told(fitted)]
    determined = [i for i, fitted in enumerate(fit.keys.values()) if fitted.error is not None]
    if len(determined) < 2:
        return rows, []
    table = np.array(fit.correlation)[np.ix_(determined, determined)]
    keys = tuple(key for i, key in enumerate(fit.keys) if i in determined)
    correlation = tuple(tuple(round(float(one), 6) for one in line) for line in table)
    together = Together(source=fit.name or "capture", keys=keys, correlation=correlation)
    return rows, [together] if together.is_possible else []


def _told(fitted: FittedKey) -> bool:
    """Whether a key is determined, or bounded on a side."""
    return fitted.status in _TOLD and fitted.interval is not None and fitted.interval != (None, None)


def _row(fitted: FittedKey, source: str, day: date) -> Measurement:
    low, high = fitted.interval or (None, None)
    value = fitted.value
    if low is not None:
        value = max(value, low)
    if high is not None:
        value = min(value, high)
    return Measurement(
        key=fitted.key, value=value, low=low, high=high, level=LEVEL, how=How.CAPTURE, source=source, day=day,
        modelled=fitted.start,
    )  # fmt: skip
