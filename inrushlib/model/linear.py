"""Solve ``(C/(h gamma) - df/dy) x = b`` along the network, in time linear in the sections.

The network is a tree but for the feeds, which all start at the root. So the sections are a
tridiagonal chain with one dense neighbour (the root), and the core is eliminated from its leaves
inwards: adapter, limiter, lead; bulk capacitors; rail, reservoir; gate; root; bus. Every pivot is a sum of
conductances of one sign (save a foldback adapter's), so no rows are exchanged.

``factor``  once a step
``solve``   once a stage, in place
"""

from __future__ import annotations

from . import circuit as ci
from . import layout as at
from .compiled import compiled, inlined

# Work vector ``w``: the pivots and couplings of the core.
(
    O_PIVOT, L_PIVOT, BB_PIVOT, BB_G, RB_PIVOT, RB_G, T_PIVOT, T_H, T_G, H_PIVOT, H_B, H_G, H_3,
    G_PIVOT, G_B, G_R, G_H, G_3, R_PIVOT, R_B, R_G, B_PIVOT, B_G, B_R, B_H, X_PIVOT, X_L, L_X,
) = range(28)  # fmt: skip
WORK = 28


@compiled
def factor(rate, y, p, s, m, d, w, chain, border):
    """Factor for ``rate = 1/(h gamma)`` [1/s]; fills w, chain (pivots) and border (chain^-1 root)."""
    _factor_leaves(rate, p, y, d, w)
    _factor_core(rate, p, m, d, w, _factor_chain(rate, s, d, chain, border))


@inlined
def _factor_chain(rate, s, d, chain, border):
    """Eliminate the sections; returns the conductance [S] that they add at the root."""
    count = s.shape[0]
    left = 0.0
    for k in range(count):
        g = s[k, at.FEED]
        pivot = rate * s[k, at.CAPACITANCE] + d[ci.SLOPES + k] + g + left + s[k, at.HOP]
        border[k] = g
        if k > 0:
            pivot -= left * left / chain[k - 1]
            border[k] += left * border[k - 1] / chain[k - 1]
        chain[k] = pivot
        left = s[k, at.HOP]
    at_root = 0.0
    for k in range(count - 1, -1, -1):
        if k + 1 < count:
            border[k] += s[k, at.HOP] * border[k + 1]
        border[k] /= chain[k]
        at_root += s[k, at.FEED] * (1.0 - border[k])
    return at_root


@inlined
def _factor_leaves(rate, p, y, d, w):
    """Pivots of adapter, limiter, lead, bulk capacitors and rail."""
    w[O_PIVOT] = rate * p.adapter_output_capacitance + 1.0 / p.adapter_bleed_resistance - d[ci.REG_O]
    i = y[at.I_L]
    w[X_L] = -2.0 * i * d[ci.LIM_R]
    w[L_X] = i * d[ci.LIM_T]
    w[X_PIVOT] = rate * ci.limiter_mass(p) + p.limiter_dissipation - i * i * d[ci.LIM_T]
    w[L_PIVOT] = rate * p.lead_inductance + p.lead_resistance + d[ci.LIM_R] + 1.0 / w[O_PIVOT]
    w[L_PIVOT] -= w[L_X] * w[X_L] / w[X_PIVOT]
    w[BB_G] = 0.0
    if p.bus_bulk > 0.0:
        w[BB_G] = 1.0 / p.bus_bulk_esr
    w[BB_PIVOT] = rate * ci.bulk_mass(p.bus_bulk) + w[BB_G]
    w[RB_G] = 0.0
    if p.panel_bulk > 0.0:
        w[RB_G] = 1.0 / p.panel_bulk_esr
    w[RB_PIVOT] = rate * ci.bulk_mass(p.panel_bulk) + w[RB_G]
    w[T_PIVOT] = rate * p.controller_rail_capacitance - d[ci.REG3_3] - d[ci.CLAMP_3] + d[ci.LOAD_3]
    w[T_H] = -d[ci.REG3_H]
    w[T_G] = -d[ci.CLAMP_G]


