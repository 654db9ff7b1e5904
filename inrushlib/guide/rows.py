"""Values that were worked out from readings, as rows for the log of a build.

``rows_of``  the rows, and how their errors go together
``rounded``  a number to the digits of a reading
``one_value``
             the value of a key, where it has just one
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from inrushlib.build import Build, build_keys
from inrushlib.guide.uncertainty import LEVEL, Worked
from inrushlib.measurements import How, Measurement, MeasurementLog, Together

DIGITS: Final = 4
"""Of what is written [1]: a reading on the bench has no more."""


def rows_of(
    before: Build, keys: Sequence[str], values: Sequence[float], worked: Worked, source: str, day: date
) -> MeasurementLog:
    """Return what readings told of a build, for its log.

    Parameters
    ----------
    before : Build
        The build as it was.
    keys : sequence of str
        Dotted, in the order of what was worked out.
    values : sequence of float
        What the build has for them from now on [unit of the key, SI].
    worked : Worked
        With their uncertainties.
    source : str
        What was read.
    day : date
        When.
    """
    rows = []
    for place, (key, value) in enumerate(zip(keys, values, strict=True)):
        low, high = worked.interval(place)
        info = build_keys()[key]
        rows.append(
            Measurement(
                key=key, value=value, low=min(value, max(rounded(low), info.low)),
                high=max(value, min(rounded(high), info.high)), level=LEVEL, how=How.BENCH, source=source, day=day,
                modelled=one_value(before.get(key)),
            )
        )  # fmt: skip
    ties = (Together(source=source, keys=tuple(keys), correlation=worked.correlation),) if len(rows) > 1 else ()
    return MeasurementLog(tuple(rows), ties)


def rounded(value: float) -> float:
    """Return a number to the digits that a reading has [same unit].

    Parameters
    ----------
    value : float
        Any number [any unit].

    Examples
    --------
    >>> rounded(0.0123456)
    0.01235
    """
    return float(f"{value:.{DIGITS}g}")


def one_value(value: Any) -> float | None:
    """Return the value that a key has; None for entries that differ, or where there is no such part.

    Parameters
    ----------
    value : object
        As ``Build.get`` returns it [unit of the key, SI].

    Examples
    --------
    >>> one_value((0.02, 0.02)), one_value((0.02, 0.03)), one_value(())
    (0.02, None, None)
    """
    entries = set(value) if isinstance(value, tuple) else {value}
    one = entries.pop() if len(entries) == 1 else None
    return None if one is None else float(one)
