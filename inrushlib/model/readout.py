"""What is read off a finished run, by quadrature on the stepper's own dense output.

``tally``
    energies by place, charge, energy and I2t by conductor, extremes with their instants, the
    junction temperature of the switch, how long the display was lit before data
``stored``
    energy in the capacitors and in the lead's inductance
"""

from __future__ import annotations

from math import expm1, inf
from typing import Any

import numpy as np

from inrushlib.laws.constants import WAKE_WIDTH

from . import circuit as ci
from . import laws
from . import layout as at
from .arguments import REAL, REALS, RECORDS, ROWS, WHOLE
from .compiled import compiled, entry
from .crossing import turning_points
from .dense_output import restore, restore_modes
from .run import records
from .stepper import interpolate_one

# Four-point Gauss-Legendre on 0..1: exact for the square of a cubic. Abramowitz and Stegun, table 25.4.
NODES = np.array([0.0694318442029737, 0.3300094782075719, 0.6699905217924281, 0.9305681557970263])
WEIGHTS = np.array([0.1739274225687269, 0.3260725774312731, 0.3260725774312731, 0.1739274225687269])

SLICES = 8  # a step's slices for the temperature and for what is lit
LIT_SHARE = 0.05  # of its full current, from which a pixel counts as lit

# Energies [J].
(
    E_ADAPTER, E_OWN, E_BLEED, E_LEAD, E_BULK_ESR, E_SWITCH, E_GATE, E_CTRL_FEED, E_REGULATOR, E_LOAD,
    E_FEEDS, E_HOPS, E_PIXELS, E_LIMITER, E_STORED,
) = range(15)  # fmt: skip
ENERGIES = 15

# Extremes: value, instant. The first rows are of states: which one, and whether largest (1) or smallest (-1).
(
    X_LEAD, X_BUS, X_ROOT, X_RESERVOIR, X_LOWEST_BUS, X_LOWEST_RAIL, X_LIMITER, X_SECTION, X_JUNCTION, X_LIT,
) = range(10)  # fmt: skip
EXTREMES = 10
LARGEST = 1
LEAD = 0  # the lead's row of the wires
WATCHED = np.array(
    [[at.I_L, 1], [at.V_B, 1], [at.V_R, 1], [at.V_H, 1], [at.V_B, -1], [at.V_3, -1], [at.LIMITER_RISE, 1]]
)


@compiled
def stored(y, p, s):
    """Energy [J] in all capacitors and in the lead's inductance."""
    e = p.adapter_output_capacitance * y[at.V_O] ** 2 + p.lead_inductance * y[at.I_L] ** 2
    e += p.bus_ceramic * y[at.V_B] ** 2 + p.bus_bulk * y[at.V_BB] ** 2
    e += p.panel_ceramic * y[at.V_R] ** 2 + p.panel_bulk * y[at.V_RB] ** 2
    e += (
        p.switch_gate_source_capacitance * (y[at.V_B] - y[at.V_G]) ** 2
        + p.switch_gate_drain_capacitance * (y[at.V_R] - y[at.V_G]) ** 2
    )
    e += p.controller_reservoir * y[at.V_H] ** 2 + p.controller_rail_capacitance * y[at.V_3] ** 2
    for k in range(s.shape[0]):
        e += s[k, at.CAPACITANCE] * y[at.CORE + k] ** 2
    return 0.5 * e


@compiled
def add_core(t, y, p, m, dt, d, e):
    """Add the core's energies over dt [s]."""
    v_o, v_b, v_g, v_r, v_h, v_3 = y[at.V_O], y[at.V_B], y[at.V_G], y[at.V_R], y[at.V_H], y[at.V_3]
    i_reg, _, _ = ci.adapter_regulator(t, y, p, m)
    e[E_ADAPTER] += dt * i_reg * v_o
    e[E_BLEED] += dt * v_o * v_o / p.adapter_bleed_resistance
    e[E_LEAD] += dt * p.lead_resistance * y[at.I_L] ** 2
    if p.limiter_fitted > 0.0:
        r, _ = laws.limiter(y[at.LIMITER_RISE], p.limiter_cold_resistance, p.limiter_beta, p.limiter_ambient_kelvin)
        e[E_LIMITER] += dt * r * y[at.I_L] ** 2
    i_bb = ci.bulk_branch(v_b, y[at.V_BB], p.bus_bulk, p.bus_bulk_esr)
    i_rb = ci.bulk_branch(v_r, y[at.V_RB], p.panel_bulk, p.panel_bulk_esr)
    e[E_BULK_ESR] += dt * (i_bb * i_bb * p.bus_bulk_esr + i_rb * i_rb * p.panel_bulk_esr)
    i_sw, i_pull, i_clamp, i_low = ci.switch_side(t, y, p, m, d)
    e[E_SWITCH] += dt * i_sw * (v_b - v_r)
    e[E_GATE] += dt * (i_pull * (v_b - v_g) + i_clamp * (v_g - v_3) + i_low * v_g)
    v_in, _, i_ctrl, _ = ci.controller_feed(t, y, p, m)
    if p.controller_own_feed > 0.0:
        e[E_OWN] += dt * v_in * i_ctrl
    e[E_CTRL_FEED] += dt * i_ctrl * (v_in - v_h)
    i_3, _, _ = ci.rail_regulator(y, p)
    e[E_REGULATOR] += dt * i_3 * (v_h - v_3)
    i_load, _ = laws.rail_load(v_3, m[at.LOAD])
    e[E_LOAD] += dt * i_load * v_3


