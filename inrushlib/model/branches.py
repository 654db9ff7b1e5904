"""Currents that are no states, from the kept steps: what flows in each branch of the circuit.

``branches``  at any instants of a finished run
``width``     how many branches there are
"""

from __future__ import annotations

from typing import Any

import numpy as np

from . import circuit as ci
from . import laws
from . import layout as at
from .arguments import PLACES, REALS, RECORDS, ROWS
from .compiled import entry
from .dense_output import restore, restore_modes
from .run import records

# Branches: adapter's regulator, controller's feed, bus to root, its body diode (root to bus), bus to gate, gate to
# rail, gate to ground [A]; then the feeds by lump and the links to the next lump.
(REGULATOR, CONTROLLER, ACROSS, BODY, PULL, CLAMP, LOW) = range(7)
FEEDS = 7


def width(count: int) -> int:
    """Number of branches for ``count`` lumps."""
    return FEEDS + 2 * count


def branches(kept: Any, rows: Any, shares: Any, p: Any, s: Any, out: Any) -> None:
    """Fill out, one row an instant: the share (0 to 1) of the kept step ``rows``, whose modes hold.

    Parameters
    ----------
    kept : (steps, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows, shares : (n,) array
        Which step, and the share of it [1].
    p, s : record and array
        Parts and lumps [SI], as in :mod:`inrushlib.model.layout`.
    out : (n, width) array
        Filled [A].
    """
    count = len(s)
    y, m, d = np.empty(at.CORE + count), np.zeros(at.MODES), np.empty(ci.SLOPES + count)
    _branches(kept, np.asarray(rows, dtype=np.int64), shares, records(p), s, out, y, m, d)


@entry(ROWS, PLACES, REALS, RECORDS, ROWS, ROWS, REALS, REALS, REALS)
def _branches(kept, rows, shares, parts, s, out, y, m, d):
    """Do what :func:`branches` says, in arrays that are there."""
    p = parts[0]
    count = s.shape[0]
    for r in range(rows.shape[0]):
        step = kept[rows[r]]
        restore_modes(step, m)
        restore(step, shares[r], y)
        t = step[0] + shares[r] * step[1]
        out[r, REGULATOR], _, _ = ci.adapter_regulator(t, y, p, m)
        _, _, out[r, CONTROLLER], _ = ci.controller_feed(t, y, p, m)
        out[r, ACROSS], out[r, PULL], out[r, CLAMP], out[r, LOW] = ci.switch_side(t, y, p, m, d)
        out[r, BODY] = 0.0
        if p.switch_kind == at.P_CHANNEL:
            out[r, BODY], _ = laws.body(y[at.V_B], y[at.V_R])
        for k in range(count):
            v = y[at.CORE + k]
            out[r, FEEDS + k] = s[k, at.FEED] * (y[at.V_R] - v)
            out[r, FEEDS + count + k] = 0.0
            if k + 1 < count:
                out[r, FEEDS + count + k] = s[k, at.HOP] * (v - y[at.CORE + k + 1])
