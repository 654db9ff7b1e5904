"""The circuit's equations ``C dy/dt = f(t, y)`` with their slopes.

``derivative``
    f, and the slopes that the linear solve needs
``reference_voltage``
    the adapter's ramp, which known instants divide into straight pieces
``masses``, ``add_mass_product``, ``mass_product``
    the diagonal of C, and ``C x``: the gate capacitances couple bus, gate and root

The slopes come as a short list, not as a matrix: :mod:`inrushlib.model.linear` knows the network.
"""

from __future__ import annotations

from math import inf

from inrushlib.laws.constants import LIMIT_SHARE, OWN_RAMP

from . import laws
from . import layout as at
from .compiled import compiled, fused, inlined
from .pixels import FEW, dark, side_by_side

# Slopes, in the order of the vector ``d``.
(
    REG_O, REG_T, LIM_R, LIM_T, SW_T, CTRL_IN, CTRL_H, CTRL_T, SW_B, SW_G, SW_R, CLAMP_G, CLAMP_3,
    REG3_H, REG3_3, LOAD_3,
) = range(16)  # fmt: skip
SLOPES = 16


@inlined
def reference_voltage(t, p, m):
    """Adapter's set point [V] and its slope [V/s] at time t."""
    if m[at.ON] == 0.0:
        return 0.0, 0.0
    x = (t - m[at.T_ON]) / p.adapter_soft_start
    # The end of the ramp is a known instant: on either side of it the piece is straight.
    if m[at.KINK] == inf:
        return p.adapter_rated_voltage, 0.0
    return p.adapter_rated_voltage * x, p.adapter_rated_voltage / p.adapter_soft_start


@inlined
def own_supply(t, p, m):
    """Voltage [V] of the controller's own supply and its slope [V/s]."""
    if m[at.OWN_KINK] == inf:
        return p.controller_own_voltage, 0.0
    return p.controller_own_voltage * t / OWN_RAMP, p.controller_own_voltage / OWN_RAMP


@inlined
def regulated(v_ref, v_o, top, p):
    """Adapter's current [A] with the given top limit; returns (value, to v_o, to v_ref, limit)."""
    limit, limit_slope = laws.adapter_limit(
        v_o, top, p.adapter_folds > 0.0, p.adapter_foldback_current, p.adapter_foldback_knee
    )
    w = LIMIT_SHARE * p.adapter_limit_current
    i, to_o, to_ref = laws.adapter_current(v_ref, v_o, p.adapter_output_resistance, limit, limit_slope, w)
    return i, to_o, to_ref, limit


@inlined
def adapter_regulator(t, y, p, m):
    """Adapter's current [A], its slope to v_o [S] and in time [A/s]; nothing while it is off."""
    if m[at.ON] == 0.0:
        return 0.0, 0.0, 0.0
    v_ref, ramp = reference_voltage(t, p, m)
    i, to_o, to_ref, _ = regulated(v_ref, y[at.V_O], m[at.TOP], p)
    return i, to_o, to_ref * ramp


@inlined
def adapter_side(t, y, p, m, f, d):
    """Adapter, limiter and lead: fills f[V_O], f[I_L], f[LIMITER_RISE] and their slopes."""
    i_reg, d[REG_O], d[REG_T] = adapter_regulator(t, y, p, m)
    f[at.V_O] = i_reg - y[at.V_O] / p.adapter_bleed_resistance - y[at.I_L]
    d[LIM_R] = 0.0
    d[LIM_T] = 0.0
    f[at.LIMITER_RISE] = 0.0
    if p.limiter_fitted > 0.0:
        rise = y[at.LIMITER_RISE]
        d[LIM_R], d[LIM_T] = laws.limiter(rise, p.limiter_cold_resistance, p.limiter_beta, p.limiter_ambient_kelvin)
        f[at.LIMITER_RISE] = d[LIM_R] * y[at.I_L] ** 2 - p.limiter_dissipation * rise
    f[at.I_L] = y[at.V_O] - y[at.V_B] - (p.lead_resistance + d[LIM_R]) * y[at.I_L]


@inlined
def load_switch_side(t, v_b, v_r, p, m, d):
    """Current [A] of a load switch; off it blocks both ways. Fills its slopes."""
    d[SW_B] = 0.0
    d[SW_G] = 0.0
    d[SW_R] = 0.0
    if m[at.GATE_LOW] == 0.0:
        return 0.0
    ramp = p.switch_slew_rate * (t - m[at.GATE_SINCE])
    i, d[SW_B], d[SW_R], to_ramp = laws.load_switch(v_b, v_r, ramp, p.switch_on_resistance, p.switch_current_limit)
    d[SW_T] = to_ramp * p.switch_slew_rate
    return i


