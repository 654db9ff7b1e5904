"""The whole run: smooth stretches between switching instants.

``advance``
    from numbers and arrays to a status, in arrays that many runs can use one after the other; Python calls it by way
    of :mod:`inrushlib.model.run`

A stretch ends at the earliest known instant, or where a condition is met on the dense output. Then
the mode changes, the state carries on, and stepping starts again from there.
"""

from __future__ import annotations

from math import inf

from . import crossing as cr
from . import firmware as fw
from . import layout as at
from . import stepper as st
from . import switching as sw
from .compiled import compiled, inlined
from .decided import UNTIL_DECIDED, UNTIL_LOST, decided, forget
from .dense_output import keep
from .judge import judge

AFTER_SWITCHING = 1e-6  # [s] first step after a jump of the right-hand side
SECOND_LOOK, BEYOND = 0.9, 1.03  # share of a step below which a crossing is looked for anew, and how far beyond it
SHORTEST = 1e-14  # [s] a step that has to be shorter than this has failed

# What ``out`` holds.
(
    END_TIME, STEPS, REJECTED, PEAK_LEAD_CURRENT, KEPT, HIGHEST_BUS, HIGHEST_ROOT, HIGHEST_RESERVOIR, HIGHEST_LUMP,
    VERDICT,
) = range(10)  # fmt: skip
OUTS = 10
HIGHEST = (HIGHEST_BUS, HIGHEST_ROOT, HIGHEST_RESERVOIR, HIGHEST_LUMP)


(SLOPES_0, SLOPES_1) = (4, 5)  # in the work arrays: slopes at the start and at the end of a step


@inlined
def stretch_step(left, h):
    """Step size that ends on the known instant ``left`` ahead without leaving a sliver."""
    if h >= left:
        return left
    if 2.0 * h > left:
        return 0.5 * left
    return h


@compiled
def tried_step(t, size, tolerance, known, y, p, s, m, q, work, y_new, dense):
    """Step from t into y_new and dense; returns its error in tolerances, accepted up to 1."""
    st.step(t, size, y, p, s, m, q, known, work, y_new, dense)
    error = st.error_norm(y, y_new, dense[2], tolerance, p, work[SLOPES_0])
    if error <= 1.0:
        st.end_error(t, size, y, y_new, p, s, m, q, work, dense)
        error = max(error, st.error_norm(y, y_new, dense[2], tolerance, p, work[SLOPES_1]) / st.MOST_END_ERROR)
    return error


@inlined
def note_peaks(until, y, y_new, dense, out):
    """Keep the largest lead current and the highest voltages of a step, up to the share ``until``."""
    out[PEAK_LEAD_CURRENT] = highest_of(out[PEAK_LEAD_CURRENT], at.I_L, until, y, y_new, dense)
    out[HIGHEST_BUS] = highest_of(out[HIGHEST_BUS], at.V_B, until, y, y_new, dense)
    out[HIGHEST_ROOT] = highest_of(out[HIGHEST_ROOT], at.V_R, until, y, y_new, dense)
    out[HIGHEST_RESERVOIR] = highest_of(out[HIGHEST_RESERVOIR], at.V_H, until, y, y_new, dense)
    for j in range(at.CORE, y.shape[0]):
        out[HIGHEST_LUMP] = highest_of(out[HIGHEST_LUMP], j, until, y, y_new, dense)


@compiled
def highest_of(known, j, until, y, y_new, dense):
    """The larger of what is ``known`` and state j's largest, which a cheap bound mostly saves from being looked for."""
    if max(y[j], y_new[j]) + 0.25 * abs(dense[0, j]) + 0.15 * abs(dense[1, j]) > known:
        return max(known, cr.largest(y[j], y_new[j], dense[0, j], dense[1, j], until))
    return known


