"""The law of an inrush limiter, an NTC in series with the lead.

``limiter``  its resistance by its temperature
"""

from __future__ import annotations

from math import exp

from inrushlib.laws.constants import COLD


def limiter(rise: float, cold: float, beta: float, ambient: float) -> tuple[float, float]:
    """Resistance of an NTC limiter, and its slope.

    ``cold exp(beta (1 / T - 1 / 298.15 K))``, T being ``ambient + rise``.

    Parameters
    ----------
    rise : float
        Its temperature above ambient [K].
    cold : float
        Resistance at 25 degrees Celsius [ohm].
    beta : float
        Of its material [K].
    ambient : float
        Temperature around it [K], above 0.

    Returns
    -------
    tuple of float
        Resistance [ohm] and slope to the rise [ohm/K].

    Notes
    -----
    The beta law of the makers' application notes (from memory); it holds over some tens of kelvin.

    Examples
    --------
    >>> round(limiter(75.0, 5.0, 3000.0, 298.15)[0], 3)
    0.662
    """
    t = ambient + rise
    r = cold * exp(beta * (1.0 / t - 1.0 / COLD))
    return r, -r * beta / (t * t)
