"""The lead that a larger adapter needs: one that drops too much makes it no larger where it counts.

``lead_for``     what to set
``lead_needed``  that in words
"""

from __future__ import annotations

from typing import Any, Final

from inrushlib.build import Build
from inrushlib.copper import awg_area, wire_resistance
from inrushlib.copper.gauge import STOCKED_AWG
from inrushlib.quantities import format_gauge, format_quantity
from inrushlib.remedies.outcome import Needed

HIGHEST_DROP: Final = 0.25
"""Of the lead's loop at the current on the label [V], as ``inrush wires`` takes it; common practice, no source."""
_GAUGE, _RESISTANCE = "lead.gauge", "lead.resistance"


def lead_for(build: Build, rating: float) -> dict[str, Any]:
    """Return what to set so that the lead drops little at an adapter's label; nothing where it does already.

    The thinnest stocked gauge that does, or the thickest of all; where the build gives the lead's resistance, that.

    Parameters
    ----------
    build : Build
        Any build.
    rating : float
        On the adapter's label [A].

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> lead_for(build, 1.0), lead_for(build, 8.0)
    ({}, {'lead.gauge': '14 AWG'})
    """
    lead, most = build.lead, HIGHEST_DROP / rating
    if lead.resistance <= most:
        return {}
    if _RESISTANCE in build.given:
        return {_RESISTANCE: most}
    thicker = sorted(gauge for gauge in STOCKED_AWG if awg_area(gauge) > lead.gauge * (1 + 1e-9))
    if not thicker:
        return {}
    enough = [gauge for gauge in thicker if 2 * wire_resistance(lead.length, awg_area(gauge)) <= most]
    return {_GAUGE: f"{max(enough) if enough else thicker[0]} AWG"}


def lead_needed(before: Build, after: Build) -> tuple[Needed, ...]:
    """Return what a lead that was changed has to be, in words.

    Parameters
    ----------
    before, after : Build
        The build as it is, and changed.
    """
    if _RESISTANCE in after.given and after.lead.resistance != before.lead.resistance:
        ohms = after.lead.resistance
        words = f"lead of at most {format_quantity(ohms, 'ohm', digits=2)}, there and back, connectors included"
        return (Needed(_RESISTANCE, ohms, "ohm", words),)
    if after.lead.gauge != before.lead.gauge:
        return (Needed(_GAUGE, after.lead.gauge, "m2", f"lead of {format_gauge(after.lead.gauge)}"),)
    return ()