@compiled
def add_conductor(row, i, resistance, dt, wires):
    """Add charge [C], energy [J] and I2t [A2s] of one conductor."""
    wires[row, 0] += dt * i
    wires[row, 1] += dt * resistance * i * i
    wires[row, 2] += dt * i * i


@compiled
def add_wiring(y, p, s, q, dt, e, wires):
    """Add lead (row 0), feeds (rows 1..M by section), hops (rows M+1..) and pixels over dt [s]."""
    count = s.shape[0]
    add_conductor(int(LEAD), y[at.I_L], p.lead_resistance, dt, wires)
    for k in range(count):
        v = y[at.CORE + k]
        i, _ = ci.section_pixel(v, q[k, at.SHOWS], p)
        e[E_PIXELS] += dt * s[k, at.COUNT] * i * v
        if s[k, at.FEED] > 0.0:
            i = s[k, at.FEED] * (y[at.V_R] - v)
            add_conductor(1 + k, i, 1.0 / s[k, at.FEED], dt, wires)
            e[E_FEEDS] += dt * i * i / s[k, at.FEED]
        if k + 1 < count:
            i = s[k, at.HOP] * (v - y[at.CORE + k + 1])
            add_conductor(1 + count + k, i, 1.0 / s[k, at.HOP], dt, wires)
            e[E_HOPS] += dt * i * i / s[k, at.HOP]


@compiled
def note_extreme(row, value, t, sign, extremes):
    """Keep the largest (sign 1) or smallest (-1) value with its instant.

    Constants are passed as ``int(LARGEST)``: numba compiles anew for every one that is written as it is.
    """
    if sign * value > sign * extremes[row, 0]:
        extremes[row, 0] = value
        extremes[row, 1] = t


@compiled
def watch(row, j, sign, step, n, extremes):
    """Keep the extreme of state j inside a kept step."""
    t, h, end = step[0], step[1], step[2]
    y0, y1 = step[at.KEPT_STATE + j], step[at.KEPT_STATE + n + j]
    c1, c2 = step[at.KEPT_STATE + 2 * n + j], step[at.KEPT_STATE + 3 * n + j]
    x1, x2 = turning_points(y0, y1, c1, c2)
    for i in range(4):
        x = 0.0 if i == 0 else (x1 if i == 1 else (x2 if i == 2 else end))
        if x <= end:
            note_extreme(row, interpolate_one(x, y0, y1, c1, c2), t + x * h, sign, extremes)


@compiled
def bright(p):
    """Current [A] of a pixel in its power-on colour, over what it takes dark, from which it counts as lit; 0: never."""
    channels = 0.0
    for c in range(3):
        channels += p.colours[0, c] * p.pixel_channel_current
    return LIT_SHARE * channels


@compiled
def lit(step, share, n, p, q, least):
    """Say whether any section shows its power-on colour brightly enough to count at ``share`` of a kept step.

    A pixel takes the more the higher its voltage, so the highest one tells.
    """
    v = 0.0
    for k in range(q.shape[0]):
        if q[k, at.SHOWS] == at.SHOWS_POWER_ON:
            j = at.KEPT_STATE + at.CORE + k
            v = max(v, interpolate_one(share, step[j], step[n + j], step[2 * n + j], step[3 * n + j]))
    i, _ = ci.section_pixel(v, at.SHOWS_POWER_ON, p)
    awake, _ = laws.rise(v - p.pixel_wake_voltage, WAKE_WIDTH)
    return i - awake * p.pixel_quiescent_current > least