@inlined
def switch_side(t, y, p, m, d):
    """Switch or joint: returns (i_sw, i_pull, i_clamp, i_low) [A] and fills their slopes."""
    v_b = y[at.V_B]
    v_r = y[at.V_R]
    d[CLAMP_G] = 0.0
    d[SW_T] = 0.0
    if p.switch_kind == at.LOAD_SWITCH:
        return load_switch_side(t, v_b, v_r, p, m, d), 0.0, 0.0, 0.0
    if p.switch_kind == at.JOINT:
        i, d[SW_B] = laws.joint(v_b, v_r)
        d[SW_G] = 0.0
        d[SW_R] = -d[SW_B]
        return i, 0.0, 0.0, 0.0
    v_g = y[at.V_G]
    i_ch, to_b, to_g, to_r = laws.channel(v_b, v_g, v_r, p.switch_threshold_voltage, p.switch_gain)
    i_body, body_r = laws.body(v_b, v_r)
    d[SW_B] = to_b + body_r
    d[SW_G] = to_g
    d[SW_R] = to_r - body_r
    i_clamp = 0.0
    if p.switch_on_pin > 0.0:
        i_clamp, d[CLAMP_G] = laws.pin_clamp(v_g, y[at.V_3], p.switch_gate_resistance)
    i_low = m[at.GATE_LOW] * v_g / p.switch_gate_resistance
    return i_ch - i_body, (v_b - v_g) / p.switch_pullup_resistance, i_clamp, i_low


@inlined
def controller_feed(t, y, p, m):
    """What feeds the controller [V] and its slope in time [V/s]; the current [A] from there and its slope [S]."""
    v_in = y[at.V_B]
    ramp = 0.0
    if p.controller_own_feed > 0.0:
        v_in, ramp = own_supply(t, p, m)
    i_ctrl, to_in = laws.feed_current(
        v_in, y[at.V_H], p.controller_feed_resistance, p.controller_feed_diode > 0.0, p.controller_diode_drop
    )
    return v_in, ramp, i_ctrl, to_in


@inlined
def rail_regulator(y, p):
    """Current [A] of the controller's regulator and its slopes [S] to reservoir and rail."""
    dropout, resistance = p.controller_dropout_voltage, p.controller_dropout_resistance
    return laws.regulator(
        y[at.V_H], y[at.V_3], p.controller_rail_voltage, dropout, resistance, p.controller_regulator_limit
    )


@inlined
def controller_side(t, y, p, m, i_clamp, f, d):
    """Reservoir and rail: returns the current [A] that the controller takes from the bus."""
    _, ramp, i_ctrl, to_in = controller_feed(t, y, p, m)
    d[CTRL_IN] = to_in
    d[CTRL_H] = -to_in
    d[CTRL_T] = to_in * ramp
    i_3, d[REG3_H], d[REG3_3] = rail_regulator(y, p)
    i_load, d[LOAD_3] = laws.rail_load(y[at.V_3], m[at.LOAD])
    f[at.V_H] = i_ctrl - i_3
    f[at.V_3] = i_3 + i_clamp - i_load
    if p.controller_own_feed > 0.0:
        return 0.0
    return i_ctrl


@inlined
def bulk_branch(v_node, v_bulk, capacitance, esr):
    """Current [A] into an electrolytic behind its series resistance; none without capacitance."""
    if capacitance == 0.0:
        return 0.0
    return (v_node - v_bulk) / esr


@inlined
def section_pixel(v, shows, p):
    """Supply current [A] of one pixel and its slope, in the colour that its section shows."""
    duty = p.colours[int(shows)]
    forward = p.pixel_forward_voltages
    return laws.pixel(
        v, duty[0], duty[1], duty[2], forward[0], forward[1], forward[2],
        p.pixel_channel_resistance, p.pixel_channel_current, p.pixel_quiescent_current, p.pixel_wake_voltage,
    )  # fmt: skip


@inlined
def pixel_currents(y, p, s, q, f, d):
    """Fill f and d with the current of one pixel of each lump and its slope; arrays may have room for more lumps."""
    count = s.shape[0]
    if count < FEW:
        for k in range(count):
            f[at.CORE + k], d[SLOPES + k] = section_pixel(y[at.CORE + k], q[k, at.SHOWS], p)
        return
    lit = 0.0
    for k in range(count):
        f[at.CORE + k] = q[k, at.SHOWS]
        duty = p.colours[int(q[k, at.SHOWS])]
        lit = max(lit, duty[0], duty[1], duty[2])
    if lit > 0.0:
        side_by_side(y[at.CORE :], p, f[at.CORE :], d[SLOPES:])
    else:
        dark(y[at.CORE :], p, f[at.CORE :], d[SLOPES:])
    for j in range(at.CORE + count, y.shape[0]):
        f[j] = 0.0


