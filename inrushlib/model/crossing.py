"""Where, inside a step, the first condition is met: on the dense output, not on end points alone.

``find``    the earliest share of the step at which anything switches, and which conditions do
``apply``   those conditions take effect

Each voltage is a cubic inside a step, so its turning points are known and no excursion beyond a
level between the end points is lost. Conditions met within a picosecond of the earliest count as met with it.
"""

from __future__ import annotations

from math import inf, sqrt

from inrushlib.laws.constants import OVER_SHARE

from . import firmware as fw
from . import layout as at
from . import switching as sw
from .circuit import reference_voltage
from .compiled import compiled, inlined
from .stepper import interpolate_one

HYSTERESIS = 1e-7  # [V] so that rounding cannot toggle a lump or a rail that has just crossed
BISECTIONS = 60


@compiled
def turning_points(y0, y1, c1, c2):
    """Shares at which the interpolant turns, in order; 2 stands for none."""
    # v(x) = y0 + (y1 - y0 + c1) x + (c2 - c1) x^2 - c2 x^3
    a = -3.0 * c2
    b = 2.0 * (c2 - c1)
    c = y1 - y0 + c1
    disc = b * b - 4.0 * a * c
    if disc <= 0.0:
        return 2.0, 2.0
    root = -0.5 * (b + (sqrt(disc) if b >= 0.0 else -sqrt(disc)))
    x1 = 2.0
    x2 = 2.0
    if root != 0.0:
        x1 = c / root
    if a != 0.0:
        x2 = root / a
    if not (x1 > 0.0 and x1 < 1.0):
        x1 = 2.0
    if not (x2 > 0.0 and x2 < 1.0):
        x2 = 2.0
    return min(x1, x2), max(x1, x2)


@inlined
def largest(y0, y1, c1, c2, end):
    """Largest value of the interpolant between shares 0 and ``end``."""
    top = max(y0, interpolate_one(end, y0, y1, c1, c2))
    if top + 0.25 * abs(c1) + 0.15 * abs(c2) + abs(y1 - y0) <= top:
        return top
    x1, x2 = turning_points(y0, y1, c1, c2)
    if x1 < end:
        top = max(top, interpolate_one(x1, y0, y1, c1, c2))
    if x2 < end:
        top = max(top, interpolate_one(x2, y0, y1, c1, c2))
    return top


@compiled
def first_crossing(y0, y1, c1, c2, level, up):
    """Earliest share at which the interpolant reaches ``level`` from below (up = 1) or above (-1)."""
    g0 = up * (y0 - level)
    g1 = up * (y1 - level)
    if g0 >= 0.0:
        return 0.0
    if g1 < 0.0 and max(g0, g1) + 0.25 * abs(c1) + 0.15 * abs(c2) < 0.0:
        return inf
    x1, x2 = turning_points(y0, y1, c1, c2)
    left = 0.0
    for i in range(3):
        right = min(1.0, x1 if i == 0 else (x2 if i == 1 else 1.0))
        if up * (interpolate_one(right, y0, y1, c1, c2) - level) >= 0.0:
            for _ in range(BISECTIONS):
                mid = 0.5 * (left + right)
                if mid <= left or mid >= right:
                    break
                if up * (interpolate_one(mid, y0, y1, c1, c2) - level) >= 0.0:
                    right = mid
                else:
                    left = mid
            return right
        left = right
        if right >= 1.0:
            break
    return inf


@inlined
def over_margin_at(share, t, h, y, y_new, dense, p, m):
    """Margin of the adapter's over flag at a share of the step, positive once it must flip [A]."""
    v_ref, _ = reference_voltage(t + share * h, p, m)
    v_o = interpolate_one(share, y[at.V_O], y_new[at.V_O], dense[0, at.V_O], dense[1, at.V_O])
    margin = sw.over_margin(v_ref, v_o, p, m)
    if m[at.OVER] > 0.0:
        return -margin - 1e-12
    return margin


