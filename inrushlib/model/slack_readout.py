"""The slack of each rule, read off the kept steps and the switchings of a finished run.

``read_release``, ``read_brown_out``, ``read_listen``, ``read_forget``, ``read_times``, ``note``
    write one rule's row of a table of slacks; which run they have to be given says :mod:`inrushlib.model.slack`
``first_of``, ``last_power_up``
    instants
``room``
    arrays that they work in
"""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from . import layout as at
from .compiled import compiled
from .crossing import turning_points
from .stepper import interpolate_one

# The rules, one row each.
(RELEASE, BROWN_OUT, LISTEN, FORGET, TRIP, ALLOWANCE, FRAME_IN_TIME) = range(7)
RULES = 7
# What is said of each: slack [V or s], share of its threshold [1], instant [s], lump (or -1), bus voltage then [V].
# Not a number: the rule has no say in the run.
(VALUE, SHARE, AT, WHERE, BUS) = range(5)
COLUMNS = 5

SMALLEST = 1e-9  # threshold [s] to which a share is related at least
LEVELS = 40  # halvings of the level that the rail holds


def room(count: int) -> tuple[Any, Any, Any]:
    """Arrays that reading works in: ends of a step's pieces; of each lane its lowest lump in a frame, and in the best.

    Parameters
    ----------
    count : int
        Lumps [1].
    """
    return np.empty(4), np.empty((count, 3)), np.empty((count, 3))


@compiled
def _piece_ends(step, n, j, low, high, ends):
    """Fill ends[0..3] with the shares between which state j is monotone, from ``low`` to ``high``."""
    base = at.KEPT_STATE
    x1, x2 = turning_points(step[base + j], step[base + n + j], step[base + 2 * n + j], step[base + 3 * n + j])
    ends[0] = low
    ends[1] = min(max(x1, low), high)
    ends[2] = min(max(x2, low), high)
    ends[3] = high


@compiled
def _value_at(step, n, j, share):
    """State j at a share of a kept step."""
    base = at.KEPT_STATE
    return interpolate_one(share, step[base + j], step[base + n + j], step[base + 2 * n + j], step[base + 3 * n + j])


@compiled
def _lowest(step, n, j, low, high, ends):
    """Lowest value of state j between two shares of a kept step, and the share."""
    _piece_ends(step, n, j, low, high, ends)
    found, where = inf, low
    for i in range(4):
        v = _value_at(step, n, j, ends[i])
        if v < found:
            found, where = v, ends[i]
    return found, where


@compiled
def _bend(step, n, j):
    """How far state j may go beyond its values at the ends of a kept step."""
    base = at.KEPT_STATE
    return 0.25 * abs(step[base + 2 * n + j]) + 0.15 * abs(step[base + 3 * n + j])


@compiled
def _reach(step, n, j, level, low, high):
    """Share at which state j, monotone between two shares, is at ``level``."""
    rising = _value_at(step, n, j, high) >= level
    for _ in range(50):
        middle = 0.5 * (low + high)
        if (_value_at(step, n, j, middle) >= level) == rising:
            high = middle
        else:
            low = middle
    return high


@compiled
def _held_since(kept, rows, n, j, level, hold, ends):
    """Instant [s] from which state j first is at or above ``level`` for ``hold`` [s] on end; -1 for never."""
    since = inf
    for r in range(rows):
        step = kept[r]
        t, h, end = step[0], step[1], step[2]
        first, last = _value_at(step, n, j, 0.0), _value_at(step, n, j, end)
        beyond = _bend(step, n, j)
        if min(first, last) - beyond >= level:
            since = min(since, t)
        elif max(first, last) + beyond < level:
            since = inf
            continue
        else:
            _piece_ends(step, n, j, 0.0, end, ends)
            for i in range(3):
                from_, to = _value_at(step, n, j, ends[i]), _value_at(step, n, j, ends[i + 1])
                if from_ >= level:
                    since = min(since, t + ends[i] * h)
                elif to >= level:
                    since = t + _reach(step, n, j, level, ends[i], ends[i + 1]) * h
                if from_ >= level and to < level:
                    if t + _reach(step, n, j, level, ends[i], ends[i + 1]) * h - since >= hold:
                        return since
                    since = inf
        if t + end * h - since >= hold:
            return since
    return -1.0


@compiled
def _highest_held(kept, rows, n, j, hold, ends):
    """Highest level that state j holds for ``hold`` [s] on end, and from when [s]."""
    top = 0.0
    for r in range(rows):
        top = max(top, max(_value_at(kept[r], n, j, 0.0), _value_at(kept[r], n, j, kept[r, 2])) + _bend(kept[r], n, j))
    low = 0.0
    since = max(_held_since(kept, rows, n, j, low, hold, ends), 0.0)
    for _ in range(LEVELS):
        middle = 0.5 * (low + top)
        begins = _held_since(kept, rows, n, j, middle, hold, ends)
        if begins >= 0.0:
            low, since = middle, begins
        else:
            top = middle
    return low, since


