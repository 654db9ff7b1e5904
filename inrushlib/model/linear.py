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

# Work vector ``w``: one over each pivot of the core, and its couplings.
(
    O_INV, L_INV, BB_INV, BB_G, RB_INV, RB_G, T_INV, T_H, T_G, H_INV, H_B, H_G, H_3,
    G_INV, G_B, G_R, G_H, G_3, R_INV, R_B, R_G, B_INV, B_G, B_R, B_H, X_INV, X_L, L_X,
) = range(28)  # fmt: skip
WORK = 28


@compiled
def factor(rate, y, p, s, m, d, w, chain, border):
    """Factor for ``rate = 1/(h gamma)`` [1/s]; fills w, chain (one over each pivot) and border (chain^-1 root)."""
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
            pivot -= left * left * chain[k - 1]
            border[k] += left * border[k - 1] * chain[k - 1]
        chain[k] = 1.0 / pivot
        left = s[k, at.HOP]
    at_root = 0.0
    for k in range(count - 1, -1, -1):
        if k + 1 < count:
            border[k] += s[k, at.HOP] * border[k + 1]
        border[k] *= chain[k]
        at_root += s[k, at.FEED] * (1.0 - border[k])
    return at_root


@inlined
def _factor_leaves(rate, p, y, d, w):
    """Inverse pivots of adapter, limiter, lead, bulk capacitors and rail."""
    w[O_INV] = 1.0 / (rate * p.adapter_output_capacitance + 1.0 / p.adapter_bleed_resistance - d[ci.REG_O])
    i = y[at.I_L]
    w[X_L] = -2.0 * i * d[ci.LIM_R]
    w[L_X] = i * d[ci.LIM_T]
    w[X_INV] = 1.0 / (rate * ci.limiter_mass(p) + p.limiter_dissipation - i * i * d[ci.LIM_T])
    lead = rate * p.lead_inductance + p.lead_resistance + d[ci.LIM_R] + w[O_INV]
    w[L_INV] = 1.0 / (lead - w[L_X] * w[X_L] * w[X_INV])
    w[BB_G] = 0.0
    if p.bus_bulk > 0.0:
        w[BB_G] = 1.0 / p.bus_bulk_esr
    w[BB_INV] = 1.0 / (rate * ci.bulk_mass(p.bus_bulk) + w[BB_G])
    w[RB_G] = 0.0
    if p.panel_bulk > 0.0:
        w[RB_G] = 1.0 / p.panel_bulk_esr
    w[RB_INV] = 1.0 / (rate * ci.bulk_mass(p.panel_bulk) + w[RB_G])
    w[T_INV] = 1.0 / (rate * p.controller_rail_capacitance - d[ci.REG3_3] - d[ci.CLAMP_3] + d[ci.LOAD_3])
    w[T_H] = -d[ci.REG3_H]
    w[T_G] = -d[ci.CLAMP_G]


@inlined
def _factor_core(rate, p, m, d, w, at_root):
    """Inverse pivots of reservoir, gate, root and bus, in this order; couplings before elimination."""
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
    w[H_INV] = 1.0 / (rate * p.controller_reservoir - d[ci.CTRL_H] + d[ci.REG3_H] - w[H_3] * w[T_H] * w[T_INV])
    w[H_B] = -from_bus * d[ci.CTRL_IN]
    w[H_G] = -w[H_3] * w[T_G] * w[T_INV]
    # Gate, after rail and reservoir.
    w[G_3] = d[ci.CLAMP_3]
    w[G_H] = -w[G_3] * w[T_H] * w[T_INV]
    w[G_INV] = 1.0 / (
        rate * ci.gate_mass(p) + pull + low + d[ci.CLAMP_G]
        - w[G_3] * w[T_G] * w[T_INV] - w[G_H] * w[H_G] * w[H_INV]
    )  # fmt: skip
    w[G_B] = -gs - pull - w[G_H] * w[H_B] * w[H_INV]
    w[G_R] = -gd
    # Root, after sections, bulk and gate.
    w[R_G] = -gd - d[ci.SW_G]
    w[R_B] = -d[ci.SW_B] - w[R_G] * w[G_B] * w[G_INV]
    w[R_INV] = 1.0 / (
        rate * p.panel_ceramic + gd - d[ci.SW_R] + at_root
        + w[RB_G] * (1.0 - w[RB_G] * w[RB_INV]) - w[R_G] * w[G_R] * w[G_INV]
    )  # fmt: skip
    # Bus, last.
    w[B_H] = from_bus * d[ci.CTRL_H]
    w[B_G] = d[ci.SW_G] - gs - pull - w[B_H] * w[H_G] * w[H_INV]
    w[B_R] = d[ci.SW_R] - w[B_G] * w[G_R] * w[G_INV]
    bus = rate * p.bus_ceramic + gs + from_bus * d[ci.CTRL_IN] + d[ci.SW_B] + pull
    bus += w[BB_G] * (1.0 - w[BB_G] * w[BB_INV]) + w[L_INV] - w[B_H] * w[H_B] * w[H_INV]
    w[B_INV] = 1.0 / (bus - w[B_G] * w[G_B] * w[G_INV] - w[B_R] * w[R_B] * w[R_INV])


