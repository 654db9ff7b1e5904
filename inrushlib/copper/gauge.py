"""Wire gauges: the size of a wire from its number, and the number from a size.

``awg_diameter``, ``awg_area``
    a gauge number's bare solid wire (ASTM B258)
``thickest_gauge_within``
    the thickest gauge that has at most an area: for rating a wire between two rungs
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from inrushlib.errors import UsageError

COPPER_RESISTIVITY = 1.7241e-8
"""Resistivity of annealed copper at 20 C [ohm m], 100 % IACS: 1/58 ohm mm2/m (NBS Handbook 100, 1966)."""

THICKEST_AWG, THINNEST_AWG = -3, 40
"""Gauge numbers accepted: -3 (also written 4/0 or 0000) to 40."""

STOCKED_AWG = (30, 28, 26, 24, 22, 20, 18, 16, 14, 12, 10)
"""Even gauges that hook-up wire is commonly sold in (common practice, no source)."""


def awg_diameter(gauge: float) -> float:
    """Diameter of a bare solid wire of an American Wire Gauge number.

    ``d = 0.005 inch * 92 ** ((36 - n) / 39)``, that is ``0.127 mm * ...``.

    Parameters
    ----------
    gauge : float
        Gauge number n [1], -3 (4/0) to 40.

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    UsageError
        For a gauge outside the range.

    Notes
    -----
    Solid wire. A stranded wire of the same number has some 3-4 % more resistance. Source: ASTM B258.

    Examples
    --------
    >>> round(awg_diameter(20) * 1e3, 4)
    0.8118
    """
    if not THICKEST_AWG <= gauge <= THINNEST_AWG:
        raise UsageError(f"gauge: {gauge:g} AWG; accepted: {THICKEST_AWG} (4/0) to {THINNEST_AWG} AWG")
    return float(0.127e-3 * 92.0 ** ((36.0 - gauge) / 39.0))


def awg_area(gauge: float) -> float:
    """Cross-section of a bare solid wire of an American Wire Gauge number.

    ``A = pi / 4 * d ** 2`` with :func:`awg_diameter`.

    Parameters
    ----------
    gauge : float
        Gauge number n [1], -3 (4/0) to 40.

    Returns
    -------
    float
        Copper cross-section [m2].

    Notes
    -----
    Solid wire. Source: ASTM B258.

    Examples
    --------
    >>> round(awg_area(22) * 1e6, 3)
    0.326
    """
    return math.pi / 4.0 * awg_diameter(gauge) ** 2


def thickest_gauge_within(area: float, ladder: Sequence[int] = STOCKED_AWG) -> int:
    """Gauge of the thickest wire of a ladder with at most the area: a size between two rungs, rated safely.

    Parameters
    ----------
    area : float
        Cross-section at hand [m2], above 0.
    ladder : sequence of int
        Gauge numbers to choose from [1], each -3 to 40.

    Returns
    -------
    int
        Gauge number [1].

    Raises
    ------
    UsageError
        For an area below the thinnest wire of the ladder.

    Notes
    -----
    Raises UsageError where the wire is thinner than the whole ladder. Source of the areas: ASTM B258.

    Examples
    --------
    >>> thickest_gauge_within(0.5e-6)
    22
    """
    fitting = [gauge for gauge in ladder if awg_area(gauge) <= area * (1.0 + 1e-9)]
    if not fitting:
        thinnest = max(ladder)
        raise UsageError(
            f"wire area: {area * 1e6:.3g} mm2; accepted: {awg_area(thinnest) * 1e6:.3g} mm2 ({thinnest} AWG) or thicker"
        )
    return min(fitting)
