"""Preferred values of parts, rounded up.

``next_e6``    the next value of the E6 series
``e6_ladder``  all its values between two
"""

from __future__ import annotations

import math

E6 = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0)
"""One decade of the E6 series and the first of the next (IEC 60063)."""


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
    decade = math.floor(math.log10(value))
    for step in E6:
        found = float(f"{step:g}e{decade}")
        if found >= value * (1 - 1e-9):
            return found
    return float(f"1e{decade + 1}")


def e6_ladder(low: float, high: float) -> tuple[float, ...]:
    """Return the values of the E6 series from ``low`` to ``high``, rising.

    Parameters
    ----------
    low, high : float
        Any unit [unit], above 0.

    Returns
    -------
    tuple of float
        In the unit of ``low`` [unit]; both ends are included where they are values of the series.

    Notes
    -----
    Source: as of :func:`next_e6`.

    Examples
    --------
    >>> e6_ladder(4.7e-4, 2.3e-3)
    (0.00047, 0.00068, 0.001, 0.0015, 0.0022)
    """
    found = [next_e6(low)]
    while found[-1] <= high:
        found.append(next_e6(1.01 * found[-1]))
    return tuple(found[:-1])
