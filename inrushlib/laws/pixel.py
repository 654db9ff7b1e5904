"""The pixel's laws.

``colour_channel``  one of its colours, fully lit
``pixel``           what it takes from the rail
"""

from __future__ import annotations

from inrushlib.laws.constants import CHANNEL_SHARE, CHANNEL_WIDTH, WAKE_WIDTH
from inrushlib.laws.smooth import least, rise, soft


def colour_channel(v: float, forward: float, resistance: float, current: float) -> tuple[float, float]:
    """Current of one fully lit colour channel, and its slope.

    ``least(soft(v - forward, 60 mV) / resistance, current, 3 % of current)``.

    Parameters
    ----------
    v : float
        Supply of the pixel [V].
    forward : float
        Forward voltage of the colour [V].
    resistance : float
        How gradually the channel fades [ohm], above 0.
    current : float
        Full current [A], above 0.

    Returns
    -------
    tuple of float
        Current [A] and slope [S].

    Examples
    --------
    >>> [round(colour_channel(v, 2.75, 80.0, 0.012)[0] * 1e3, 2) for v in (5.0, 2.85)]
    [12.0, 1.38]
    """
    u, su = soft(v - forward, CHANNEL_WIDTH)
    i, to_u, _ = least(u / resistance, current, CHANNEL_SHARE * current)
    return i, to_u * su / resistance


def pixel(
    v: float,
    duty_r: float,
    duty_g: float,
    duty_b: float,
    forward_r: float,
    forward_g: float,
    forward_b: float,
    resistance: float,
    current: float,
    quiescent: float,
    wake: float,
) -> tuple[float, float]:
    """Supply current of one pixel, and its slope.

    ``rise(v - wake, 80 mV) (quiescent + sum of duty_c i_c)``, i_c being :func:`colour_channel`.

    Parameters
    ----------
    v : float
        Its supply [V].
    duty_r, duty_g, duty_b : float
        Its colour [1], 0 to 1.
    forward_r, forward_g, forward_b : float
        Forward voltages [V].
    resistance : float
        How gradually a channel fades [ohm], above 0.
    current : float
        Of each fully lit channel [A]; above 0 where a duty is.
    quiescent : float
        Of the chip alone [A].
    wake : float
        At which the chip wakes [V].

    Returns
    -------
    tuple of float
        Current [A] and slope [S].

    Notes
    -----
    Never negative, and fades with the voltage: a constant-current pixel would not.

    Examples
    --------
    >>> [round(pixel(v, 1, 1, 1, 1.9, 2.75, 2.85, 80.0, 0.012, 0.0006, 2.0)[0] * 1e3, 3) for v in (5.0, 0.0)]
    [36.6, 0.0]
    """
    r, sr = rise(v - wake, WAKE_WIDTH)
    i = quiescent
    s = 0.0
    if duty_r > 0.0:
        a, sa = colour_channel(v, forward_r, resistance, current)
        i += duty_r * a
        s += duty_r * sa
    if duty_g > 0.0:
        a, sa = colour_channel(v, forward_g, resistance, current)
        i += duty_g * a
        s += duty_g * sa
    if duty_b > 0.0:
        a, sa = colour_channel(v, forward_b, resistance, current)
        i += duty_b * a
        s += duty_b * sa
    return r * i, sr * i + r * s
