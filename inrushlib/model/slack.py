"""How far each rule of a run was from turning out otherwise: its slack.

``slack_batch``
    many builds: each run and what has to be run again for it, from numbers and arrays to a table of slacks, a verdict
    and a status
``own_slack_batch``
    many builds, each run once: what that run alone tells, for searches

A rule that takes effect cuts its own curve short: a rail that browns out is relieved at the very level it is held
against. So each such rule is read off another run, in which that rule alone never takes effect and all else is as it
was. Up to the first time it took effect both runs are the same; so the sign of a slack says whether it did.
The release of the reset is read with the controller held in reset, the time that a frame has with none sent.

The loop over the runs is plain: whatever compiled code calls the run is compiled together with all of it, and a run
takes a hundred times as long as a call of it.
"""

from __future__ import annotations

from math import inf, nan
from typing import Any

import numpy as np

from . import layout as at
from . import run as one
from .arguments import REALS, RECORDS, ROWS, WHOLE
from .compiled import compiled, entry
from .decided import UNTIL_END, UNTIL_LOST
from .dense_output import width
from .run import records
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
    room,
)

__all__ = ["COLUMNS", "ROWS_SPENT", "RULES", "own_slack_batch", "slack_batch"]

ROWS_SPENT = 100  # a status beside those of a run: log or kept steps did not fit
NEVER = 1e30  # [s]

# The runs that are made of a build: as it is, then without each rule that took effect, and without frames once more to
# the end where the adapter tripped first.
AS_IT_IS = -1
WITHOUT_FRAMES_TO_THE_END = RULES
RUNS = RULES + 1

# Instants of the run as it is, that the others are read against.
(RELEASED, RUNNING) = range(2)
INSTANTS = 2


# What each such run changes in the parts, so that the rule never takes effect.
LET_GO: dict[int, dict[str, float]] = {
    AS_IT_IS: {},
    RELEASE: {"controller_brownout_rising": inf},
    BROWN_OUT: {"controller_brownout_falling": -inf},
    FORGET: {"pixel_forget_voltage": -inf},
    TRIP: {"adapter_trip_delay": NEVER},
    ALLOWANCE: {"adapter_peak_time": NEVER},
    FRAME_IN_TIME: {"firmware_first_frame_delay": NEVER, "firmware_content_delay": NEVER},
    WITHOUT_FRAMES_TO_THE_END: {"firmware_first_frame_delay": NEVER, "firmware_content_delay": NEVER},
}


@compiled
def _read_as_it_is(kept, rows, log, switchings, since, p, s, m, wanted, instants, ends, now, best, slacks):
    """Read what took no effect off the run as it is, and say which rules have to be read off another; m as it ended."""
    n = at.CORE + s.shape[0]
    released_at = first_of(at.E_RESET_RELEASE, 0.0, log, switchings)
    wanted[RELEASE] = released_at < inf
    wanted[BROWN_OUT] = m[at.BROWN_OUTS] > 0.0
    wanted[TRIP] = m[at.TRIP_COUNT] > 0.0
    wanted[ALLOWANCE] = first_of(at.E_ALLOWANCE_SPENT, 0.0, log, switchings) < inf
    wanted[FORGET] = first_of(at.E_FORGETS, since, log, switchings) < inf
    wanted[FRAME_IN_TIME] = m[at.RUNNING_AT] < inf
    read_listen(kept, rows, n, log, switchings, since, p, s, ends, now, best, slacks)
    read_times(log, switchings, not wanted[TRIP], not wanted[ALLOWANCE], p, slacks)
    if not wanted[RELEASE]:
        read_release(kept, rows, n, inf, p, ends, slacks)
    if not wanted[BROWN_OUT]:
        read_brown_out(kept, rows, n, log, switchings, p, ends, slacks)
    if not wanted[FORGET]:
        read_forget(kept, rows, n, since, p, s, ends, slacks)
    instants[RELEASED], instants[RUNNING] = released_at, m[at.RUNNING_AT]


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
        # Two times against each other: over the longer one the share is as honest on either side of zero. Over the time
        # that the rail lasts it would be without bound where that is nothing.
        longer = max(lost, ended) - running_at
        note(lost - ended, longer, min(lost, ended), -1.0, slacks[FRAME_IN_TIME])


