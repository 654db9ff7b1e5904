"""When a run may end before its duration is over, because what is asked of it is known.

``UNTIL_END``      it runs for its duration
``UNTIL_LOST``     to its first brown-out or trip, behind which it can no longer boot at the first try
``UNTIL_DECIDED``  to where its verdict can no longer change
``decided``        whether it has come to that
"""

from __future__ import annotations

from . import layout as at
from .compiled import compiled

(UNTIL_END, UNTIL_LOST, UNTIL_DECIDED) = range(3)


@compiled
def decided(p, m):
    """Say whether nothing to come can change the verdict of :func:`inrushlib.model.judge.judge`.

    Mains that is still to come back begins anew. Else an adapter that has tripped and does not try again within the
    run stays off; and a relapse is never forgotten: one by a trip is the adapter's, one by a brown-out is the
    controller's where the adapter cannot trip.
    """
    if m[at.MAINS_AT] < p.run_duration or m[at.MAINS] == 0.0:
        return False
    if m[at.TRIP_COUNT] > 0.0 and m[at.ON] == 0.0 and not m[at.RETRY_AT] < p.run_duration:
        return True
    if m[at.RELAPSE] == at.RELAPSE_TRIP:
        return True
    return m[at.RELAPSE] == at.RELAPSE_BROWN_OUT and p.adapter_trips == 0.0 and m[at.TRIP_COUNT] == 0.0