@compiled
def warm(power_0, power_1, dt, foster, rises):
    """Advance the Foster ladder by dt [s] of linearly changing power [W]; returns the sum of rises [K]."""
    total = 0.0
    for i in range(foster.shape[0]):
        x = dt / foster[i, 1]
        grown = -expm1(-x)
        # Exact answer of dT/dt = (R P - T)/tau to a ramp of P.
        late = 1.0 - grown / x if x > 1e-6 else 0.5 * x
        early = grown - late
        rises[i] += foster[i, 0] * (power_0 * early + power_1 * late) - grown * rises[i]
        total += rises[i]
    return total


@compiled
def heat(step, p, m, y, d, foster, rises, extremes):
    """Follow the switch's junction temperature through one kept step."""
    t, end = step[0], step[2]
    dt = end * step[1] / SLICES
    before = 0.0
    for i in range(SLICES + 1):
        restore(step, end * i / SLICES, y)
        i_sw, _, _, _ = ci.switch_side(t + i * dt, y, p, m, d)
        power = i_sw * (y[at.V_B] - y[at.V_R])
        if i > 0:
            rise = warm(before, power, dt, foster, rises)
            note_extreme(int(X_JUNCTION), rise, t + i * dt, int(LARGEST), extremes)
        before = power


@compiled
def shine(step, n, p, q, least, extremes):
    """Add the time within one kept step in which any section is lit."""
    end = step[2]
    for i in range(SLICES):
        if lit(step, end * (i + 0.5) / SLICES, n, p, q, least):
            extremes[X_LIT, 0] += end * step[1] / SLICES


def tally(
    kept: Any, rows: int, p: Any, s: Any, since: float, foster: Any, energies: Any, wires: Any, extremes: Any
) -> None:
    """Fill energies, wires and extremes from the first ``rows`` kept steps.

    Parameters
    ----------
    kept : (rows or more, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows : int
        How many [1].
    p, s : record and array
        Parts and lumps [SI], as in :mod:`inrushlib.model.layout`.
    since : float
        The instant [s] from which the lowest bus and rail voltage count.
    foster : (k, 2) array
        The switch's thermal ladder: resistance [K/W], time [s].
    energies, wires, extremes : array
        Filled [SI]. ``wires`` has one row for the lead, M for the feeds by section, M - 1 for the hops; charge, energy,
        I2t.
    """
    count = len(s)
    y, d = np.empty(at.CORE + count), np.empty(ci.SLOPES + count)
    m, q, rises = np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES)), np.zeros(len(foster))
    _tally(kept, rows, records(p), s, since, foster, energies, wires, extremes, y, m, q, d, rises)


@entry(ROWS, WHOLE, RECORDS, ROWS, REAL, ROWS, REALS, ROWS, ROWS, REALS, REALS, ROWS, REALS, REALS)
def _tally(kept, rows, parts, s, since, foster, energies, wires, extremes, y, m, q, d, rises):
    """Do what :func:`tally` says, in arrays that are there."""
    p = parts[0]
    count = s.shape[0]
    n = y.shape[0]
    least = bright(p)
    clear(energies, wires, extremes)
    for r in range(rows):
        step = kept[r]
        restore_modes(step, m)
        for k in range(count):
            q[k, at.SHOWS] = step[at.KEPT_STATE + 4 * n + k]
        if r == 0:
            restore(step, 0.0, y)
            energies[E_STORED] -= stored(y, p, s)
        for i in range(NODES.shape[0]):
            restore(step, step[2] * NODES[i], y)
            dt = step[2] * step[1] * WEIGHTS[i]
            add_core(step[0] + step[2] * NODES[i] * step[1], y, p, m, dt, d, energies)
            add_wiring(y, p, s, q, dt, energies, wires)
        if p.switch_kind > 0.0:
            heat(step, p, m, y, d, foster, rises, extremes)
        if least > 0.0:
            shine(step, n, p, q, least, extremes)
        for row in range(WATCHED.shape[0]):
            if WATCHED[row, 1] > 0 or step[0] >= since:
                watch(row, WATCHED[row, 0], WATCHED[row, 1], step, n, extremes)
        for k in range(count):
            watch(int(X_SECTION), at.CORE + k, int(LARGEST), step, n, extremes)
    if rows > 0:
        restore(kept[rows - 1], kept[rows - 1, 2], y)
        energies[E_STORED] += stored(y, p, s)


@compiled
def clear(energies, wires, extremes):
    """Set all totals to zero and all extremes to nothing seen yet."""
    for i in range(ENERGIES):
        energies[i] = 0.0
    for i in range(wires.shape[0]):
        for j in range(3):
            wires[i, j] = 0.0
    for row in range(EXTREMES):
        extremes[row, 0] = -inf
        extremes[row, 1] = 0.0
        if row < WATCHED.shape[0] and WATCHED[row, 1] < 0:
            extremes[row, 0] = inf
    extremes[X_LIT, 0] = 0.0