@inlined
def sections_side(y, p, s, q, f, d):
    """All sections: fills f and the pixel slopes; returns the current [A] drawn from the root."""
    count = s.shape[0]
    v_r = y[at.V_R]
    drawn = 0.0
    from_left = 0.0
    pixel_currents(y, p, s, q, f, d)
    for k in range(count):
        v = y[at.CORE + k]
        fed = s[k, at.FEED] * (v_r - v)
        to_right = 0.0
        if k + 1 < count:
            to_right = s[k, at.HOP] * (v - y[at.CORE + k + 1])
        f[at.CORE + k] = fed + from_left - to_right - s[k, at.COUNT] * f[at.CORE + k]
        d[SLOPES + k] *= s[k, at.COUNT]
        drawn += fed
        from_left = to_right
    return drawn


@compiled
def derivative(t, y, p, s, m, q, f, d):
    """Fill f with the right-hand side of ``C dy/dt = f`` and d with its slopes, all SI."""
    adapter_side(t, y, p, m, f, d)
    i_sw, i_pull, i_clamp, i_low = switch_side(t, y, p, m, d)
    d[CLAMP_3] = -d[CLAMP_G]
    i_ctrl = controller_side(t, y, p, m, i_clamp, f, d)
    i_bb = bulk_branch(y[at.V_B], y[at.V_BB], p.bus_bulk, p.bus_bulk_esr)
    i_rb = bulk_branch(y[at.V_R], y[at.V_RB], p.panel_bulk, p.panel_bulk_esr)
    drawn = sections_side(y, p, s, q, f, d)
    f[at.V_B] = y[at.I_L] - i_bb - i_ctrl - i_sw - i_pull
    f[at.V_BB] = i_bb
    f[at.V_G] = i_pull - i_clamp - i_low
    f[at.V_R] = i_sw - i_rb - drawn
    f[at.V_RB] = i_rb


@inlined
def masses(p, s, mass):
    """Fill ``mass`` with the diagonal of C."""
    mass[at.V_O] = p.adapter_output_capacitance
    mass[at.I_L] = p.lead_inductance
    mass[at.V_B] = p.bus_ceramic + p.switch_gate_source_capacitance
    mass[at.V_BB] = bulk_mass(p.bus_bulk)
    mass[at.V_G] = gate_mass(p)
    mass[at.V_R] = p.panel_ceramic + p.switch_gate_drain_capacitance
    mass[at.V_RB] = bulk_mass(p.panel_bulk)
    mass[at.V_H] = p.controller_reservoir
    mass[at.V_3] = p.controller_rail_capacitance
    mass[at.LIMITER_RISE] = limiter_mass(p)
    for k in range(s.shape[0]):
        mass[at.CORE + k] = s[k, at.CAPACITANCE]


@fused
def add_mass_product(scale, x, p, mass, out):
    """Add ``scale C x`` to out; ``mass`` is the diagonal of C."""
    for j in range(x.shape[0]):
        out[j] += scale * mass[j] * x[j]
    add_gate_product(scale, x, p, out)


@inlined
def add_gate_product(scale, x, p, out):
    """Add what C has beside its diagonal: the gate's capacitances, which couple it to bus and root."""
    gs = scale * p.switch_gate_source_capacitance
    gd = scale * p.switch_gate_drain_capacitance
    out[at.V_B] -= gs * x[at.V_G]
    out[at.V_G] -= gs * x[at.V_B] + gd * x[at.V_R]
    out[at.V_R] -= gd * x[at.V_G]


@inlined
def mass_product(x, p, s, out):
    """Fill out with ``C x``."""
    masses(p, s, out)
    for j in range(x.shape[0]):
        out[j] *= x[j]
    add_gate_product(1.0, x, p, out)


@inlined
def bulk_mass(capacitance):
    """Mass of a bulk state: without a capacitor the state is idle, and any mass keeps it so."""
    if capacitance == 0.0:
        return 1.0
    return capacitance


@inlined
def gate_mass(p):
    """Mass of the gate state; idle without a gate."""
    if p.switch_kind != at.P_CHANNEL:
        return 1.0
    return p.switch_gate_source_capacitance + p.switch_gate_drain_capacitance


@inlined
def limiter_mass(p):
    """Heat capacity [J/K] of the limiter; idle without one."""
    if p.limiter_fitted == 0.0:
        return 1.0
    return p.limiter_heat_capacity
