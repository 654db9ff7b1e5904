"""How far each rule of a run was from turning out otherwise: its slack.

``slack_batch``
    many builds in one compiled loop: each run and what has to be run again for it, from numbers and arrays to a table
    of slacks, a verdict and a status

A rule that takes effect cuts its own curve short: a rail that browns out is relieved at the very level it is held
against. So each such rule is read off another run, in which that rule alone never takes effect and all else is as it
was. Up to the first time it took effect both runs are the same; so the sign of a slack says whether it did.
The release of the reset is read with the controller held in reset, the time that a frame has with none sent.
"""

from __future__ import annotations

from math import inf, nan

import numpy as np

from . import layout as at
from . import run as one
from .compiled import compiled
from .dense_output import width
from .judge import judge
from .slack_readout import (
    COLUMNS,
    FRAME_IN_TIME,
    RULES,
    first_of,
    last_power_up,
    note,
    read_brown_out,
    read_forget,
    read_listen,
    read_release,
    read_times,
)

__all__ = ["COLUMNS", "ROWS_SPENT", "RULES", "slack_batch"]

ROWS_SPENT = 100  # a status beside those of a run: log or kept steps did not fit
NEVER = 1e30  # [s]


@compiled
def _rerun(p, s, interruptions, bounds, until_lost, log, kept):
    """Run with changed parts; returns (status, kept steps, switchings). ``bounds``: tolerance, most of either."""
    count = s.shape[0]
    y, m, q = np.empty(at.CORE + count), np.empty(at.MODES), np.empty((count, at.LUMP_MODES))
    out = np.empty(one.OUTS)
    status = one.run(
        p, s, interruptions, bounds[0], int(bounds[1]), int(bounds[2]), until_lost, y, m, q, log, kept, out
    )
    return status, int(out[one.KEPT]), int(m[at.SWITCHINGS])


@compiled
def _fits(rows, switchings, log, kept):
    """Say whether a run's steps and switchings were all kept."""
    return rows <= kept.shape[0] and switchings <= log.shape[0]


@compiled
def _again_held(p, s, interruptions, bounds, released_at, log, kept, slacks):
    """Run with the controller held in reset, and read what would have released it."""
    own = p.controller_brownout_rising
    p.controller_brownout_rising = inf
    status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.controller_brownout_rising = own
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    if status == at.DONE:
        read_release(kept, rows, at.CORE + s.shape[0], released_at, p, slacks)
    return at.DONE


@compiled
def _again_without_brown_out(p, s, interruptions, bounds, log, kept, slacks):
    """Run with a controller that runs at any voltage, and read how low its rail goes."""
    own = p.controller_brownout_falling
    p.controller_brownout_falling = -inf
    status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.controller_brownout_falling = own
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    if status == at.DONE:
        read_brown_out(kept, rows, at.CORE + s.shape[0], log, switchings, p, slacks)
    return at.DONE


@compiled
def _again_without_forgetting(p, s, interruptions, bounds, log, kept, slacks):
    """Run with pixels that keep their data at any voltage, and read how low they go."""
    own = p.pixel_forget_voltage
    p.pixel_forget_voltage = -inf
    status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.pixel_forget_voltage = own
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    if status == at.DONE:
        read_forget(kept, rows, at.CORE + s.shape[0], last_power_up(p, interruptions), p, s, slacks)
    return at.DONE


@compiled
def _again_without_trip(p, s, interruptions, bounds, log, kept, slacks):
    """Run with an adapter that never trips, and read how long it stays at its limit."""
    own = p.adapter_trip_delay
    p.adapter_trip_delay = NEVER
    status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.adapter_trip_delay = own
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    if status == at.DONE:
        read_times(log, switchings, True, False, p, slacks)
    return at.DONE


@compiled
def _again_without_end_of_allowance(p, s, interruptions, bounds, log, kept, slacks):
    """Run with an allowance that never ends, and read how long it is drawn on."""
    own = p.adapter_peak_time
    p.adapter_peak_time = NEVER
    status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.adapter_peak_time = own
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    if status == at.DONE:
        read_times(log, switchings, False, True, p, slacks)
    return at.DONE


