"""The circuit's equations a second time, written from the description and not from the library.

Plain numpy on a build's own values. Everything also takes complex states, so that the slope of
anything here is ``imag(f(x + 1e-30j)) / 1e-30``, exact to the last digits: no differences needed.

``right_hand_side``, ``mass_matrix``, ``slopes``
    ``C dy/dt = f``, C, and df/dy
``Mode``
    what is switched how
``soft``, ``least``, ``rise``, ``limit_current``, ``adapter_current``, ``channel_current``, ...
    one law each
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import ceil

import numpy as np

TINY = 1e-30
CORE = 10


@dataclass
class Mode:
    """What is switched how, at one instant."""

    on: bool
    t_on: float
    top: float
    gate_low: bool
    load: float
    duties: list[tuple[float, float, float]]
    low_since: float = 0.0  # when the gate went low: from then on a load switch's output rises


def soft(x, w):
    """w ln(1 + exp(x / w)), arranged so that nothing overflows."""
    if not np.iscomplexobj(x):
        return w * np.logaddexp(0.0, x / w)
    positive = np.real(x) > 0
    return np.where(positive, x, 0.0) + w * np.log1p(np.exp(np.where(positive, -x, x) / w))


def least(a, b, w):
    return a - soft(a - b, w)


def rise(x, w):
    return 0.5 * (1.0 + np.tanh(0.5 * x / w))


def clip(x):
    """0 to 1."""
    return np.where(np.real(x) < 0, 0.0, np.where(np.real(x) > 1, 1.0, x))


def limit_current(v_o, top, style, foldback_current, knee):
    if style != "foldback":
        return top + 0.0 * v_o
    return foldback_current + (top - foldback_current) * clip(v_o / knee)


def adapter_current(v_ref, v_o, resistance, limit, width):
    return soft(least((v_ref - v_o) / resistance, limit, width), min(width, 0.010))


def channel_current(v_b, v_g, v_r, threshold, on_resistance, drive):
    beta = 1.0 / (on_resistance * (drive - threshold))
    phi = 0.040
    source = soft(v_b - v_g - threshold, 2 * phi)
    drain = soft(v_r - v_g - threshold, 2 * phi)
    return beta / 2 * (source**2 - drain**2)


def body_current(v_b, v_r):
    return soft(v_r - v_b - 0.7, 0.030) / 0.050


def clamp_current(v_g, v_3, gate_resistance):
    return soft(v_g - v_3 - 0.6, 0.030) / (100.0 + gate_resistance)


def feed_current(v_in, v_h, resistance, diode, drop):
    if not diode:
        return (v_in - v_h) / resistance
    return (soft(v_in - v_h - drop, 0.030) - soft(-drop, 0.030)) / resistance


def regulator_current(v_h, v_3, rail_voltage, dropout, dropout_resistance, limit):
    a = (rail_voltage - v_3) / 0.050
    b = (v_h - v_3 - dropout) / dropout_resistance
    w = 0.01 * limit
    return soft(least(least(a, b, w), limit, w), w)


def load_current(v_3, current):
    return current * np.tanh(v_3 / 0.2)


def pixel_current(v, duties, forward_voltages, resistance, channel, quiescent, wake):
    total = quiescent
    for duty, forward in zip(duties, forward_voltages, strict=True):
        u = soft(v - forward, 0.060) / resistance
        total = total + duty * least(u, channel, 0.03 * channel)
    return rise(v - wake, 0.080) * total


def limiter_resistance(rise_kelvin, cold, beta, ambient):
    return cold * np.exp(beta * (1.0 / (ambient + rise_kelvin) - 1.0 / 298.15))


def load_switch_current(v_b, v_r, ramp, resistance, limit):
    w = 0.01 * limit
    return soft(least((least(v_b, ramp, 0.020) - v_r) / resistance, limit, w), w)


def _switch(build, mode, t, v_b, v_g, v_r, v_3):
    """Bus to root, bus to gate, gate to rail, gate to ground [A]."""
    sw = build.switch
    zero = 0.0 * v_b
    if sw is not None and sw.kind == "load-switch":
        if not mode.gate_low:
            return zero, zero, zero, zero
        ramp = sw.slew_rate * (t - mode.low_since)
        return load_switch_current(v_b, v_r, ramp, sw.on_resistance, sw.current_limit), zero, zero, zero
    if sw is None:
        return (v_b - v_r) / 0.002, zero, zero, zero
    i_ch = channel_current(v_b, v_g, v_r, sw.threshold_voltage, sw.on_resistance, sw.on_resistance_drive)
    clamp = clamp_current(v_g, v_3, sw.gate_resistance) if sw.gate_driver == "pin" else zero
    low = v_g / sw.gate_resistance if mode.gate_low else zero
    return i_ch - body_current(v_b, v_r), (v_b - v_g) / sw.pullup_resistance, clamp, low


@dataclass
class Lumps:
    """Pixels and section of each lump, and where each feed lands and each section is read."""

    pixels: list[float]
    section: list[int]
    fed: list[int]
    centre: list[int]


def counts(build):
    """Lumps of each section, the extra ones beside a feed left out."""
    w = build.wiring
    if w.lumps != "auto":
        return list(w.lumps)
    colours = [build.pixel.power_on, build.firmware.first_frame]
    colours += [build.firmware.content] if build.firmware.content_delay is not None else []
    full = build.pixel.quiescent_current + build.pixel.channel_current * max(map(sum, colours))
    found = []
    for n in w.pixels_per_section:
        allowed = [q for q in range(1, 100, 2) if q <= n and q * w.sections <= 300] or [1]
        enough = [q for q in allowed if w.rail_resistance * n**2 * full / (8 * q**2) <= 10e-3]
        found.append(enough[0] if enough else allowed[-1])
    return found


@cache
def lumps(build):
    """How the sections are cut, in units of a pixel's pitch and exact."""
    w = build.wiring
    found = Lumps([], [], [-1] * len(w.feeds), [])
    for k, (n, q) in enumerate(zip(w.pixels_per_section, counts(build), strict=True)):
        bounds = [Fraction(n * i, q) for i in range(q + 1)]
        feed = w.feed_pixels[w.feeds.index(k)] if k in w.feeds else None
        if q > 1 and feed is not None and feed != n // 2:
            left, right = ceil(Fraction(q * feed, n)), ceil(Fraction(q * (n - 1 - feed), n))
            bounds = [Fraction(feed * i, left) for i in range(left)] + [Fraction(feed)]
            bounds += [feed + 1 + Fraction((n - 1 - feed) * i, right) for i in range(right)] + [Fraction(n)]
            bounds = sorted(set(bounds))
        base = len(found.pixels)
        # The later of two lumps that share a boundary: the last one that begins at the point or before it.
        where = lambda pixel, at=bounds[:-1]: bisect_right(at, pixel + Fraction(1, 2)) - 1  # noqa: E731
        if feed is not None:
            found.fed[w.feeds.index(k)] = base + where(feed)
        found.centre.append(base + where(n // 2))
        found.pixels += [float(b - a) for a, b in pairwise(bounds)]
        found.section += [k] * (len(bounds) - 1)
    return found


def _sections(build, mode, v_r, v):
    """Net current [A] into each lump, and all that the feeds take from the root."""
    w, x = build.wiring, build.pixel
    cut = lumps(build)
    count = len(cut.pixels)
    tall = (-1,) + (1,) * (v.ndim - 1)
    # All lumps at once: a channel's duties and the pixel counts stand in columns.
    duties = [np.reshape(column, tall) for column in zip(*mode.duties, strict=True)]
    pixel = pixel_current(
        v, duties, x.forward_voltages, x.channel_resistance, x.channel_current, x.quiescent_current, x.wake_voltage
    )
    net = -np.reshape(cut.pixels, tall) * pixel
    for k in range(count - 1):
        resistance = w.rail_resistance * (cut.pixels[k] + cut.pixels[k + 1]) / 2
        if cut.section[k] != cut.section[k + 1]:
            resistance += w.hop_resistance[cut.section[k]]
        i = (v[k] - v[k + 1]) / resistance
        net[k] -= i
        net[k + 1] += i
    drawn = 0.0
    for k, resistance in zip(cut.fed, w.feed_resistance, strict=True):
        i = (v_r - v[k]) / resistance
        net[k] += i
        drawn = drawn + i
    return net, drawn


def right_hand_side(build, mode, t, y):
    """f of ``C dy/dt = f``, state first in the order of the description."""
    v_o, i_l, v_b, v_bb, v_g, v_r, v_rb, v_h, v_3, rise_kelvin = y[:CORE]
    a, c = build.adapter, build.controller
    i_reg = 0.0
    if mode.on:
        v_ref = a.rated_voltage * clip((t - mode.t_on) / a.soft_start)
        limit = limit_current(v_o, mode.top, a.limit_style, a.foldback_current, a.foldback_knee)
        i_reg = adapter_current(v_ref, v_o, a.output_resistance, limit, 0.01 * a.limit_current)
    own = c.feed == "own"
    v_in = c.own_voltage * clip(t / 1e-3) if own else v_b
    i_ctrl = feed_current(v_in, v_h, c.feed_resistance, c.feed_diode, c.diode_drop)
    i_reg3 = regulator_current(v_h, v_3, c.rail_voltage, c.dropout_voltage, c.dropout_resistance, c.regulator_limit)
    i_bb = (v_b - v_bb) / build.bus.bulk_esr if build.bus.bulk > 0 else 0.0 * v_b
    i_rb = (v_r - v_rb) / build.panel.bulk_esr if build.panel.bulk > 0 else 0.0 * v_r
    i_sw, i_pull, i_clamp, i_low = _switch(build, mode, t, v_b, v_g, v_r, v_3)
    net, drawn = _sections(build, mode, v_r, y[CORE:])
    ntc, heating = 0.0, 0.0 * rise_kelvin
    if build.limiter is not None:
        x = build.limiter
        ntc = limiter_resistance(rise_kelvin, x.cold_resistance, x.beta, x.ambient + 273.15)
        heating = ntc * i_l**2 - x.dissipation * rise_kelvin
    return np.array(
        [
            i_reg - v_o / a.bleed_resistance - i_l,
            v_o - v_b - (build.lead.resistance + ntc) * i_l,
            i_l - i_bb - (0.0 if own else i_ctrl) - i_sw - i_pull,
            i_bb,
            i_pull - i_clamp - i_low,
            i_sw - i_rb - drawn,
            i_rb,
            i_ctrl - i_reg3,
            i_reg3 + i_clamp - load_current(v_3, mode.load),
            heating,
            *net,
        ]
    )


def mass_matrix(build):
    """C. A state that does not exist (no bulk, no gate, no limiter) stands still; it is given 1."""
    w = build.wiring
    gated = build.switch is not None and build.switch.kind == "p-channel"
    gs = build.switch.gate_source_capacitance if gated else 0.0
    gd = build.switch.gate_drain_capacitance if gated else 0.0
    c = np.diag(
        [
            build.adapter.output_capacitance, build.lead.inductance,
            build.bus.ceramic + gs, build.bus.bulk or 1.0,
            gs + gd if gated else 1.0,
            build.panel.ceramic + gd, build.panel.bulk or 1.0,
            build.controller.reservoir, build.controller.rail_capacitance,
            build.limiter.heat_capacity if build.limiter else 1.0,
            *(n * w.capacitance_per_pixel for n in lumps(build).pixels),
        ]
    )  # fmt: skip
    c[2, 4] = c[4, 2] = -gs
    c[4, 5] = c[5, 4] = -gd
    return c


def slopes(build, mode, t, y):
    """df/dy, dense, by complex steps; exact to rounding."""
    n = len(y)
    return right_hand_side(build, mode, t, y[:, None] + TINY * 1j * np.eye(n)).imag / TINY


def slope(function, x):
    """Slope of a scalar law at x, by a complex step; exact to rounding."""
    return float(np.imag(function(x + TINY * 1j)) / TINY)