@compiled
def solve(s, w, chain, border, x):
    """Solve in place: x holds the right-hand side on entry and the solution on return."""
    count = s.shape[0]
    # What is known beforehand is multiplied first: each lump then waits for its neighbour by one product and one sum.
    for k in range(1, count):
        x[at.CORE + k] += (s[k - 1, at.HOP] * chain[k - 1]) * x[at.CORE + k - 1]
    beyond = 0.0
    for k in range(count - 1, -1, -1):
        beyond = x[at.CORE + k] * chain[k] + (s[k, at.HOP] * chain[k]) * beyond
        x[at.CORE + k] = beyond
        x[at.V_R] += s[k, at.FEED] * beyond
    # Inwards.
    x[at.I_L] += x[at.V_O] * w[O_INV] - w[L_X] * x[at.LIMITER_RISE] * w[X_INV]
    x[at.V_B] += x[at.I_L] * w[L_INV] + w[BB_G] * x[at.V_BB] * w[BB_INV]
    x[at.V_R] += w[RB_G] * x[at.V_RB] * w[RB_INV]
    x[at.V_H] -= w[H_3] * x[at.V_3] * w[T_INV]
    x[at.V_G] -= w[G_3] * x[at.V_3] * w[T_INV] + w[G_H] * x[at.V_H] * w[H_INV]
    x[at.V_R] -= w[R_G] * x[at.V_G] * w[G_INV]
    x[at.V_B] -= w[B_H] * x[at.V_H] * w[H_INV] + w[B_G] * x[at.V_G] * w[G_INV]
    x[at.V_B] = (x[at.V_B] - w[B_R] * x[at.V_R] * w[R_INV]) * w[B_INV]
    # Outwards.
    x[at.V_R] = (x[at.V_R] - w[R_B] * x[at.V_B]) * w[R_INV]
    x[at.V_G] = (x[at.V_G] - w[G_B] * x[at.V_B] - w[G_R] * x[at.V_R]) * w[G_INV]
    x[at.V_H] = (x[at.V_H] - w[H_B] * x[at.V_B] - w[H_G] * x[at.V_G]) * w[H_INV]
    x[at.V_3] = (x[at.V_3] - w[T_H] * x[at.V_H] - w[T_G] * x[at.V_G]) * w[T_INV]
    x[at.V_RB] = (x[at.V_RB] + w[RB_G] * x[at.V_R]) * w[RB_INV]
    x[at.V_BB] = (x[at.V_BB] + w[BB_G] * x[at.V_B]) * w[BB_INV]
    x[at.I_L] = (x[at.I_L] - x[at.V_B]) * w[L_INV]
    x[at.V_O] = (x[at.V_O] - x[at.I_L]) * w[O_INV]
    x[at.LIMITER_RISE] = (x[at.LIMITER_RISE] - w[X_L] * x[at.I_L]) * w[X_INV]
    for k in range(count):
        x[at.CORE + k] += border[k] * x[at.V_R]