@compiled
def _read_without(which, kept, rows, log, switchings, since, instants, p, s, wanted, ends, slacks):
    """Read a rule off a run in which it never took effect; ``instants`` of the run as it is: released, running."""
    n = at.CORE + s.shape[0]
    if which == RELEASE:
        read_release(kept, rows, n, instants[RELEASED], p, ends, slacks)
    elif which == BROWN_OUT:
        read_brown_out(kept, rows, n, log, switchings, p, ends, slacks)
    elif which == FORGET:
        read_forget(kept, rows, n, since, p, s, ends, slacks)
    elif which in (TRIP, ALLOWANCE):
        read_times(log, switchings, which == TRIP, which == ALLOWANCE, p, slacks)
    else:
        _read_frame_in_time(log, switchings, instants[RUNNING], p, wanted, slacks)


@entry(
    WHOLE, ROWS, WHOLE, ROWS, WHOLE, ROWS, RECORDS, ROWS, REALS, REALS, REALS, REALS, ROWS, ROWS, ROWS
)  # fmt: skip
def _read(which, kept, rows, log, switchings, interruptions, parts, s, m, wanted, instants, ends, now, best, slacks):
    """Read what can be read off one of the runs, and of the run as it is, which others have to be made."""
    p = parts[0]
    since = last_power_up(p, interruptions)
    if which == AS_IT_IS:
        _read_as_it_is(kept, rows, log, switchings, since, p, s, m, wanted, instants, ends, now, best, slacks)
    else:
        _read_without(which, kept, rows, log, switchings, since, instants, p, s, wanted, ends, slacks)


def slack_batch(
    parts: Any, lumps: Any, interruptions: Any, tolerance: float, most_steps: float, most_switchings: float, rows: int,
    statuses: Any, answers: Any, slacks: Any,
) -> None:  # fmt: skip
    """Run many builds and read the slack of each rule.

    Parameters
    ----------
    parts : (n,) array of PARTS
        Their values [SI].
    lumps : (n or 1, M, LUMP_CONSTANTS) array
        Of each, or the same for all [SI].
    interruptions : (k, 2) array
        Mains off and on again [s].
    tolerance : float
        Local error allowed a step [1].
    most_steps, most_switchings, rows : int
        Bounds of a run, and room for its steps and for its switchings [1].
    statuses : (n,) array of int
        Written to: how each ended, ROWS_SPENT where there was no room [1].
    answers : (n, ANSWERS) array
        Written to: of the run as it is, as in :func:`inrushlib.model.batch.run_batch` [SI].
    slacks : (n, RULES, COLUMNS) array
        Written to [SI]; not a number where a rule has no say.
    """
    bench = _Bench(lumps.shape[1], rows, interruptions)
    bounds = (tolerance, most_steps, most_switchings)
    for i in range(len(statuses)):
        p, s = records(parts[i]), np.ascontiguousarray(lumps[min(i, len(lumps) - 1)])
        slacks[i], bench.wanted[:], bench.instants[:] = nan, 0.0, inf
        for which in range(AS_IT_IS, RUNS):
            if which != AS_IT_IS and not bench.wanted[which]:
                continue
            until = UNTIL_LOST if which == FRAME_IN_TIME else UNTIL_END
            status = bench.run(_without(which, p), s, (*bounds, until))
            if which == AS_IT_IS:
                statuses[i], answers[i] = status, bench.answers[0]
                if status != at.DONE:
                    break
            if not bench.fits:
                statuses[i] = ROWS_SPENT
                if which == AS_IT_IS:
                    break
            elif status == at.DONE:
                bench.read(which, bench.steps, p, s, slacks[i])


