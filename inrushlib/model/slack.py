"""How far each rule of a run was from turning out otherwise: its slack.

``slack_batch``
    many builds in one compiled loop: each run and what has to be run again for it, from numbers and arrays to a table
    of slacks, a verdict and a status

A rule that takes effect cuts its own curve short: a rail that browns out is relieved at the very level it is held
against. So each such rule is read off another run, in which that rule alone never takes effect and all else is as it
was. Up to the first time it took effect both runs are the same; so the sign of a slack says whether it did.
The release of the reset is read with the controller held in reset, the time that a frame has with none sent.

Only ``slack_batch`` calls the run: whatever calls it is compiled together with all of it.
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
    ALLOWANCE,
    BROWN_OUT,
    COLUMNS,
    FORGET,
    FRAME_IN_TIME,
    RELEASE,
    RULES,
    TRIP,
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

# The runs that are made of a build: as it is, then without each rule that took effect, and without frames once more to
# the end where the adapter tripped first.
AS_IT_IS = -1
WITHOUT_FRAMES_TO_THE_END = RULES
RUNS = RULES + 1


@compiled
def _let_go(which, p, own):
    """Change the parts so that a rule never takes effect; ``own`` keeps what they were."""
    if which == RELEASE:
        own[0] = p.controller_brownout_rising
        p.controller_brownout_rising = inf
    elif which == BROWN_OUT:
        own[0] = p.controller_brownout_falling
        p.controller_brownout_falling = -inf
    elif which == FORGET:
        own[0] = p.pixel_forget_voltage
        p.pixel_forget_voltage = -inf
    elif which == TRIP:
        own[0] = p.adapter_trip_delay
        p.adapter_trip_delay = NEVER
    elif which == ALLOWANCE:
        own[0] = p.adapter_peak_time
        p.adapter_peak_time = NEVER
    elif which in (FRAME_IN_TIME, WITHOUT_FRAMES_TO_THE_END):
        own[0], own[1] = p.firmware_first_frame_delay, p.firmware_content_delay
        p.firmware_first_frame_delay = NEVER
        p.firmware_content_delay = NEVER


@compiled
def _put_back(which, p, own):
    """Give the parts back what they were."""
    if which == RELEASE:
        p.controller_brownout_rising = own[0]
    elif which == BROWN_OUT:
        p.controller_brownout_falling = own[0]
    elif which == FORGET:
        p.pixel_forget_voltage = own[0]
    elif which == TRIP:
        p.adapter_trip_delay = own[0]
    elif which == ALLOWANCE:
        p.adapter_peak_time = own[0]
    elif which in (FRAME_IN_TIME, WITHOUT_FRAMES_TO_THE_END):
        p.firmware_first_frame_delay = own[0]
        p.firmware_content_delay = own[1]


@compiled
def _read_as_it_is(kept, rows, log, switchings, since, p, s, m, wanted, slacks):
    """Read what took no effect off the run as it is, and say which rules have to be read off another; m as it ended."""
    n = at.CORE + s.shape[0]
    released_at = first_of(at.E_RESET_RELEASE, 0.0, log, switchings)
    wanted[RELEASE] = released_at < inf
    wanted[BROWN_OUT] = m[at.BROWN_OUTS] > 0.0
    wanted[TRIP] = m[at.TRIP_COUNT] > 0.0
    wanted[ALLOWANCE] = first_of(at.E_ALLOWANCE_SPENT, 0.0, log, switchings) < inf
    wanted[FORGET] = first_of(at.E_FORGETS, since, log, switchings) < inf
    wanted[FRAME_IN_TIME] = m[at.RUNNING_AT] < inf
    read_listen(kept, rows, n, log, switchings, since, p, s, slacks)
    read_times(log, switchings, not wanted[TRIP], not wanted[ALLOWANCE], p, slacks)
    if not wanted[RELEASE]:
        read_release(kept, rows, n, inf, p, slacks)
    if not wanted[BROWN_OUT]:
        read_brown_out(kept, rows, n, log, switchings, p, slacks)
    if not wanted[FORGET]:
        read_forget(kept, rows, n, since, p, s, slacks)
    return released_at, m[at.RUNNING_AT]


@compiled
def _read_frame_in_time(log, switchings, running_at, p, wanted, slacks):
    """Read how long before the brown-out of a run without frames the first one ends."""
    lost = first_of(at.E_BROWN_OUT, 0.0, log, switchings)
    if lost == inf:  # a run until the first loss has ended with the trip
        wanted[WITHOUT_FRAMES_TO_THE_END] = first_of(at.E_TRIP, 0.0, log, switchings) < inf
    if running_at <= lost < inf:
        delay = p.firmware_first_frame_delay
        if p.firmware_refresh_interval == 0.0:
            delay = min(delay, p.firmware_content_delay)
        ended = running_at + delay + p.firmware_frame_time
        note(FRAME_IN_TIME, lost - ended, lost - running_at, min(lost, ended), -1.0, slacks)


@compiled
def _read_without(which, kept, rows, log, switchings, since, instants, p, s, wanted, slacks):
    """Read a rule off a run in which it never took effect; ``instants`` of the run as it is: released, running."""
    n = at.CORE + s.shape[0]
    if which == RELEASE:
        read_release(kept, rows, n, instants[0], p, slacks)
    elif which == BROWN_OUT:
        read_brown_out(kept, rows, n, log, switchings, p, slacks)
    elif which == FORGET:
        read_forget(kept, rows, n, since, p, s, slacks)
    elif which in (TRIP, ALLOWANCE):
        read_times(log, switchings, which == TRIP, which == ALLOWANCE, p, slacks)
    else:
        _read_frame_in_time(log, switchings, instants[1], p, wanted, slacks)


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
    out, own, instants = np.empty(one.OUTS), np.empty(2), (inf, inf)
    log, kept = np.empty((rows, 3)), np.empty((rows, width(count)))
    wanted = np.zeros(RUNS, dtype=np.bool_)
    for i in range(statuses.shape[0]):
        p, s = parts[i], lumps[min(i, lumps.shape[0] - 1)]
        since = last_power_up(p, interruptions)
        slacks[i, :, :] = nan
        wanted[:] = False
        for which in range(AS_IT_IS, RUNS):
            if which != AS_IT_IS and not wanted[which]:
                continue
            _let_go(which, p, own)
            status = one.run(
                p, s, interruptions, tolerance, most_steps, most_switchings, which == FRAME_IN_TIME,
                y, m, q, log, kept, out,
            )  # fmt: skip
            _put_back(which, p, own)
            used, switchings = int(out[one.KEPT]), int(m[at.SWITCHINGS])
            fits = used <= kept.shape[0] and switchings <= log.shape[0]
            if which == AS_IT_IS:
                statuses[i] = status
                verdicts[i] = judge(m, q)
            if not fits:
                statuses[i] = ROWS_SPENT
            if not fits or (which == AS_IT_IS and status != at.DONE):
                break
            if which == AS_IT_IS:
                instants = _read_as_it_is(kept, used, log, switchings, since, p, s, m, wanted, slacks[i])
            elif status == at.DONE:
                _read_without(which, kept, used, log, switchings, since, instants, p, s, wanted, slacks[i])
