"""Resistance of copper conductors.

``wire_resistance``
    a length of a given cross-section, at a temperature
``metric_resistance_per_metre``
    the largest resistance that IEC 60228 allows a metric size, by class
``at_temperature``
    a 20 C resistance moved to another temperature, by a named convention
``METRIC_RESISTANCE``
    the tables behind it, ohm/km by size in mm2
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from inrushlib.copper.gauge import COPPER_RESISTIVITY
from inrushlib.errors import UsageError

Convention = Literal["IACS", "IEC 60228"]

ZERO_RESISTANCE: Final[dict[str, float]] = {"IACS": 234.5, "IEC 60228": 230.0}
"""Degrees below 0 C at which the straight line reaches zero, by convention: 1 / 0.00393 - 20 = 234.5
(NBS Handbook 100), and the rounded 230 of the IEC 60228 correction table; they differ by up to 0.4 %."""

LOWEST_CELSIUS, HIGHEST_CELSIUS = -60.0, 250.0
"""Where the straight line is used [C] (range from memory)."""

METRIC_RESISTANCE: Final[dict[str, dict[float, float]]] = {
    # IEC 60228 Table 3, flexible conductors, as reproduced by two cable makers' tables that agree.
    "class 5 plain": {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95},
    "class 5 tinned": {0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21},
    # IEC 60228 Tables 1 and 2, solid and stranded, as reproduced by a cable maker's table.
    "class 1/2 plain": {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41},
    # DIN VDE 0295 sizes below 0.5 mm2; the class column is lost in the text they were read in.
    "small plain": {0.14: 134.0, 0.22: 96.0, 0.25: 76.0, 0.34: 53.0},
    "small tinned": {0.14: 138.0, 0.22: 99.0, 0.25: 79.0, 0.34: 56.0},
}
"""Largest resistance at 20 C [ohm/km] by size [mm2]: maxima, not typical values, and never minima."""


def at_temperature(resistance: float, celsius: float, convention: Convention = "IACS") -> float:
    """Resistance of copper at a temperature, from its resistance at 20 C.

    ``R = R20 * (z + t) / (z + 20)``, z = 234.5 (IACS) or 230 (IEC 60228).

    Parameters
    ----------
    resistance : float
        Resistance at 20 C [ohm, or ohm/m], 0 or more.
    celsius : float
        Temperature of the conductor [C], -60 to 250.
    convention : str
        "IACS" (alpha = 0.00393 / K at 20 C) or "IEC 60228".

    Returns
    -------
    float
        Resistance at the temperature [same unit].

    Raises
    ------
    UsageError
        For a temperature outside its range, or a convention that is not there.

    Notes
    -----
    Sources: NBS Handbook 100 "Copper Wire Tables" (1966); IEC 60228 annex, temperature correction.

    Examples
    --------
    >>> round(at_temperature(1.0, 75.0), 4), round(at_temperature(1.0, 75.0, "IEC 60228"), 4)
    (1.2161, 1.22)
    """
    if convention not in ZERO_RESISTANCE:
        raise UsageError(f"convention: {convention!r}; accepted: {' or '.join(ZERO_RESISTANCE)}")
    if not LOWEST_CELSIUS <= celsius <= HIGHEST_CELSIUS:
        raise UsageError(f"copper temperature: {celsius:g} C; accepted: {LOWEST_CELSIUS:g} to {HIGHEST_CELSIUS:g} C")
    zero = ZERO_RESISTANCE[convention]
    return resistance * (zero + celsius) / (zero + 20.0)


def wire_resistance(length: float, area: float, celsius: float = 20.0, convention: Convention = "IACS") -> float:
    """Resistance of one conductor of a length and cross-section.

    ``R = rho * length / area`` at 20 C, moved to temperature by :func:`at_temperature`. For a loop
    (supply and return) give twice the distance.

    Parameters
    ----------
    length : float
        Length of the conductor [m], 0 or more.
    area : float
        Copper cross-section [m2], above 0.
    celsius : float
        Temperature of the conductor [C], -60 to 250.
    convention : str
        Temperature convention, see :func:`at_temperature`.

    Returns
    -------
    float
        Resistance [ohm].

    Raises
    ------
    UsageError
        For a negative length, or an area that is not above 0.

    Notes
    -----
    Direct current; skin effect ignored. Source: NBS Handbook 100 (rho = 0.017241 ohm mm2/m at 20 C).

    Examples
    --------
    >>> round(wire_resistance(2 * 1.2, 0.5e-6) * 1e3, 2)
    82.76
    """
    if not (np.all(length >= 0.0) and np.all(area > 0.0)):
        shortest, thinnest = float(np.min(length)), float(np.min(area))
        raise UsageError(
            f"wire: {shortest:g} m of {thinnest * 1e6:g} mm2; accepted: a length of 0 or more, an area above 0"
        )
    return at_temperature(COPPER_RESISTIVITY * length / area, celsius, convention)


def metric_resistance_per_metre(size: float, table: str = "class 5 plain", celsius: float = 20.0) -> float:
    """Largest resistance per metre that the standard allows a conductor of a metric size.

    Parameters
    ----------
    size : float
        Nominal size [mm2], one of the table's: it is a name, not an area, and is not interpolated.
    table : str
        Key of ``METRIC_RESISTANCE``.
    celsius : float
        Temperature of the conductor [C], -60 to 250; moved by the IEC 60228 convention.

    Returns
    -------
    float
        Largest resistance [ohm/m].

    Raises
    ------
    UsageError
        For a size or a table that is not in the standard.

    Notes
    -----
    13-16 % above ideal copper of the nominal area for class 5. Source: IEC 60228 Tables 1-3.

    Examples
    --------
    >>> round(metric_resistance_per_metre(0.5) * 1e3, 3)
    39.0
    """
    if table not in METRIC_RESISTANCE:
        raise UsageError(f"conductor table: {table!r}; accepted: one of {', '.join(METRIC_RESISTANCE)}")
    sizes = METRIC_RESISTANCE[table]
    if size not in sizes:
        accepted = ", ".join(f"{each:g}" for each in sizes)
        raise UsageError(f"conductor size: {size:g} mm2; accepted: {accepted} mm2 ({table}, not interpolated)")
    return at_temperature(sizes[size] * 1e-3, celsius, "IEC 60228")
