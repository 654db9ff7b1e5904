"""How much current a fault in a conductor can draw without end: what a fuse has to blow from.

``FaultCurrents``, ``FaultSource``
    the currents, and what sets the largest of them
``fault_currents``
    those at the far end of a conductor of a build
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from inrushlib.build import Build
from inrushlib.laws.constants import JOINT_RESISTANCE
from inrushlib.parts import Adapter
from inrushlib.parts.place import LEAD, Place


class FaultSource(Enum):
    """What sets the most that can flow."""

    LIMIT = "the adapter's limit"
    SWITCH = "the load switch's limit"
    LOOP = "the resistance from the adapter to the far end"


@dataclass(frozen=True)
class FaultCurrents:
    """What can flow for long into a fault.

    Attributes
    ----------
    overload : float
        The most [A]: into a fault that asks for just what the supply gives without tripping or folding back.
    short : float
        Into a dead short [A]: folded back, or the heating mean of a supply that trips and tries again.
    source : FaultSource
        What sets the overload.
    """

    overload: float
    short: float
    source: FaultSource


def fault_currents(build: Build, place: Place) -> FaultCurrents:
    """Currents into a fault at the far end of the lead, or of a feed.

    ``overload = min(limit, V / R)``, R from the adapter to the far end; no more than a load switch's limit behind
    it. ``short``: the limit, or with foldback its current into a short, or with hiccup
    ``limit * sqrt(on / (on + off))``, with latch-off nothing.

    Parameters
    ----------
    build : Build
        The build [SI].
    place : Place
        The lead or a feed.

    Returns
    -------
    FaultCurrents
        Overload and short [A].

    Notes
    -----
    Of the adapter as the build describes it; a broken one may give more. Its short-term peak does not count: a build
    allows it for a minute at most, and a fuse may take two to open. The inrush limiter counts as warm, without
    resistance. The root mean square of a current that is on for a part of the time, by definition.
    """
    adapter = build.adapter
    currents = {FaultSource.LIMIT: adapter.limit_current}
    loop = adapter.output_resistance + build.lead.resistance
    if place != LEAD:
        switch = build.switch
        loop += JOINT_RESISTANCE if switch is None else switch.on_resistance
        loop += build.wiring.feed_resistance[build.wiring.feeds.index(place.index)]
        if switch is not None and switch.kind == "load-switch":
            currents[FaultSource.SWITCH] = switch.current_limit
    currents[FaultSource.LOOP] = adapter.rated_voltage / loop
    source = min(currents, key=lambda each: currents[each])
    return FaultCurrents(currents[source], min(currents[source], _into_a_short(adapter)), source)


def _into_a_short(adapter: Adapter) -> float:
    if adapter.limit_style == "foldback":
        return adapter.foldback_current
    if adapter.limit_style == "latch-off":
        return 0.0
    if adapter.limit_style == "hiccup":
        # The soft start of each try counts as time in the limit: it ends in the short all the while.
        on = adapter.trip_delay + adapter.soft_start
        return adapter.limit_current * math.sqrt(on / (on + adapter.retry_delay))
    return adapter.limit_current
