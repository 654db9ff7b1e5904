"""Temperature of a single wire in still air.

``wire_temperature``
    where Joule heat equals natural convection plus radiation
``cylinder_heat_loss``
    that heat, per metre
"""

from __future__ import annotations

import math

from inrushlib.copper.gauge import COPPER_RESISTIVITY
from inrushlib.errors import UsageError

STEFAN_BOLTZMANN = 5.670374e-8
EMISSIVITY = 0.9
"""Of plastic insulation (common practice, no source)."""
HOTTEST = 250.0
"""Beyond this [C] the answer is only that the insulation is gone."""


def cylinder_heat_loss(diameter: float, surface: float, ambient: float, emissivity: float = EMISSIVITY) -> float:
    """Heat that leaves a metre of horizontal cylinder in still air, by natural convection and radiation.

    ``q = pi * D * (Nu * k / D * (T - Ta) + emissivity * sigma * (T**4 - Ta**4))``, Nu by Churchill and Chu.

    Parameters
    ----------
    diameter : float
        Outer diameter [m], above 0.
    surface : float
        Surface temperature [C], ambient or more.
    ambient : float
        Temperature of air and walls [C].
    emissivity : float
        Of the surface [1], 0 to 1.

    Returns
    -------
    float
        Heat loss per length [W/m].

    Notes
    -----
    Rayleigh numbers up to 1e12. Sources: as :func:`wire_temperature`.

    Examples
    --------
    >>> round(cylinder_heat_loss(0.5e-3, 60.0, 25.0), 2)
    2.62
    """
    film = (surface + ambient) / 2.0 + 273.15
    # Air at the film temperature: power laws through tabulated values at 300 K (Incropera, table A.4).
    viscosity = 15.89e-6 * (film / 300.0) ** 1.75
    conductivity = 0.0263 * (film / 300.0) ** 0.85
    prandtl = 0.707
    rise = surface - ambient
    rayleigh = 9.81 / film * rise * diameter**3 / viscosity**2 * prandtl
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    radiated = emissivity * STEFAN_BOLTZMANN * ((surface + 273.15) ** 4 - (ambient + 273.15) ** 4)
    return float(math.pi * diameter * (nusselt * conductivity / diameter * rise + radiated))


def wire_temperature(current: float, area: float, ambient: float = 25.0, insulation: float = 0.0) -> float:
    """Temperature that a single wire settles at in still air.

    ``I**2 * R(T) = pi * D * (h(T) * (T - Ta) + emissivity * sigma * (T**4 - Ta**4))`` per metre, h by the
    correlation of Churchill and Chu for a horizontal cylinder, R by the IACS temperature line.

    Parameters
    ----------
    current : float
        Steady current [A], 0 or more.
    area : float
        Copper cross-section [m2], above 0.
    ambient : float
        Air temperature [C], -40 to 100.
    insulation : float
        Thickness of the insulation [m], 0 or more; its surface cools, its own resistance to heat is ignored.

    Returns
    -------
    float
        Temperature [C]; infinity where it would pass 250 C.

    Raises
    ------
    UsageError
        For a negative current, or an area that is not above 0.

    Notes
    -----
    One horizontal wire in free, still air. Bundled, coiled or boxed wire gets much hotter. Sources: Churchill
    and Chu (1975) and properties of air at 300 K as in Incropera, Fundamentals of Heat and Mass Transfer
    (both from memory).

    Examples
    --------
    >>> wire_temperature(0.0, 0.5e-6)
    25.0
    >>> 30.0 < wire_temperature(5.0, 0.5e-6) < 60.0
    True
    """
    if not (current >= 0.0 and area > 0.0 and -40.0 <= ambient <= 100.0 and insulation >= 0.0):
        raise UsageError(
            f"wire: {current:g} A in {area * 1e6:g} mm2 at {ambient:g} C; accepted: a current of 0"
            " or more, an area above 0, an ambient of -40 to 100 C"
        )
    if current == 0.0:
        return ambient
    diameter = math.sqrt(4.0 * area / math.pi) + 2.0 * insulation
    per_metre = COPPER_RESISTIVITY / area

    def surplus(celsius: float) -> float:
        resistance = per_metre * (234.5 + celsius) / 254.5
        return current**2 * resistance - cylinder_heat_loss(diameter, celsius, ambient)

    if surplus(HOTTEST) > 0.0:
        return math.inf
    low, high = ambient, HOTTEST
    while high - low > 1e-6:
        middle = (low + high) / 2.0
        low, high = (middle, high) if surplus(middle) > 0.0 else (low, middle)
    return (low + high) / 2.0
