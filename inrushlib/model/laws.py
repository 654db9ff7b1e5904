"""Scalar laws of the parts, each with its slope, in SI.

A law returns ``(value, slope, ...)``: the slopes go into the Jacobian of the stepper, so they are
derived by hand and checked against differences in the tests. The equations are those of the
model notes in DEVELOPERS.md.
"""

from __future__ import annotations

from math import exp, log1p, tanh

from .compiled import compiled

# Beyond this many widths the smooth laws equal their limits to the last bit of a double.
FAR = 37.0

BODY_DROP = 0.7  # [V] body diode of a silicon switch; typical, from memory
BODY_WIDTH = 0.03  # [V]
BODY_RESISTANCE = 0.05  # [ohm]
TWO_PHI = 0.08  # [V] twice the smoothing voltage of the charge-sheet law, 40 mV
CLAMP_DROP = 0.6  # [V] pin clamp diode
CLAMP_WIDTH = 0.03  # [V]
CLAMP_RESISTANCE = 100.0  # [ohm] inside the controller's pin
DIODE_WIDTH = 0.03  # [V]
CHANNEL_WIDTH = 0.06  # [V]
WAKE_WIDTH = 0.08  # [V]
CHANNEL_SHARE = 0.03  # rounding of a channel's knee, as a share of its current
LIMIT_SHARE = 0.01  # rounding of an adapter's or regulator's limit, as a share of it
CORNER = 0.01  # [A] widest rounding of an adapter's lower corner: a wider one lifts its output when little is drawn
REGULATION_RESISTANCE = 0.05  # [ohm] of the controller's regulator
RAMP_WIDTH = 0.02  # [V] rounding where a load switch's ramp meets its input
COLD = 298.15  # [K] at which a limiter's cold resistance is stated
LOAD_WIDTH = 0.2  # [V] below which the controller's draw fades to nothing


@compiled
def soft(x, w):
    """Smooth ``max(x, 0)`` of width w; returns (value, slope)."""
    z = x / w
    if z > FAR:
        return x, 1.0
    if z < -FAR:
        return 0.0, 0.0
    if z > 0.0:
        e = exp(-z)
        return x + w * log1p(e), 1.0 / (1.0 + e)
    e = exp(z)
    return w * log1p(e), e / (1.0 + e)


@compiled
def least(a, b, w):
    """Smooth ``min(a, b)`` of width w; returns (value, slope to a, slope to b)."""
    d, s = soft(a - b, w)
    return a - d, 1.0 - s, s


@compiled
def rise(x, w):
    """Smooth step from 0 to 1 of width w; returns (value, slope)."""
    z = x / w
    if z > FAR:
        return 1.0, 0.0
    if z < -FAR:
        return 0.0, 0.0
    r = 1.0 / (1.0 + exp(-z))
    return r, r * (1.0 - r) / w


@compiled
def adapter_limit(v_o, top, foldback, foldback_current, knee):
    """Limit current [A] of an adapter at output voltage v_o [V]; returns (value, slope to v_o)."""
    if foldback:
        x = v_o / knee
        if x <= 0.0:
            return foldback_current, 0.0
        if x < 1.0:
            slope = (top - foldback_current) / knee
            return foldback_current + slope * v_o, slope
    return top, 0.0


@compiled
def adapter_current(v_ref, v_o, resistance, limit, limit_slope, w):
    """Regulated current [A] of an adapter; returns (value, slope to v_o, slope to v_ref)."""
    m, to_a, to_limit = least((v_ref - v_o) / resistance, limit, w)
    i, s = soft(m, min(w, CORNER))
    return i, s * (to_limit * limit_slope - to_a / resistance), s * to_a / resistance


@compiled
def channel(v_b, v_g, v_r, threshold, beta):
    """Channel current [A] of a P-channel switch, bus to root; returns (value, to v_b, v_g, v_r)."""
    a, sa = soft(v_b - v_g - threshold, TWO_PHI)
    b, sb = soft(v_r - v_g - threshold, TWO_PHI)
    to_b = beta * a * sa
    to_r = beta * b * sb
    return 0.5 * beta * (a * a - b * b), to_b, to_r - to_b, -to_r


@compiled
def load_switch(v_b, v_r, ramp, resistance, limit):
    """Current [A] of a load switch with a slewed output and a limit; returns (value, to v_b, v_r, ramp).

    The output follows the lower of ramp and input through the on-resistance, never backwards.
    """
    w = LIMIT_SHARE * limit
    target, to_b, to_ramp = least(v_b, ramp, RAMP_WIDTH)
    m, to_m, _ = least((target - v_r) / resistance, limit, w)
    i, s = soft(m, w)
    s *= to_m / resistance
    return i, s * to_b, -s, s * to_ramp


@compiled
def limiter(rise, cold, beta, ambient):
    """Resistance [ohm] of an NTC limiter ``rise`` [K] above ambient [K]; returns (value, slope)."""
    t = ambient + rise
    r = cold * exp(beta * (1.0 / t - 1.0 / COLD))
    return r, -r * beta / (t * t)


@compiled
def body(v_b, v_r):
    """Body diode current [A] of the switch, root to bus; returns (value, slope to v_r)."""
    i, s = soft(v_r - v_b - BODY_DROP, BODY_WIDTH)
    return i / BODY_RESISTANCE, s / BODY_RESISTANCE


@compiled
def pin_clamp(v_g, v_3, gate_resistance):
    """Clamp current [A] from the gate into the rail; returns (value, slope to v_g)."""
    i, s = soft(v_g - v_3 - CLAMP_DROP, CLAMP_WIDTH)
    r = CLAMP_RESISTANCE + gate_resistance
    return i / r, s / r


@compiled
def feed_current(v_in, v_h, resistance, diode, drop):
    """Current [A] into the controller's reservoir; returns (value, slope to v_in)."""
    if diode:
        i, s = soft(v_in - v_h - drop, DIODE_WIDTH)
        rest, _ = soft(-drop, DIODE_WIDTH)
        return (i - rest) / resistance, s / resistance
    return (v_in - v_h) / resistance, 1.0 / resistance


@compiled
def regulator(v_h, v_3, rail_voltage, dropout, dropout_resistance, limit):
    """Regulator current [A] into the rail; returns (value, slope to v_h, slope to v_3)."""
    w = LIMIT_SHARE * limit
    a = (rail_voltage - v_3) / REGULATION_RESISTANCE
    b = (v_h - v_3 - dropout) / dropout_resistance
    m, to_a, to_b = least(a, b, w)
    n, to_m, _ = least(m, limit, w)
    i, s = soft(n, w)
    s *= to_m
    to_h = s * to_b / dropout_resistance
    return i, to_h, -s * to_a / REGULATION_RESISTANCE - to_h


@compiled
def rail_load(v_3, current):
    """Current [A] that the controller draws from its rail; returns (value, slope to v_3)."""
    x = v_3 / LOAD_WIDTH
    if x > 20.0:
        return current, 0.0
    t = tanh(x)
    return current * t, current * (1.0 - t * t) / LOAD_WIDTH


@compiled
def colour_channel(v, forward, resistance, current):
    """Current [A] of one lit colour channel at supply v [V]; returns (value, slope)."""
    u, su = soft(v - forward, CHANNEL_WIDTH)
    i, to_u, _ = least(u / resistance, current, CHANNEL_SHARE * current)
    return i, to_u * su / resistance


@compiled
def pixel(v, duty_r, duty_g, duty_b, forward_r, forward_g, forward_b, resistance, current, quiescent, wake):
    """Supply current [A] of one pixel at v [V] and three duties; returns (value, slope)."""
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
