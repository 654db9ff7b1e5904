"""Runs, as Python asks for them: one with its curves, or many.

``run``
    from numbers and arrays to a status
``runs``
    the same for many, compiled, in arrays from ``room``
``records``, ``tables``
    parts and lumps of one run as it takes them
"""

from __future__ import annotations

import threading
from math import inf
from typing import Any

import numpy as np

from . import circuit as ci
from . import layout as at
from . import linear as li
from . import stepper as st
from .advance import (
    END_TIME,
    HIGHEST,
    HIGHEST_BUS,
    HIGHEST_LUMP,
    HIGHEST_RESERVOIR,
    HIGHEST_ROOT,
    KEPT,
    OUTS,
    PEAK_LEAD_CURRENT,
    STEPS,
    VERDICT,
    advance,
)
from .arguments import REAL, REALS, RECORDS, ROWS, TABLES, WHOLE, Several, Standing
from .compiled import entry
from .decided import memory
from .pixels import padded

__all__ = [
    "END_TIME", "HIGHEST", "KEPT", "OUTS", "PEAK_LEAD_CURRENT", "STEPS", "VERDICT",
    "records", "room", "run", "runs", "tables",
]  # fmt: skip

# One row of answers a run.
(
    STATUS, JUDGED, BROWN_OUTS, TRIPS, RUNNING_AT, READY_AT, PEAK, FINAL_BUS, FINAL_RAIL, FINAL_LEAD,
    TOP_BUS, TOP_ROOT, TOP_RESERVOIR, TOP_LUMP, ENDED_AT, STEPS_KEPT, SWITCHINGS,
) = range(17)  # fmt: skip
ANSWERS = 17
TOPS = (TOP_BUS, TOP_ROOT, TOP_RESERVOIR, TOP_LUMP)

BOUNDS = Several((REAL, REAL, REAL, WHOLE))
SCRATCH = Several((*10 * (REALS,), ROWS))
ROOM = Several((REALS, REALS, ROWS, REALS, REALS, SCRATCH))

_rooms = threading.local()


def room(count: int) -> tuple[Any, ...]:
    """Arrays that a run works in: state at both ends of a step, dense output, shares, what is remembered, scratch.

    A thread has one room a count, which its runs use one after the other.

    Parameters
    ----------
    count : int
        Lumps [1].
    """
    known: dict[Any, Standing] = _rooms.__dict__
    if count not in known:
        lumps = padded(count)
        n = at.CORE + lumps
        known[count] = Standing(
            (np.zeros(n), np.zeros(n), np.zeros((3, n)), np.zeros(2 + 2 * lumps), memory(n, lumps), scratch(n, lumps))
        )
    return known[count]


def scratch(n: int, count: int) -> tuple[Any, ...]:
    """Work arrays of a step.

    Parameters
    ----------
    n, count : int
        States, and how many of them are lumps [1].
    """
    return (
        np.zeros(n), np.zeros(n), np.zeros(n),
        np.zeros(ci.SLOPES + count), np.zeros(ci.SLOPES + count), np.zeros(ci.SLOPES + count), np.zeros(n),
        np.zeros(li.WORK), np.zeros(count), np.zeros(count), np.zeros((st.STAGES, n)),
    )  # fmt: skip


def records(p: Any) -> Any:
    """Return the parts ``p`` of one run as those of many."""
    return np.asarray(p).reshape(1)


def tables(s: Any) -> Any:
    """Return the lumps ``s`` of one run as those of many."""
    return np.ascontiguousarray(s)[None]


@entry(RECORDS, TABLES, ROWS, BOUNDS, REALS, REALS, ROWS, ROWS, ROWS, REALS, ROOM, ROWS)
def runs(parts, lumps, interruptions, bounds, y, m, q, log, kept, out, arrays, answers):
    """Run parts[i] with lumps[i] (or the last one given) for each row i of answers; all else is left of the last run.

    Parameters
    ----------
    parts, lumps : array
        Records and arrays [SI], as in :mod:`inrushlib.model.layout`.
    interruptions, bounds, y, m, q, log, kept, out, arrays
        As in :func:`inrushlib.model.advance.advance` [SI].
    answers : (runs, ANSWERS) array
        Filled [SI]; READY_AT is infinite where not all lumps show a frame at the end.
    """
    for i in range(answers.shape[0]):
        s = lumps[min(i, lumps.shape[0] - 1)]
        status = advance(parts[i], s, interruptions, bounds, y, m, q, log, kept, out, arrays)
        row = answers[i]
        row[STATUS], row[JUDGED] = status, out[VERDICT]
        row[BROWN_OUTS], row[TRIPS] = m[at.BROWN_OUTS], m[at.TRIP_COUNT]
        row[RUNNING_AT] = m[at.RUNNING_AT]
        row[READY_AT] = m[at.SHOWN_AT] if m[at.STATE] == at.RUN else inf
        row[FINAL_BUS], row[FINAL_RAIL], row[FINAL_LEAD] = y[at.V_B], y[at.V_3], y[at.I_L]
        row[PEAK] = out[PEAK_LEAD_CURRENT]
        row[TOP_BUS], row[TOP_ROOT] = out[HIGHEST_BUS], out[HIGHEST_ROOT]
        row[TOP_RESERVOIR], row[TOP_LUMP] = out[HIGHEST_RESERVOIR], out[HIGHEST_LUMP]
        row[ENDED_AT], row[STEPS_KEPT], row[SWITCHINGS] = out[END_TIME], out[KEPT], m[at.SWITCHINGS]


def run(
    p: Any, s: Any, interruptions: Any, tolerance: float, most_steps: float, most_switchings: float, until: int,
    y: Any, m: Any, q: Any, log: Any, kept: Any, out: Any,
) -> int:  # fmt: skip
    """Run to the end of the duration; returns the status.

    Parameters
    ----------
    p, s : record and array
        Parts and lumps [SI], as in :mod:`inrushlib.model.layout`.
    interruptions : (rows, 2) array
        Mains off and on again [s].
    tolerance : float
        Error allowed a step, relative to 1 + abs(y) [1].
    most_steps, most_switchings : float
        Bounds [1].
    until : int
        One of UNTIL_END, UNTIL_LOST and UNTIL_DECIDED, see :mod:`inrushlib.model.decided` [1].
    y, m, q : array
        Filled with state and modes at the end [SI].
    log, kept : array
        Filled with switchings and steps as far as they have rows [SI].
    out : array
        Filled with counts, peaks and the verdict [SI].
    """
    answers = np.zeros((1, ANSWERS))
    bounds = (tolerance, most_steps, most_switchings, until)
    runs(records(p), tables(s), interruptions, bounds, y, m, q, log, kept, out, room(len(s)), answers)
    return int(answers[0, STATUS])
