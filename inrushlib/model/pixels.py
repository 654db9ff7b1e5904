"""The pixels' currents, several lumps in one instruction: the twin of the scalar law in :mod:`inrushlib.laws.pixel`.

``side_by_side``  the current of one pixel of each lump, and its slope
``dark``          the same where no lump shows any colour
``bend``          what the smooth laws are made of, without a call and without a branch
``padded``        how many lumps' room the work arrays should have

Most of a start-up's time would go to exponentials and logarithms: seven and six to a pixel. Those of the mathematics
library take one number at a time; what stands here the compiler lays side by side. ``tests/model/test_pixels.py``
holds it to the scalar law.
"""

from __future__ import annotations

from inrushlib.laws.constants import CHANNEL_SHARE, CHANNEL_WIDTH, WAKE_WIDTH
from inrushlib.laws.smooth import FAR

from . import layout as at
from .compiled import compiled, fused

LANES = 8  # numbers in one instruction, on the widest of today's machines
FEW = 3  # lumps; fewer than these each take the scalar law, which leaves out what is dark or far from its bends

LN_2 = 0.6931471805599453
HALVED = 0.41421356237309503  # sqrt(2) - 1: above it the logarithm is taken of half its argument


def padded(count: int) -> int:
    """Room for ``count`` lumps that fills whole instructions."""
    return count if count < FEW else -(-count // LANES) * LANES


@fused
def decay(t):
    """``exp(-t)`` for t from 0 to FAR: its series at t/128, squared seven times. To 1e-14 of 1."""
    r = t * (-1.0 / 128.0)
    r2 = r * r
    r4 = r2 * r2
    first = (1.0 + r) + r2 * (1.0 / 2.0 + r * (1.0 / 6.0))
    second = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5040.0))
    e = first + r4 * second
    e *= e
    e *= e
    e *= e
    e *= e
    e *= e
    e *= e
    return e * e


@fused
def bend(z):
    """``ln(1 + exp(z))`` and its slope: :func:`inrushlib.laws.smooth.soft` of width 1.

    The logarithm is ``2 artanh(x / (2 + x))``, x = exp(-|z|), whose series converges by 34 each term.
    """
    e = decay(min(abs(z), FAR))
    halved = e > HALVED
    above = e - 1.0 if halved else e
    below = e + 3.0 if halved else e + 2.0
    inverse = 1.0 / (below * (1.0 + e))
    high = below * inverse
    x = above * (1.0 + e) * inverse
    x2 = x * x
    x4 = x2 * x2
    first = (1.0 / 3.0 + x2 * (1.0 / 5.0)) + x4 * (1.0 / 7.0 + x2 * (1.0 / 9.0))
    second = (1.0 / 11.0 + x2 * (1.0 / 13.0)) + x4 * (1.0 / 15.0)
    series = first + x4 * x4 * second
    logarithm = (LN_2 if halved else 0.0) + 2.0 * (x + x * x2 * series)
    return max(z, 0.0) + logarithm, high if z > 0.0 else e * high


@fused
def channel(v, forward, conductance, current, per_width):
    """:func:`inrushlib.laws.pixel.colour_channel`, without a branch; ``per_width`` [1/A] is one over its knee."""
    over, over_slope = bend((v - forward) * (1.0 / CHANNEL_WIDTH))
    u = over * CHANNEL_WIDTH * conductance
    excess, excess_slope = bend((u - current) * per_width)
    return u - CHANNEL_SHARE * current * excess, (1.0 - excess_slope) * over_slope * conductance


@fused
def awake(v, wake):
    """:func:`inrushlib.laws.smooth.rise` of the chip's waking, without a branch."""
    z = (v - wake) * (1.0 / WAKE_WIDTH)
    e = decay(min(abs(z), FAR))
    high = 1.0 / (1.0 + e)
    return high if z > 0.0 else e * high, e * high * high * (1.0 / WAKE_WIDTH)


@fused
def duty(shows, power_on, first, content):
    """Duty of one colour by what a lump shows."""
    return power_on if shows == at.SHOWS_POWER_ON else (first if shows == at.SHOWS_FIRST else content)


@compiled
def side_by_side(v, p, current, slope):
    """Fill ``current`` [A] and ``slope`` [S]: of one pixel of each lump, at the lumps' voltages v.

    On entry ``current`` holds what each lump shows. All three are as long as v, best a multiple of LANES.
    """
    colours, forward = p.colours, p.pixel_forward_voltages
    full, wake, quiescent = p.pixel_channel_current, p.pixel_wake_voltage, p.pixel_quiescent_current
    conductance, per_width = 1.0 / p.pixel_channel_resistance, 1.0 / (CHANNEL_SHARE * p.pixel_channel_current)
    r0, g0, b0 = colours[0, 0], colours[0, 1], colours[0, 2]
    r1, g1, b1 = colours[1, 0], colours[1, 1], colours[1, 2]
    r2, g2, b2 = colours[2, 0], colours[2, 1], colours[2, 2]
    red, green, blue = forward[0], forward[1], forward[2]
    for k in range(v.shape[0]):
        shows = current[k]
        i_r, s_r = channel(v[k], red, conductance, full, per_width)
        i_g, s_g = channel(v[k], green, conductance, full, per_width)
        i_b, s_b = channel(v[k], blue, conductance, full, per_width)
        d_r, d_g, d_b = duty(shows, r0, r1, r2), duty(shows, g0, g1, g2), duty(shows, b0, b1, b2)
        on, waking = awake(v[k], wake)
        drawn = quiescent + d_r * i_r + d_g * i_g + d_b * i_b
        current[k] = on * drawn
        slope[k] = waking * drawn + on * (d_r * s_r + d_g * s_g + d_b * s_b)


@compiled
def dark(v, p, current, slope):
    """Do what :func:`side_by_side` says where no lump shows any colour: the chips alone."""
    wake, quiescent = p.pixel_wake_voltage, p.pixel_quiescent_current
    for k in range(v.shape[0]):
        on, waking = awake(v[k], wake)
        current[k] = on * quiescent
        slope[k] = waking * quiescent