@compiled
def advance(p, s, interruptions, bounds, end_state, m, q, log, kept, out, arrays):
    """Run to the end of the duration; returns the status.

    Parameters
    ----------
    p, s : record and array
        Parts and lumps [SI], as in :mod:`inrushlib.model.layout`.
    interruptions : (rows, 2) array
        Mains off and on again [s].
    bounds : (float, float, float, int)
        Error allowed a step, relative to 1 + abs(y), most steps, most switchings, and until when: one of UNTIL_END,
        UNTIL_LOST and UNTIL_DECIDED, see :mod:`inrushlib.model.decided` [1].
    end_state, m, q : array
        Filled with state and modes at the end [SI].
    log, kept : array
        Filled with switchings and steps as far as they have rows [SI].
    out : array
        Filled with counts, peaks and the verdict [SI].
    arrays : tuple of array
        Made by :func:`inrushlib.model.run.room` [SI].
    """
    tolerance, most_steps, most_switchings, until = bounds
    y, y_new, dense, shares, seen, work = arrays
    forget(seen)
    for i in range(OUTS):
        out[i] = 0.0
    sw.start(p, interruptions, y, m, q)
    sw.settle(0.0, y, p, s, m, q, interruptions, log)
    t = 0.0
    h = AFTER_SWITCHING
    rejected = False
    known = False  # whether the right-hand side and slopes at (t, y) are in the work arrays
    status = at.DONE
    while t < p.run_duration:
        if m[at.JOLT] > 0.0:
            h = min(h, AFTER_SWITCHING)
            m[at.JOLT] = 0.0
        end = sw.next_instant(p, m, q)
        size = stretch_step(end - t, h)
        if out[STEPS] >= most_steps:
            status = at.STEPS_SPENT
            break
        wanted = h
        share = inf
        error = inf
        for look in range(2):
            out[STEPS] += 1.0
            error = tried_step(t, size, tolerance, known, y, p, s, m, q, work, y_new, dense)
            known = True
            if error > 1.0:
                break
            if look == 0:
                wanted = st.next_step(size, error, rejected)
                if size < h and wanted >= 0.99 * st.MOST_GROWTH * size:
                    wanted = max(h, wanted)  # the stretch cut this step short, not its error
            share = cr.find(t, size, y, y_new, dense, p, m, q, shares)
            if look > 0 or share >= SECOND_LOOK or share * size <= fw.SAME_INSTANT:
                break
            # The dense output is coarser than a step: where something switches well inside, end the step there; not
            # where that is now, for a step in which no state moves would never come to it.
            size *= BEYOND * share
        if error > 1.0:
            out[REJECTED] += 1.0
            h = st.next_step(size, error, True)
            rejected = True
            if h < SHORTEST:
                status = at.STEP_VANISHED
                break
            continue
        h = wanted
        rejected = False
        used = min(share, 1.0)
        note_peaks(used, y, y_new, dense, out)
        keep(int(out[KEPT]), t, size, used, y, y_new, dense, m, q, kept)
        out[KEPT] += 1.0
        if share <= 1.0:
            st.interpolate(share, y, y_new, dense)
            t = min(t + share * size, end)
            # What follows within an instant is taken along, so it may be short of its level and fall back at once. That
            # takes nothing along: two lumps would take turns for ever, and time stand still.
            along = fw.SAME_INSTANT / size if share > 0.0 else 0.0
            cr.apply(t, share + along, shares, p, s, m, q, log)
        else:
            t = end if size == end - t else t + size
            st.interpolate(1.0, y, y_new, dense)
        known = share > 1.0 and t < end
        if known:
            st.take_end(work)
        else:
            sw.settle(t, y, p, s, m, q, interruptions, log)
        if until == UNTIL_LOST and m[at.BROWN_OUTS] + m[at.TRIP_COUNT] > 0.0:
            break
        if until == UNTIL_DECIDED and decided(t, y, p, m, q, seen):
            break
        if m[at.SWITCHINGS] > most_switchings:
            status = at.SWITCHINGS_SPENT
            break
    out[END_TIME] = t
    for j in range(end_state.shape[0]):
        end_state[j] = y[j]
    out[VERDICT] = judge(m, q)
    return status