@inlined
def _factor_core(rate, p, m, d, w, at_root):
    """Pivots of reservoir, gate, root and bus, in this order; couplings before elimination."""
    gs = rate * p.switch_gate_source_capacitance
    gd = rate * p.switch_gate_drain_capacitance
    pull = 0.0
    low = 0.0
    if p.switch_kind == at.P_CHANNEL:
        pull = 1.0 / p.switch_pullup_resistance
        low = m[at.GATE_LOW] / p.switch_gate_resistance
    from_bus = 1.0
    if p.controller_own_feed > 0.0:
        from_bus = 0.0
    # Reservoir, after the rail (which couples to reservoir and gate).
    w[H_3] = d[ci.REG3_3]
    w[H_PIVOT] = rate * p.controller_reservoir - d[ci.CTRL_H] + d[ci.REG3_H] - w[H_3] * w[T_H] / w[T_PIVOT]
    w[H_B] = -from_bus * d[ci.CTRL_IN]
    w[H_G] = -w[H_3] * w[T_G] / w[T_PIVOT]
    # Gate, after rail and reservoir.
    w[G_3] = d[ci.CLAMP_3]
    w[G_H] = -w[G_3] * w[T_H] / w[T_PIVOT]
    w[G_PIVOT] = (
        rate * ci.gate_mass(p) + pull + low + d[ci.CLAMP_G]
        - w[G_3] * w[T_G] / w[T_PIVOT] - w[G_H] * w[H_G] / w[H_PIVOT]
    )  # fmt: skip
    w[G_B] = -gs - pull - w[G_H] * w[H_B] / w[H_PIVOT]
    w[G_R] = -gd
    # Root, after sections, bulk and gate.
    w[R_G] = -gd - d[ci.SW_G]
    w[R_B] = -d[ci.SW_B] - w[R_G] * w[G_B] / w[G_PIVOT]
    w[R_PIVOT] = (
        rate * p.panel_ceramic + gd - d[ci.SW_R] + at_root
        + w[RB_G] * (1.0 - w[RB_G] / w[RB_PIVOT]) - w[R_G] * w[G_R] / w[G_PIVOT]
    )  # fmt: skip
    # Bus, last.
    w[B_H] = from_bus * d[ci.CTRL_H]
    w[B_G] = d[ci.SW_G] - gs - pull - w[B_H] * w[H_G] / w[H_PIVOT]
    w[B_R] = d[ci.SW_R] - w[B_G] * w[G_R] / w[G_PIVOT]
    bus = rate * p.bus_ceramic + gs + from_bus * d[ci.CTRL_IN] + d[ci.SW_B] + pull
    bus += w[BB_G] * (1.0 - w[BB_G] / w[BB_PIVOT]) + 1.0 / w[L_PIVOT] - w[B_H] * w[H_B] / w[H_PIVOT]
    w[B_PIVOT] = bus - w[B_G] * w[G_B] / w[G_PIVOT] - w[B_R] * w[R_B] / w[R_PIVOT]


@compiled
def solve(s, w, chain, border, x):
    """Solve in place: x holds the right-hand side on entry and the solution on return."""
    count = s.shape[0]
    for k in range(1, count):
        x[at.CORE + k] += s[k - 1, at.HOP] * x[at.CORE + k - 1] / chain[k - 1]
    for k in range(count - 1, -1, -1):
        v = x[at.CORE + k]
        if k + 1 < count:
            v += s[k, at.HOP] * x[at.CORE + k + 1]
        x[at.CORE + k] = v / chain[k]
        x[at.V_R] += s[k, at.FEED] * x[at.CORE + k]
    # Inwards.
    x[at.I_L] += x[at.V_O] / w[O_PIVOT] - w[L_X] * x[at.LIMITER_RISE] / w[X_PIVOT]
    x[at.V_B] += x[at.I_L] / w[L_PIVOT] + w[BB_G] * x[at.V_BB] / w[BB_PIVOT]
    x[at.V_R] += w[RB_G] * x[at.V_RB] / w[RB_PIVOT]
    x[at.V_H] -= w[H_3] * x[at.V_3] / w[T_PIVOT]
    x[at.V_G] -= w[G_3] * x[at.V_3] / w[T_PIVOT] + w[G_H] * x[at.V_H] / w[H_PIVOT]
    x[at.V_R] -= w[R_G] * x[at.V_G] / w[G_PIVOT]
    x[at.V_B] -= w[B_H] * x[at.V_H] / w[H_PIVOT] + w[B_G] * x[at.V_G] / w[G_PIVOT]
    x[at.V_B] = (x[at.V_B] - w[B_R] * x[at.V_R] / w[R_PIVOT]) / w[B_PIVOT]
    # Outwards.
    x[at.V_R] = (x[at.V_R] - w[R_B] * x[at.V_B]) / w[R_PIVOT]
    x[at.V_G] = (x[at.V_G] - w[G_B] * x[at.V_B] - w[G_R] * x[at.V_R]) / w[G_PIVOT]
    x[at.V_H] = (x[at.V_H] - w[H_B] * x[at.V_B] - w[H_G] * x[at.V_G]) / w[H_PIVOT]
    x[at.V_3] = (x[at.V_3] - w[T_H] * x[at.V_H] - w[T_G] * x[at.V_G]) / w[T_PIVOT]
    x[at.V_RB] = (x[at.V_RB] + w[RB_G] * x[at.V_R]) / w[RB_PIVOT]
    x[at.V_BB] = (x[at.V_BB] + w[BB_G] * x[at.V_B]) / w[BB_PIVOT]
    x[at.I_L] = (x[at.I_L] - x[at.V_B]) / w[L_PIVOT]
    x[at.V_O] = (x[at.V_O] - x[at.I_L]) / w[O_PIVOT]
    x[at.LIMITER_RISE] = (x[at.LIMITER_RISE] - w[X_L] * x[at.I_L]) / w[X_PIVOT]
    for k in range(count):
        x[at.CORE + k] += border[k] * x[at.V_R]
