"""The controller's laws.

``feed_current``  from the bus, or its own supply, into its reservoir, through a diode or not
``regulator``     from the reservoir into its rail
``rail_load``     what it draws
"""

from __future__ import annotations

from math import copysign, exp

from inrushlib.laws.constants import DIODE_WIDTH, LIMIT_SHARE, LOAD_WIDTH, REGULATION_RESISTANCE
from inrushlib.laws.smooth import least, soft


def feed_current(v_in: float, v_h: float, resistance: float, diode: bool, drop: float) -> tuple[float, float]:
    """Current into the controller's reservoir, and its slope.

    ``(v_in - v_h) / resistance`` without a diode;
    ``(soft(v_in - v_h - drop, 30 mV) - soft(-drop, 30 mV)) / resistance`` with one.

    Parameters
    ----------
    v_in, v_h : float
        What feeds it, and the reservoir [V].
    resistance : float
        Of the feed [ohm], above 0.
    diode : bool
        Whether a diode stands in it [1].
    drop : float
        Of the diode [V], 0 or more.

    Returns
    -------
    tuple of float
        Current [A] and slope to v_in [S]; that to v_h is its negative.

    Notes
    -----
    What is taken off with a diode lets no current flow without a voltage.

    Examples
    --------
    >>> [round(feed_current(5.0, 4.5, 0.1, diode, 0.3)[0], 3) for diode in (False, True)]
    [5.0, 2.0]
    >>> round(feed_current(4.0, 4.5, 0.1, True, 0.3)[0], 3)
    -0.0
    """
    if diode:
        i, s = soft(v_in - v_h - drop, DIODE_WIDTH)
        rest, _ = soft(-drop, DIODE_WIDTH)
        return (i - rest) / resistance, s / resistance
    return (v_in - v_h) / resistance, 1.0 / resistance


def regulator(
    v_h: float, v_3: float, rail_voltage: float, dropout: float, dropout_resistance: float, limit: float
) -> tuple[float, float, float]:
    """Current of the controller's regulator, and its slopes.

    ``soft(least(least(a, b, w), limit, w), w)`` with ``a = (rail_voltage - v_3) / 50 mohm``,
    ``b = (v_h - v_3 - dropout) / dropout_resistance`` and w = 1 % of the limit.

    Parameters
    ----------
    v_h, v_3 : float
        Reservoir and rail [V].
    rail_voltage : float
        That it regulates to [V].
    dropout : float
        Least voltage across it [V].
    dropout_resistance : float
        By which that grows with the current [ohm], above 0.
    limit : float
        Current limit [A], above 0.

    Returns
    -------
    tuple of float
        Current into the rail [A], slopes to v_h and v_3 [S].

    Notes
    -----
    Never backwards. Source: a linear regulator's three regions (regulation, dropout, current limit) as data sheets show
    them, joined smoothly; 50 mohm and 1 % are common practice, no source.

    Examples
    --------
    >>> [round(regulator(v_h, v_3, 3.3, 0.08, 0.3, 0.6)[0], 3) for v_h, v_3 in ((5.0, 3.28), (2.2, 2.0), (5.0, 1.0))]
    [0.4, 0.4, 0.6]
    """
    w = LIMIT_SHARE * limit
    a = (rail_voltage - v_3) / REGULATION_RESISTANCE
    b = (v_h - v_3 - dropout) / dropout_resistance
    m, to_a, to_b = least(a, b, w)
    n, to_m, _ = least(m, limit, w)
    i, s = soft(n, w)
    s *= to_m
    to_h = s * to_b / dropout_resistance
    return i, to_h, -s * to_a / REGULATION_RESISTANCE - to_h


def rail_load(v_3: float, current: float) -> tuple[float, float]:
    """Current that the controller draws, and its slope.

    ``current tanh(v_3 / 0.2 V)``.

    Parameters
    ----------
    v_3 : float
        Its rail [V]; the steady panel takes the bus.
    current : float
        Drawn at full voltage [A].

    Returns
    -------
    tuple of float
        Current [A] and slope [S].

    Examples
    --------
    >>> rail_load(5.0, 0.08)
    (0.08, 0.0)
    """
    x = v_3 / LOAD_WIDTH
    if x > 20.0:
        return current, 0.0
    # tanh by its exponential, which the slope takes too.
    e = exp(-2.0 * abs(x))
    share = 1.0 / (1.0 + e)
    t = copysign((1.0 - e) * share, x)
    return current * t, current * 4.0 * e * share * share / LOAD_WIDTH
