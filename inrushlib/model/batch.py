"""Many runs in one compiled loop, without curves: for searches, maps and spreads.

``run_batch``
    answers: makes the arrays once for all runs; the compiled loop ``_run_each`` holds no global lock, so that threads
    can share the work
"""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from . import layout as at
from . import run as one
from .compiled import compiled
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
    state = np.zeros(at.CORE + count), np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES))
    records = np.zeros((0, 3)), np.zeros((0, 1)), np.zeros(one.OUTS)
    _run_each(parts, lumps, interruptions, bounds, state, records, one.room(count), answers)


@compiled
def _run_each(parts, lumps, interruptions, bounds, state, records, arrays, answers):
    """Do what :func:`run_batch` says, in arrays that are there."""
    y, m, q = state
    log, kept, out = records
    for i in range(answers.shape[0]):
        s = lumps[min(i, lumps.shape[0] - 1)]
        status = one.advance(parts[i], s, interruptions, bounds, y, m, q, log, kept, out, arrays)
        answers[i, STATUS] = status
        answers[i, VERDICT] = judge(m, q)
        answers[i, BROWN_OUTS] = m[at.BROWN_OUTS]
        answers[i, TRIPS] = m[at.TRIP_COUNT]
        answers[i, RUNNING_AT] = m[at.RUNNING_AT]
        answers[i, READY_AT] = m[at.SHOWN_AT]
        if m[at.STATE] != at.RUN:
            answers[i, READY_AT] = inf
        answers[i, PEAK] = out[one.PEAK_LEAD_CURRENT]
        answers[i, FINAL_BUS] = y[at.V_B]
        answers[i, FINAL_RAIL] = y[at.V_3]
        answers[i, FINAL_LEAD] = y[at.I_L]
        answers[i, HIGHEST_BUS] = out[one.HIGHEST_BUS]
        answers[i, HIGHEST_ROOT] = out[one.HIGHEST_ROOT]
        answers[i, HIGHEST_RESERVOIR] = out[one.HIGHEST_RESERVOIR]
        answers[i, HIGHEST_LUMP] = out[one.HIGHEST_LUMP]
