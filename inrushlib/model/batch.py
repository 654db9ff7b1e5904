"""Many runs, without curves: for searches, maps and spreads.

``run_batch``
    answers: makes the arrays once for all runs; each run holds no global lock, so that threads can share the work

The loop over the runs is plain, as that of :mod:`inrushlib.model.slack`, and for its reason.
"""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from . import layout as at
from . import run as one
from .judge import judge

# One row of answers a run.
(
    STATUS, VERDICT, BROWN_OUTS, TRIPS, RUNNING_AT, READY_AT, PEAK, FINAL_BUS, FINAL_RAIL, FINAL_LEAD,
    HIGHEST_BUS, HIGHEST_ROOT, HIGHEST_RESERVOIR, HIGHEST_LUMP,
) = range(14)  # fmt: skip
ANSWERS = 14
HIGHEST = (HIGHEST_BUS, HIGHEST_ROOT, HIGHEST_RESERVOIR, HIGHEST_LUMP)


def run_batch(
    parts: Any, lumps: Any, interruptions: Any, tolerance: float, most_steps: float, most_switchings: float,
    until: int, answers: Any,
) -> None:  # fmt: skip
    """Run parts[i] with lumps[i] (or the last one given) for each row i of answers.

    Parameters
    ----------
    parts, lumps : array
        Records and arrays [SI], as in :mod:`inrushlib.model.layout`.
    interruptions : (rows, 2) array
        Mains off and on again [s].
    tolerance : float
        Error allowed a step, relative to 1 + abs(y) [1].
    most_steps, most_switchings : float
        Bounds of each run [1].
    until : int
        One of UNTIL_END, UNTIL_LOST and UNTIL_DECIDED, see :mod:`inrushlib.model.decided` [1].
    answers : (runs, ANSWERS) array
        Filled [SI]; READY_AT is infinite where not all lumps show a frame at the end.
    """
    count = lumps.shape[1]
    bounds = (tolerance, float(most_steps), float(most_switchings), int(until))
    y, m, q = np.zeros(at.CORE + count), np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES))
    log, kept, out = np.zeros((0, 3)), np.zeros((0, 1)), np.zeros(one.OUTS)
    arrays = one.room(count)
    for i, row in enumerate(answers):
        s = lumps[min(i, len(lumps) - 1)]
        status = one.advance(parts[i], s, interruptions, bounds, y, m, q, log, kept, out, arrays)
        row[STATUS], row[VERDICT] = status, judge(m, q)
        row[BROWN_OUTS], row[TRIPS] = m[at.BROWN_OUTS], m[at.TRIP_COUNT]
        row[RUNNING_AT] = m[at.RUNNING_AT]
        row[READY_AT] = m[at.SHOWN_AT] if m[at.STATE] == at.RUN else inf
        row[FINAL_BUS], row[FINAL_RAIL], row[FINAL_LEAD] = y[at.V_B], y[at.V_3], y[at.I_L]
        row[PEAK] = out[one.PEAK_LEAD_CURRENT]
        row[HIGHEST_BUS], row[HIGHEST_ROOT] = out[one.HIGHEST_BUS], out[one.HIGHEST_ROOT]
        row[HIGHEST_RESERVOIR], row[HIGHEST_LUMP] = out[one.HIGHEST_RESERVOIR], out[one.HIGHEST_LUMP]