def own_slack_batch(
    parts: Any, lumps: Any, interruptions: Any, tolerance: float, most_steps: float, most_switchings: float, rows: int,
    until: int, answers: Any, slacks: Any,
) -> None:  # fmt: skip
    """Run many builds once each and read the slacks that their own runs tell.

    The release of the reset is read up to where the program runs: how high the rail was held. A rule that took effect
    cut its own curve short: its slack is 0 here, for how far it is from not doing so only another run tells; so are all
    of a run that did not fit or did not end. The time that a frame has is not read.

    Parameters
    ----------
    parts, lumps, interruptions, tolerance, most_steps, most_switchings, rows
        As in :func:`slack_batch` [SI].
    until : int
        As in :func:`inrushlib.model.batch.run_batch` [1].
    answers : (n, ANSWERS) array
        Written to, as there [SI].
    slacks : (n, RULES, COLUMNS) array
        Written to [SI]; not a number where a rule has no say.
    """
    bench = _Bench(lumps.shape[1], rows, interruptions)
    for i in range(len(answers)):
        p, s = records(parts[i]), np.ascontiguousarray(lumps[min(i, len(lumps) - 1)])
        slacks[i], bench.wanted[:], bench.instants[:] = nan, 0.0, inf
        status = bench.run(p, s, (tolerance, most_steps, most_switchings, until))
        answers[i] = bench.answers[0]
        if not bench.fits or status != at.DONE:
            slacks[i] = 0.0
            continue
        bench.read(AS_IT_IS, bench.steps, p, s, slacks[i])
        for rule in range(RULES):
            if bench.wanted[rule] and rule not in (RELEASE, FRAME_IN_TIME):
                slacks[i, rule] = 0.0
        if bench.wanted[RELEASE]:
            bench.read(RELEASE, bench.steps_until(bench.m[at.RUNNING_AT]), p, s, slacks[i])


class _Bench:
    """A run and its readings, in arrays that are made once for many.

    Attributes
    ----------
    wanted, instants : array
        Which rules have to be read off another run than the one as it is, and its instants [SI].
    m, out, answers : array
        Of the last run: modes at its end, counts and its verdict, its row of answers [SI].
    fits : bool
        Whether its steps and switchings had room.
    """

    def __init__(self, count: int, rows: int, interruptions: Any) -> None:
        self.interruptions = interruptions
        self.y, self.m, self.q = np.zeros(at.CORE + count), np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES))
        self.log, self.kept, self.out = np.zeros((rows, 3)), np.zeros((rows, width(count))), np.zeros(one.OUTS)
        self.to_read_in = room(count)
        self.to_run_in, self.answers = one.room(count), np.zeros((1, one.ANSWERS))
        self.wanted, self.instants = np.empty(RUNS), np.empty(INSTANTS)
        self.fits = False

    def run(self, p: Any, s: Any, bounds: tuple[float, float, float, int]) -> int:
        """Run parts ``p`` with lumps ``s`` within the ``bounds`` of a run; returns its status."""
        one.runs(
            p, s[None], self.interruptions, bounds, self.y, self.m, self.q, self.log, self.kept, self.out,
            self.to_run_in, self.answers,
        )  # fmt: skip
        self.fits = self.steps <= len(self.kept) and int(self.m[at.SWITCHINGS]) <= len(self.log)
        return int(self.answers[0, one.STATUS])

    @property
    def steps(self) -> int:
        """How many the last run took [1]."""
        return int(self.out[one.KEPT])

    def steps_until(self, t: float) -> int:
        """How many of them begin before an instant ``t`` [s]."""
        return int(np.searchsorted(self.kept[: self.steps, 0], t))

    def read(self, which: int, steps: int, p: Any, s: Any, slacks: Any) -> None:
        """Read the first ``steps`` of the last run into ``slacks`` as ``which`` of the runs of a build."""
        _read(
            which, self.kept, steps, self.log, int(self.m[at.SWITCHINGS]), self.interruptions, p, s, self.m,
            self.wanted, self.instants, *self.to_read_in, slacks,
        )  # fmt: skip


def _without(which: int, p: Any) -> Any:
    """Return the parts for one of the runs: a rule never takes effect."""
    if not LET_GO[which]:
        return p
    changed = p.copy()
    for name, value in LET_GO[which].items():
        changed[name] = value
    return changed