@compiled
def _state_at(kept, rows, n, j, t):
    """State j at an instant [s] of the run."""
    low, high = 0, rows - 1
    while low < high:
        middle = (low + high + 1) // 2
        if kept[middle, 0] <= t:
            low = middle
        else:
            high = middle - 1
    step = kept[low]
    return _value_at(step, n, j, min(max((t - step[0]) / step[1], 0.0), step[2]))


@compiled
def note(value, threshold, t, where, slack):
    """Write one slack, its share of the threshold, its instant and its lump.

    Parameters
    ----------
    value, threshold : float
        The slack, and what it is a share of [V or s].
    t : float
        When it came closest [s].
    where : float
        Lump, or -1 [1].
    slack : (COLUMNS,) array
        The rule's row, written to [SI].
    """
    slack[VALUE] = value
    slack[SHARE] = value / max(threshold, SMALLEST)
    slack[AT] = t
    slack[WHERE] = where


@compiled
def first_of(code, since, log, rows):
    """Instant [s] of the first switching of a kind from ``since`` on; infinity for none.

    Parameters
    ----------
    code : int
        What kind of switching [1].
    since : float
        From when on [s].
    log : (rows or more, 3) array
        Switchings: instant [s], code, index.
    rows : int
        How many [1].
    """
    for r in range(rows):
        if log[r, 1] == code and log[r, 0] >= since:
            return log[r, 0]
    return inf


@compiled
def read_release(kept, rows, n, released_at, p, ends, slacks):
    """Read the release of the reset off a run in which the controller is held in reset.

    Parameters
    ----------
    kept : (rows or more, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows, n : int
        Kept steps, and states [1].
    released_at : float
        When the run as it is was released [s], infinity for never.
    p : record
        The parts, as they are [SI].
    ends : (4,) array
        To work in [1].
    slacks : (RULES, COLUMNS) array
        Written to [SI].
    """
    level, since = _highest_held(kept, rows, n, at.V_3, p.controller_reset_hold, ends)
    when = released_at if released_at < inf else since
    note(level - p.controller_brownout_rising, p.controller_brownout_rising, when, -1.0, slacks[RELEASE])
    slacks[RELEASE, BUS] = _state_at(kept, rows, n, at.V_B, since)


@compiled
def read_brown_out(kept, rows, n, log, switchings, p, ends, slacks):
    """Read the lowest rail while out of reset.

    Parameters
    ----------
    kept : (rows or more, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows, n : int
        Kept steps, and states [1].
    log : (switchings or more, 3) array
        Switchings: instant [s], code, index.
    switchings : int
        How many [1].
    p : record
        The parts, as they are [SI].
    ends : (4,) array
        To work in [1].
    slacks : (RULES, COLUMNS) array
        Written to [SI].
    """
    running = False
    found, when = inf, 0.0
    i = 0
    for r in range(rows):
        while i < switchings and log[i, 0] <= kept[r, 0]:
            if log[i, 1] == at.E_RESET_RELEASE:
                running = True
            elif log[i, 1] == at.E_BROWN_OUT:
                running = False
            i += 1
        if running:
            v, share = _lowest(kept[r], n, at.V_3, 0.0, kept[r, 2], ends)
            if v < found:
                found, when = v, kept[r, 0] + share * kept[r, 1]
    if found < inf:
        note(found - p.controller_brownout_falling, p.controller_brownout_falling, when, -1.0, slacks[BROWN_OUT])


@compiled
def _read_frame(kept, rows, n, begin, end, level, s, ends, now, best):
    """Take into ``best`` (lumps, 3: voltage, instant, lump) the lowest that each lane had from begin to end [s]."""
    count = s.shape[0]
    for lane in range(count):
        now[lane, 0] = inf
    for r in range(rows):
        t, h = kept[r, 0], kept[r, 1]
        low, high = max((begin - t) / h, 0.0), min((end - t) / h, kept[r, 2])
        if low > high:
            continue
        for k in range(count):
            lane = int(s[k, at.LANE])
            v, share = _lowest(kept[r], n, at.CORE + k, low, high, ends)
            if v < now[lane, 0]:
                now[lane, 0], now[lane, 1], now[lane, 2] = v, t + share * h, k
    for lane in range(count):
        # The first frame that a lane heard is the one that counts: those after it find the lane as it left it.
        if now[lane, 0] < inf and now[lane, 0] > best[lane, 0] and best[lane, 0] < level:
            # By entries: numba compiles what to say of shapes that do not match for every assignment of a row.
            best[lane, 0], best[lane, 1], best[lane, 2] = now[lane, 0], now[lane, 1], now[lane, 2]


