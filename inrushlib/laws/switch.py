"""The laws of what stands between bus and panel.

``joint``             no switch
``channel``, ``body`` of a P-channel switch; through it flows their difference
``gain``              what its data sheet's on-resistance says of the channel
``load_switch``       a slewed output with a limit
``pin_clamp``         of a bare pin that drives the gate
"""

from __future__ import annotations

from inrushlib.laws.constants import (
    BODY_DROP,
    BODY_RESISTANCE,
    BODY_WIDTH,
    CLAMP_DROP,
    CLAMP_RESISTANCE,
    CLAMP_WIDTH,
    JOINT_RESISTANCE,
    LIMIT_SHARE,
    RAMP_WIDTH,
    TWO_PHI,
)
from inrushlib.laws.smooth import least, soft


def joint(v_b: float, v_r: float) -> tuple[float, float]:
    """Current through the joint that stands where there is no switch, and its slope.

    ``(v_b - v_r) / 2 mohm``.

    Parameters
    ----------
    v_b, v_r : float
        Bus and root [V].

    Returns
    -------
    tuple of float
        Current from bus to root [A] and slope to v_b [S]; that to v_r is its negative.

    Examples
    --------
    >>> joint(5.0, 4.998)[1]
    500.0
    """
    return (v_b - v_r) / JOINT_RESISTANCE, 1.0 / JOINT_RESISTANCE


def gain(on_resistance: float, drive: float, threshold: float) -> float:
    """Gain factor of a channel from its on-resistance at a gate drive.

    ``1 / (on_resistance (drive - threshold))``.

    Parameters
    ----------
    on_resistance : float
        At a small drop [ohm], above 0.
    drive : float
        Gate-source voltage at which it is stated [V], above the threshold.
    threshold : float
        Magnitude [V].

    Returns
    -------
    float
        Gain factor [A/V2].

    Examples
    --------
    >>> round(gain(0.04, 4.5, 0.9), 2)
    6.94
    """
    return 1.0 / (on_resistance * (drive - threshold))


def channel(v_b: float, v_g: float, v_r: float, threshold: float, beta: float) -> tuple[float, float, float, float]:
    """Channel current of a high-side P-channel switch, and its slopes.

    ``beta / 2 (soft(v_b - v_g - V_t, 2 phi)^2 - soft(v_r - v_g - V_t, 2 phi)^2)``, phi = 40 mV.

    Parameters
    ----------
    v_b, v_g, v_r : float
        Bus (source), gate and root (drain), to ground [V].
    threshold : float
        V_t, magnitude [V].
    beta : float
        Gain factor [A/V2], above 0; see :func:`gain`.

    Returns
    -------
    tuple of float
        Current from bus to root [A], slopes to v_b, v_g and v_r [S].

    Notes
    -----
    Charge-sheet interpolation with a slope factor of one (Enz, Krummenacher and Vittoz, 1995, from memory): one law
    from below the threshold through triode to saturation, symmetric when the current reverses.

    Examples
    --------
    >>> round(channel(5.0, 0.0, 4.9, 0.9, 6.94)[0], 3)
    2.811
    """
    a, sa = soft(v_b - v_g - threshold, TWO_PHI)
    b, sb = soft(v_r - v_g - threshold, TWO_PHI)
    to_b = beta * a * sa
    to_r = beta * b * sb
    return 0.5 * beta * (a * a - b * b), to_b, to_r - to_b, -to_r


def body(v_b: float, v_r: float) -> tuple[float, float]:
    """Body diode current of a P-channel switch, and its slope.

    ``soft(v_r - v_b - 0.7 V, 30 mV) / 50 mohm``.

    Parameters
    ----------
    v_b, v_r : float
        Bus and root [V].

    Returns
    -------
    tuple of float
        Current from root to bus [A] and slope to v_r [S]; that to v_b is its negative.

    Examples
    --------
    >>> round(body(0.0, 1.7)[0], 3), body(5.0, 4.0)
    (20.0, (0.0, 0.0))
    """
    i, s = soft(v_r - v_b - BODY_DROP, BODY_WIDTH)
    return i / BODY_RESISTANCE, s / BODY_RESISTANCE


def load_switch(
    v_b: float, v_r: float, ramp: float, resistance: float, limit: float
) -> tuple[float, float, float, float]:
    """Current of a load switch with a slewed output and a limit, and its slopes.

    ``soft(least((least(v_b, ramp, 20 mV) - v_r) / resistance, limit, w), w)``, w = 1 % of the limit: the output
    follows the lower of ramp and input through the on-resistance, never backwards.

    Parameters
    ----------
    v_b, v_r : float
        Bus and root [V].
    ramp : float
        Where its slewed output would be [V].
    resistance : float
        On-resistance [ohm], above 0.
    limit : float
        Current limit [A], above 0.

    Returns
    -------
    tuple of float
        Current from bus to root [A], slopes to v_b, v_r and ramp [S].

    Examples
    --------
    >>> [round(load_switch(5.0, v_r, 5.5, 0.1, 2.0)[0], 3) for v_r in (4.9, 0.0, 5.2)]
    [1.0, 2.0, 0.0]
    """
    w = LIMIT_SHARE * limit
    target, to_b, to_ramp = least(v_b, ramp, RAMP_WIDTH)
    m, to_m, _ = least((target - v_r) / resistance, limit, w)
    i, s = soft(m, w)
    s *= to_m / resistance
    return i, s * to_b, -s, s * to_ramp


def pin_clamp(v_g: float, v_3: float, gate_resistance: float) -> tuple[float, float]:
    """Current through the clamp of a pin that drives the gate, and its slope.

    ``soft(v_g - v_3 - 0.6 V, 30 mV) / (100 ohm + gate_resistance)``.

    Parameters
    ----------
    v_g, v_3 : float
        Gate, to ground, and the controller's rail [V].
    gate_resistance : float
        Between pin and gate [ohm], 0 or more.

    Returns
    -------
    tuple of float
        Current from gate to rail [A] and slope to v_g [S]; that to v_3 is its negative.

    Examples
    --------
    >>> round(pin_clamp(5.0, 3.3, 1000.0)[0], 6)
    0.001
    """
    i, s = soft(v_g - v_3 - CLAMP_DROP, CLAMP_WIDTH)
    r = CLAMP_RESISTANCE + gate_resistance
    return i / r, s / r