@inlined
def next_turn(left, x):
    """The turning point x if it lies ahead, else the end of the step."""
    return x if left < x < 1.0 else 1.0


@compiled
def first_over(t, h, y, y_new, dense, p, m):
    """Earliest share at which the adapter's over flag flips, or infinity."""
    if m[at.ON] == 0.0:
        return inf
    # The flag follows v_ref - v_o, a cubic; with foldback the limit moves with v_o too.
    _, ramp = reference_voltage(t, p, m)
    y0 = y[at.V_O]
    y1 = y_new[at.V_O]
    c1 = dense[0, at.V_O]
    c2 = dense[1, at.V_O]
    x1, x2 = turning_points(-y0, ramp * h - y1, -c1, -c2)
    x3 = 2.0
    x4 = 2.0
    if p.adapter_folds > 0.0:
        slope = (p.adapter_limit_current - p.adapter_foldback_current) / p.adapter_foldback_knee
        k = 1.0 + OVER_SHARE * p.adapter_output_resistance * slope
        x3, x4 = turning_points(-k * y0, ramp * h - k * y1, -k * c1, -k * c2)
    left = 0.0
    while left < 1.0:
        right = min(next_turn(left, x1), next_turn(left, x2), next_turn(left, x3), next_turn(left, x4))
        if over_margin_at(right, t, h, y, y_new, dense, p, m) >= 0.0:
            for _ in range(BISECTIONS):
                mid = 0.5 * (left + right)
                if mid <= left or mid >= right:
                    break
                if over_margin_at(mid, t, h, y, y_new, dense, p, m) >= 0.0:
                    right = mid
                else:
                    left = mid
            return right
        left = right
    return inf


@inlined
def first_of(j, level, up, y, y_new, dense):
    """First crossing of state j."""
    return first_crossing(y[j], y_new[j], dense[0, j], dense[1, j], level, up)


@compiled
def find(t, h, y, y_new, dense, p, m, q, shares):
    """Fill shares (adapter, rail, then two a lump) and return the earliest; infinity for none."""
    count = q.shape[0]
    shares[0] = first_over(t, h, y, y_new, dense, p, m)
    if m[at.STATE] != at.RESET:
        shares[1] = first_of(at.V_3, p.controller_brownout_falling, -1.0, y, y_new, dense)
    elif m[at.RELEASE_AT] == inf:
        shares[1] = first_of(at.V_3, p.controller_brownout_rising, 1.0, y, y_new, dense)
    else:
        shares[1] = first_of(at.V_3, p.controller_brownout_rising - HYSTERESIS, -1.0, y, y_new, dense)
    earliest = min(shares[0], shares[1])
    for k in range(count):
        j = at.CORE + k
        if q[k, at.HEARS] == at.BELOW:
            shares[2 + k] = first_of(j, p.pixel_listen_voltage, 1.0, y, y_new, dense)
        else:
            shares[2 + k] = first_of(j, p.pixel_listen_voltage - HYSTERESIS, -1.0, y, y_new, dense)
        shares[2 + count + k] = inf
        if q[k, at.SHOWS] != at.SHOWS_POWER_ON:
            shares[2 + count + k] = first_of(j, p.pixel_forget_voltage, -1.0, y, y_new, dense)
        earliest = min(earliest, shares[2 + k], shares[2 + count + k])
    return earliest


@compiled
def apply(t, met, shares, p, s, m, q, log):
    """Let every condition take effect whose share is at most ``met``."""
    count = q.shape[0]
    if shares[0] <= met:
        sw.cross_over(t, p, m, log)
    if shares[1] <= met:
        if m[at.STATE] != at.RESET:
            fw.brown_out(t, p, m, log)
        elif m[at.RELEASE_AT] == inf:
            fw.rail_up(t, p, m, log)
        else:
            fw.rail_dip(t, m, log)
    for k in range(count):
        if shares[2 + k] <= met:
            fw.cross_listen(t, k, p, s, m, q, log)
        if shares[2 + count + k] <= met:
            fw.forget(t, k, m, q, log)
