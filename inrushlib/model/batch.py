"""Many runs, without curves: for searches, maps and spreads.

``run_batch``
    answers: makes the arrays once for all runs; they hold no global lock, so that threads can share the work
"""

from __future__ import annotations

from typing import Any

import numpy as np

from . import layout as at
from . import run as one
from .run import (
    ANSWERS,
    BROWN_OUTS,
    ENDED_AT,
    FINAL_BUS,
    FINAL_LEAD,
    FINAL_RAIL,
    PEAK,
    READY_AT,
    RUNNING_AT,
    STATUS,
    STEPS_KEPT,
    SWITCHINGS,
    TRIPS,
)
from .run import JUDGED as VERDICT
from .run import TOPS as HIGHEST

__all__ = [
    "ANSWERS", "BROWN_OUTS", "ENDED_AT", "FINAL_BUS", "FINAL_LEAD", "FINAL_RAIL", "HIGHEST", "PEAK", "READY_AT",
    "RUNNING_AT", "STATUS", "STEPS_KEPT", "SWITCHINGS", "TRIPS", "VERDICT", "run_batch",
]  # fmt: skip


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
    bounds = (tolerance, most_steps, most_switchings, until)
    y, m, q = np.zeros(at.CORE + count), np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES))
    log, kept, out = np.zeros((0, 3)), np.zeros((0, 1)), np.zeros(one.OUTS)
    lumps = np.ascontiguousarray(lumps)
    one.runs(parts, lumps, interruptions, bounds, y, m, q, log, kept, out, one.room(count), answers)
