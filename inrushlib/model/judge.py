"""The verdict as a number, from the modes at the end of a run.

``judge``
    the first row of the table of verdicts that fits
"""

from __future__ import annotations

from . import layout as at
from .compiled import compiled
from .firmware import all_shown

# In the order of the table.
(BOOTS, BOOTS_AFTER_RESETS, ADAPTER_TRIPS, KEEPS_RESETTING, DISPLAY_STAYS_LIT, STUCK) = range(6)


@compiled
def judge(m, q):
    """Return the verdict of a run that ended with modes m and sections' modes q."""
    in_run = m[at.STATE] == at.RUN
    shown = all_shown(q)
    on = m[at.ON] > 0.0
    if in_run and shown and on and m[at.RELAPSE] == at.NO_RELAPSE:
        if m[at.BROWN_OUTS] == 0.0 and m[at.TRIP_COUNT] == 0.0:
            return BOOTS
        return BOOTS_AFTER_RESETS
    if m[at.TRIP_COUNT] > 0.0 and (not in_run or not on or m[at.RELAPSE] == at.RELAPSE_TRIP):
        return ADAPTER_TRIPS
    if m[at.BROWN_OUTS] > 0.0:
        return KEEPS_RESETTING
    if in_run and not shown:
        return DISPLAY_STAYS_LIT
    return STUCK