@compiled
def _again_without_frames(p, s, interruptions, bounds, running_at, log, kept, slacks):
    """Run with no frame sent, and read how long before the brown-out that brings the first frame ends."""
    first, content = p.firmware_first_frame_delay, p.firmware_content_delay
    p.firmware_first_frame_delay = NEVER
    p.firmware_content_delay = NEVER
    status, rows, switchings = _rerun(p, s, interruptions, bounds, True, log, kept)
    lost = inf
    if _fits(rows, switchings, log, kept):
        lost = first_of(at.E_BROWN_OUT, 0.0, log, switchings)
        if lost == inf and first_of(at.E_TRIP, 0.0, log, switchings) < inf:  # it ended with the trip
            status, rows, switchings = _rerun(p, s, interruptions, bounds, False, log, kept)
    p.firmware_first_frame_delay = first
    p.firmware_content_delay = content
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    lost = first_of(at.E_BROWN_OUT, 0.0, log, switchings)
    if status == at.DONE and running_at <= lost < inf:
        ended = running_at + p.firmware_frame_time + first
        if p.firmware_refresh_interval == 0.0:
            ended = min(ended, running_at + p.firmware_frame_time + content)
        note(FRAME_IN_TIME, lost - ended, lost - running_at, min(lost, ended), -1.0, slacks)
    return at.DONE


@compiled
def _read_slack(p, s, interruptions, tolerance, most_steps, most_switchings, y, m, q, log, kept, out, slacks):
    """Run, fill slacks (RULES, COLUMNS) and return the status; y, m, q, out are those of the run as it is.

    p is written to and put back. log and kept are work space; where they are too short the status is ROWS_SPENT.
    """
    n = y.shape[0]
    slacks[:, :] = nan
    status = one.run(p, s, interruptions, tolerance, most_steps, most_switchings, False, y, m, q, log, kept, out)
    if status != at.DONE:
        return status
    rows, switchings = int(out[one.KEPT]), int(m[at.SWITCHINGS])
    if not _fits(rows, switchings, log, kept):
        return ROWS_SPENT
    since = last_power_up(p, interruptions)
    released_at = first_of(at.E_RESET_RELEASE, 0.0, log, switchings)
    browned_out, tripped = m[at.BROWN_OUTS] > 0.0, m[at.TRIP_COUNT] > 0.0
    spent = first_of(at.E_ALLOWANCE_SPENT, 0.0, log, switchings) < inf
    forgot = first_of(at.E_FORGETS, since, log, switchings) < inf
    read_listen(kept, rows, n, log, switchings, since, p, s, slacks)
    read_times(log, switchings, not tripped, not spent, p, slacks)
    if released_at == inf:
        read_release(kept, rows, n, released_at, p, slacks)
    if not browned_out:
        read_brown_out(kept, rows, n, log, switchings, p, slacks)
    if not forgot:
        read_forget(kept, rows, n, since, p, s, slacks)
    # From here on log and kept are those of the runs without a rule.
    bounds = np.array([tolerance, float(most_steps), float(most_switchings)])
    if released_at < inf:
        status = max(status, _again_held(p, s, interruptions, bounds, released_at, log, kept, slacks))
    if m[at.RUNNING_AT] < inf:
        status = max(status, _again_without_frames(p, s, interruptions, bounds, m[at.RUNNING_AT], log, kept, slacks))
    if browned_out:
        status = max(status, _again_without_brown_out(p, s, interruptions, bounds, log, kept, slacks))
    if forgot:
        status = max(status, _again_without_forgetting(p, s, interruptions, bounds, log, kept, slacks))
    if tripped:
        status = max(status, _again_without_trip(p, s, interruptions, bounds, log, kept, slacks))
    if spent:
        status = max(status, _again_without_end_of_allowance(p, s, interruptions, bounds, log, kept, slacks))
    return status


@compiled
def slack_batch(parts, lumps, interruptions, tolerance, most_steps, most_switchings, rows, statuses, verdicts, slacks):
    """Run many builds and read the slack of each rule.

    Parameters
    ----------
    parts : (n,) array of PARTS
        Written to and put back [SI].
    lumps : (n or 1, M, LUMP_CONSTANTS) array
        Of each, or the same for all [SI].
    interruptions : (k, 2) array
        Mains off and on again [s].
    tolerance : float
        Local error allowed a step [1].
    most_steps, most_switchings, rows : int
        Bounds of a run, and room for its steps and for its switchings [1].
    statuses, verdicts : (n,) array of int
        Written to: how each ended, ROWS_SPENT where there was no room, and its verdict [1].
    slacks : (n, RULES, COLUMNS) array
        Written to [SI]; not a number where a rule has no say.
    """
    count = lumps.shape[1]
    y, m, q = np.empty(at.CORE + count), np.empty(at.MODES), np.empty((count, at.LUMP_MODES))
    out = np.empty(one.OUTS)
    log, kept = np.empty((rows, 3)), np.empty((rows, width(count)))
    for i in range(statuses.shape[0]):
        statuses[i] = _read_slack(
            parts[i], lumps[min(i, lumps.shape[0] - 1)], interruptions, tolerance, most_steps, most_switchings,
            y, m, q, log, kept, out, slacks[i],
        )  # fmt: skip
        verdicts[i] = judge(m, q)
