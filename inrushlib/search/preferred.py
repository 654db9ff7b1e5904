"""Preferred values of parts, rounded up.

``next_e6``           the next value of the E6 series
``ladder``            all values of a series between two
``E6``, ``E12``, ``E24``
                      one decade of each
"""

from __future__ import annotations

import math
from typing import Final

Series = tuple[float, ...]

E6: Final[Series] = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0)
"""One decade of the E6 series and the first of the next (IEC 60063): capacitors."""
E12: Final[Series] = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0)
"""As :data:`E6`, of the E12 series: resistors of 10 %, in any drawer."""
E24: Final[Series] = (
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2,
    9.1, 10.0,
)  # fmt: skip
"""As :data:`E6`, of the E24 series: resistors of 5 %."""


def next_e6(value: float) -> float:
    """Return the next value of the E6 series at or above ``value``; never the nearest.

    Parameters
    ----------
    value : float
        Value [any unit], above 0.

    Returns
    -------
    float
        In the unit of ``value``.

    Notes
    -----
    Source: IEC 60063, preferred number series for resistors and capacitors, E6 (20 %).

    Examples
    --------
    >>> next_e6(3.31e-4), next_e6(4.7e-4), next_e6(6.9)
    (0.00047, 0.00047, 10.0)
    """
    return _next(value, E6)


def _next(value: float, series: Series) -> float:
    """Return the next value of a series [unit of ``value``]."""
    decade = math.floor(math.log10(value))
    for step in series:
        found = float(f"{step:g}e{decade}")
        if found >= value * (1 - 1e-9):
            return found
    return float(f"1e{decade + 1}")


def ladder(series: Series, low: float, high: float) -> tuple[float, ...]:
    """Return the values of a series from ``low`` to ``high``, rising.

    Parameters
    ----------
    series : tuple of float
        One decade of it and the first of the next [1].
    low, high : float
        Any unit [unit], above 0.

    Returns
    -------
    tuple of float
        In the unit of ``low`` [unit]; both ends are included where they are values of the series.

    Notes
    -----
    Source: IEC 60063, preferred number series for resistors and capacitors.

    Examples
    --------
    >>> ladder(E6, 4.7e-4, 2.3e-3)
    (0.00047, 0.00068, 0.001, 0.0015, 0.0022)
    >>> ladder(E24, 4.7e3, 6.2e3)
    (4700.0, 5100.0, 5600.0, 6200.0)
    """
    found = [_next(low, series)]
    while found[-1] <= high:
        found.append(_next(1.01 * found[-1], series))
    return tuple(found[:-1])
