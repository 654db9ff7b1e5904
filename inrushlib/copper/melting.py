"""When copper melts, and what a pulse may do to its insulation.

``preece_current``
    the steady current that melts a wire in air
``onderdonk_current``, ``onderdonk_time``
    the current that melts it within a time, or the time for a current
``adiabatic_factor``, ``adiabatic_area``, ``adiabatic_limit``
    the pulse (I2t) that takes insulation from its working to its short-circuit temperature

Melting is the end of the wire, far above anything that is safe: these bound a fuse, not a load.
"""

from __future__ import annotations

import math

from inrushlib.errors import UsageError

INCH = 0.0254
CIRCULAR_MIL = math.pi / 4.0 * (1e-3 * INCH) ** 2
"""Area of a wire of one thousandth of an inch [m2]."""

MELTING_POINT = 1083.0
"""Copper [C], the value in Onderdonk's equation."""

THINNEST_PREECE, THICKEST_PREECE = 0.1e-3, 12e-3
LONGEST_ADIABATIC = 10.0
"""No heat is taken to leave the wire: up to some 10 s for melting (from memory)."""


def _between(thing: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise UsageError(f"{thing}: {value:g} {unit}; accepted: {low:g} to {high:g} {unit}")


def preece_current(diameter: float) -> float:
    """Steady current that melts a round copper wire in still air.

    ``I = 10244 * d ** 1.5``, d in inches.

    Parameters
    ----------
    diameter : float
        Wire diameter [m], 0.1 mm to 12 mm.

    Returns
    -------
    float
        Fusing current [A].

    Notes
    -----
    Bare, single, long enough that its ends do not cool it. The range is from memory. Source: W. H. Preece
    (1884-1888), constant as given by Brooks and Adam, "In Search for Preece and Onderdonk" (2015).

    Examples
    --------
    >>> round(preece_current(0.0253 * 0.0254), 1)
    41.2
    """
    _between("wire diameter", diameter * 1e3, THINNEST_PREECE * 1e3, THICKEST_PREECE * 1e3, "mm")
    return float(10244.0 * (diameter / INCH) ** 1.5)


def _onderdonk(ambient: float) -> float:
    """Current squared times seconds per square circular mil, from ambient [C] to melting."""
    _between("ambient", ambient, -60.0, 250.0, "C")
    return math.log10(1.0 + (MELTING_POINT - ambient) / (234.0 + ambient)) / 33.0


def onderdonk_current(area: float, seconds: float, ambient: float = 25.0) -> float:
    """Current that melts a copper conductor within a time, no heat leaving it.

    ``I = A * sqrt(log10(1 + (1083 - Ta) / (234 + Ta)) / (33 t))``, A in circular mils.

    Parameters
    ----------
    area : float
        Copper cross-section [m2], above 0.
    seconds : float
        Time to melting [s], above 0 to 10.
    ambient : float
        Temperature at the start [C], -60 to 250.

    Returns
    -------
    float
        Fusing current [A].

    Notes
    -----
    234 + Ta: a copy with 234 - Ta is in circulation and 5 % wrong. The bound of 10 s is from memory.
    Source: I. M. Onderdonk, as discussed by Brooks and Adam, "In Search for Preece and Onderdonk" (2015).

    Examples
    --------
    >>> round(onderdonk_current(2581 * CIRCULAR_MIL, 5.0), 1)
    168.9
    """
    if not (area > 0.0 and 0.0 < seconds <= LONGEST_ADIABATIC):
        raise UsageError(
            f"melting of {area * 1e6:g} mm2 in {seconds:g} s; accepted: an area above 0 and a time"
            f" above 0, up to {LONGEST_ADIABATIC:g} s"
        )
    return area / CIRCULAR_MIL * math.sqrt(_onderdonk(ambient) / seconds)


def onderdonk_time(area: float, current: float, ambient: float = 25.0) -> float:
    """Time in which a current melts a copper conductor, no heat leaving it.

    ``t = (A / I) ** 2 * log10(1 + (1083 - Ta) / (234 + Ta)) / 33``, A in circular mils.

    Parameters
    ----------
    area : float
        Copper cross-section [m2], above 0.
    current : float
        Current [A], high enough to melt it within 10 s.
    ambient : float
        Temperature at the start [C], -60 to 250.

    Returns
    -------
    float
        Time to melting [s].

    Notes
    -----
    Source: as :func:`onderdonk_current`.

    Examples
    --------
    >>> round(onderdonk_time(4110 * CIRCULAR_MIL, 400.0), 2)
    2.26
    """
    if not (area > 0.0 and current > 0.0):
        raise UsageError(f"melting of {area * 1e6:g} mm2 by {current:g} A; accepted: both above 0")
    seconds = (area / CIRCULAR_MIL / current) ** 2 * _onderdonk(ambient)
    if seconds > LONGEST_ADIABATIC:
        raise UsageError(
            f"melting current: {current:g} A: it would take {seconds:.3g} s; accepted: up to {LONGEST_ADIABATIC:g} s"
        )
    return seconds


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


def adiabatic_area(i2t: float, factor: float = 115.0) -> float:
    """Smallest copper cross-section whose insulation survives a pulse.

    ``S = sqrt(I2t) / k``, S in mm2.

    Parameters
    ----------
    i2t : float
        Integral of the squared current over the pulse [A2 s], 0 or more.
    factor : float
        k [A s**0.5 / mm2], above 0; 115 for PVC.

    Returns
    -------
    float
        Cross-section [m2].

    Notes
    -----
    Pulses up to 5 s. Source: IEC 60364-5-54 / BS 7671 regulation 543.1.3.

    Examples
    --------
    >>> round(adiabatic_area(120.0 ** 2 * 0.4) * 1e6, 2)
    0.66
    """
    if not (i2t >= 0.0 and factor > 0.0):
        raise UsageError(f"pulse: {i2t:g} A2s with k = {factor:g}; accepted: 0 or more, and k above 0")
    return math.sqrt(i2t) / factor * 1e-6


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
