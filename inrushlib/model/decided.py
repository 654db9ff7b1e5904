"""When a run may end before its duration is over, because what is asked of it is known.

``UNTIL_END``      it runs for its duration
``UNTIL_LOST``     to its first brown-out or trip, behind which it can no longer boot at the first try
``UNTIL_DECIDED``  to where its verdict can no longer change
``decided``        whether it has come to that
``memory``         what it has to remember of a run
"""

from __future__ import annotations

from math import inf

import numpy as np
from numpy.typing import NDArray

from . import layout as at
from .compiled import compiled

(UNTIL_END, UNTIL_LOST, UNTIL_DECIDED) = range(3)

ALIKE = 1e-3  # [V] or [A] by which all rounds of resets to come may differ together to be the same

# What is remembered: of the last brown-out its count and instant, then the state, then what lumps show and hear.
(COUNT, INSTANT, STATE) = range(3)


def memory(n: int, lumps: int) -> NDArray[np.float64]:
    """Return room for what is remembered of a run with n states.

    Parameters
    ----------
    n, lumps : int
        States and lumps [1].
    """
    return np.zeros(STATE + n + 2 * lumps)


@compiled
def forget(seen):
    """Begin anew: no brown-out is remembered.

    Parameters
    ----------
    seen : array
        What is remembered [SI].
    """
    seen[COUNT] = 0.0


@compiled
def decided(t, y, p, m, q, seen):
    """Say whether nothing to come can change the verdict of :func:`inrushlib.model.judge.judge`.

    Mains that is still to come back begins anew. Else an adapter that has tripped and does not try again within the
    run stays off; a relapse is never forgotten: one by a trip is the adapter's, one by a brown-out is the
    controller's where the adapter cannot trip; and resets that go round in the same way go on doing so.

    Parameters
    ----------
    t : float
        Now [s].
    y : (n,) array
        State [SI].
    p : record
        Parts [SI].
    m, q : array
        Modes [SI].
    seen : array
        What is remembered [SI].
    """
    if m[at.MAINS_AT] < p.run_duration or m[at.MAINS] == 0.0:
        return False
    if m[at.TRIP_COUNT] > 0.0 and m[at.ON] == 0.0 and not m[at.RETRY_AT] < p.run_duration:
        return True
    if m[at.RELAPSE] == at.RELAPSE_TRIP:
        return True
    if p.adapter_trips > 0.0:
        return False
    if m[at.RELAPSE] == at.RELAPSE_BROWN_OUT:
        return True
    if m[at.BROWN_OUTS] == seen[COUNT]:
        return False
    around = seen[COUNT] > 0.0 and goes_round(t, y, p, m, q, seen)
    remember(t, y, m, q, seen)
    return around


@compiled
def goes_round(t, y, p, m, q, seen):
    """Say whether a brown-out is as the one before it, so that all to come are: the display was never ready between.

    Parameters
    ----------
    t : float
        Now [s].
    y : (n,) array
        State [SI].
    p : record
        Parts [SI].
    m, q : array
        Modes [SI].
    seen : array
        What is remembered [SI].
    """
    if m[at.READY_SEEN] > 0.0 or min(m[at.KINK], m[at.OWN_KINK], m[at.SPENT_AT]) < inf:
        return False
    n = y.shape[0]
    rounds = (p.run_duration - t) / (t - seen[INSTANT])
    for j in range(n):
        if abs(y[j] - seen[STATE + j]) * rounds > ALIKE:
            return False
    for k in range(q.shape[0]):
        if q[k, at.SHOWS] != seen[STATE + n + 2 * k] or q[k, at.HEARS] != seen[STATE + n + 2 * k + 1]:
            return False
    return True


@compiled
def remember(t, y, m, q, seen):
    """Keep a brown-out.

    Parameters
    ----------
    t : float
        Now [s].
    y : (n,) array
        State [SI].
    m, q : array
        Modes [SI].
    seen : array
        What is remembered [SI].
    """
    n = y.shape[0]
    seen[COUNT] = m[at.BROWN_OUTS]
    seen[INSTANT] = t
    for j in range(n):
        seen[STATE + j] = y[j]
    for k in range(q.shape[0]):
        seen[STATE + n + 2 * k] = q[k, at.SHOWS]
        seen[STATE + n + 2 * k + 1] = q[k, at.HEARS]