@compiled
def read_listen(kept, rows, n, log, switchings, since, p, s, ends, now, best, slacks):
    """Read the lowest lump while a frame was on the line: each lane's first that it heard, else that it heard best.

    A frame reaches a lump only if it and all before it in its lane listen, so the last of a lane decides.

    Parameters
    ----------
    kept : (rows or more, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows, n : int
        Kept steps, and states [1].
    log : (switchings or more, 3) array
        Switchings: instant [s], code, index.
    switchings : int
        How many [1].
    since : float
        From when on [s].
    p : record
        The parts, as they are [SI].
    s : (M, LUMP_CONSTANTS) array
        The lumps [SI].
    ends, now, best : array
        To work in, from :func:`room`.
    slacks : (RULES, COLUMNS) array
        Written to [SI].
    """
    for lane in range(s.shape[0]):
        best[lane, 0] = -inf
    begin = -1.0
    for i in range(switchings):
        if log[i, 1] == at.E_FRAME_START:
            begin = log[i, 0]
        elif log[i, 1] == at.E_FRAME_END and begin >= since:
            heard_from = begin - p.pixel_listen_delay
            _read_frame(kept, rows, n, heard_from, log[i, 0], p.pixel_listen_voltage, s, ends, now, best)
    worst = 0
    for lane in range(s.shape[0]):
        if best[lane, 0] > -inf and best[lane, 0] < best[worst, 0]:
            worst = lane
    if best[worst, 0] > -inf:
        level = p.pixel_listen_voltage
        note(best[worst, 0] - level, level, best[worst, 1], best[worst, 2], slacks[LISTEN])


@compiled
def read_forget(kept, rows, n, since, p, s, ends, slacks):
    """Read the lowest lump that shows a frame, from ``since`` [s] on.

    Parameters
    ----------
    kept : (rows or more, width) array
        Kept steps [as in :mod:`~inrushlib.model.dense_output`].
    rows, n : int
        Kept steps, and states [1].
    since : float
        From when on [s].
    p : record
        The parts, as they are [SI].
    s : (M, LUMP_CONSTANTS) array
        The lumps [SI].
    ends : (4,) array
        To work in [1].
    slacks : (RULES, COLUMNS) array
        Written to [SI].
    """
    found, when, where = inf, 0.0, 0.0
    for r in range(rows):
        if kept[r, 0] < since:
            continue
        for k in range(s.shape[0]):
            if kept[r, at.KEPT_STATE + 4 * n + k] != at.SHOWS_POWER_ON:
                v, share = _lowest(kept[r], n, at.CORE + k, 0.0, kept[r, 2], ends)
                if v < found:
                    found, when, where = v, kept[r, 0] + share * kept[r, 1], float(k)
    if found < inf:
        note(found - p.pixel_forget_voltage, p.pixel_forget_voltage, when, where, slacks[FORGET])


@compiled
def _longest_over(log, switchings, end):
    """Longest time [s] at the adapter's limit on end, and when it ended [s]."""
    longest, when, since = 0.0, 0.0, inf
    for i in range(switchings + 1):
        t = log[i, 0] if i < switchings else end
        code = log[i, 1] if i < switchings else at.E_NOT_OVER
        if code == at.E_OVER:
            since = t
        elif code == at.E_NOT_OVER or code == at.E_TRIP or code == at.E_MAINS_OFF:
            if t - since > longest:
                longest, when = t - since, t
            since = inf
    return longest, when


@compiled
def last_power_up(p, interruptions):
    """Instant [s] of the last power-up.

    Parameters
    ----------
    p : record
        The parts, as they are [SI].
    interruptions : (n, 2) array
        Mains off and on again [s].
    """
    since = 0.0
    for i in range(interruptions.shape[0]):
        if interruptions[i, 1] <= p.run_duration:
            since = interruptions[i, 1]
    return since


@compiled
def read_times(log, switchings, trips, allowance, p, slacks):
    """Read the time at the limit against the trip, the allowance, or both.

    Parameters
    ----------
    log : (switchings or more, 3) array
        Switchings: instant [s], code, index.
    switchings : int
        How many [1].
    trips, allowance : bool
        Which of them [1].
    p : record
        The parts, as they are [SI].
    slacks : (RULES, COLUMNS) array
        Written to [SI].
    """
    longest, when = _longest_over(log, switchings, p.run_duration)
    if trips and p.adapter_trips > 0.0:
        note(p.adapter_trip_delay - longest, p.adapter_trip_delay, when, -1.0, slacks[TRIP])
    if allowance and p.adapter_peak_time < inf:
        note(p.adapter_peak_time - longest, p.adapter_peak_time, when, -1.0, slacks[ALLOWANCE])
