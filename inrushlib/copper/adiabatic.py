"""What a pulse may do to a wire's insulation: the adiabatic equation.

``adiabatic_factor``
    k, from the temperatures before and after
``adiabatic_limit``
    the largest pulse (I2t) for an area
"""

from __future__ import annotations

import math

from inrushlib.errors import UsageError

MELTING_POINT = 1083.0
"""Of copper [C]."""


def _between(thing: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise UsageError(f"{thing}: {value:g} {unit}; accepted: {low:g} to {high:g} {unit}")


def adiabatic_factor(initial: float = 70.0, final: float = 160.0) -> float:
    """Material factor k of the adiabatic equation, copper.

    ``k = 226 * sqrt(ln((final + 234.5) / (initial + 234.5)))``.

    Parameters
    ----------
    initial : float
        Conductor temperature before the pulse [C], -60 to 250.
    final : float
        Temperature that the insulation stands briefly [C], above initial, up to 1083.

    Returns
    -------
    float
        k [A s**0.5 / mm2].

    Raises
    ------
    UsageError
        For temperatures outside their range.

    Notes
    -----
    115 for PVC (70 to 160 C), 143 for 90 to 250 C, 141 for 60 to 200 C. Source: constants of IEC 60949.

    Examples
    --------
    >>> round(adiabatic_factor())
    115
    """
    _between("temperature before the pulse", initial, -60.0, 250.0, "C")
    if not initial < final <= MELTING_POINT:
        raise UsageError(
            f"temperature after the pulse: {final:g} C; accepted: above {initial:g} C and up to {MELTING_POINT:g} C"
        )
    return 226.0 * math.sqrt(math.log((final + 234.5) / (initial + 234.5)))


def adiabatic_limit(area: float, factor: float = 115.0) -> float:
    """Largest pulse (I2t) that a conductor's insulation survives.

    ``I2t = (k * S) ** 2``, S in mm2.

    Parameters
    ----------
    area : float
        Copper cross-section [m2], above 0.
    factor : float
        k [A s**0.5 / mm2], above 0; 115 for PVC.

    Returns
    -------
    float
        Largest integral of the squared current [A2 s].

    Raises
    ------
    UsageError
        For an area or a k that is not above 0.

    Notes
    -----
    Pulses up to 5 s. Source: IEC 60364-5-54 / BS 7671 regulation 543.1.3.

    Examples
    --------
    >>> round(adiabatic_limit(0.5e-6))
    3306
    """
    if not (area > 0.0 and factor > 0.0):
        raise UsageError(f"wire area: {area * 1e6:g} mm2 with k = {factor:g}; accepted: both above 0")
    return (factor * area * 1e6) ** 2
