"""The lead and plug that a larger adapter needs: one that drops too much makes it no larger where it counts, and one
that is rated for less gets hot.

``lead_for``     what to set
``lead_needed``  that in words
"""

from __future__ import annotations

from typing import Any, Final

from inrushlib.build import Build
from inrushlib.copper import ampacity_of_area, awg_area, wire_resistance
from inrushlib.copper.ampacity import BUNDLED, ampacity_table
from inrushlib.copper.gauge import STOCKED_AWG
from inrushlib.parts.connector import CONNECTORS, WIRE_CONNECTORS
from inrushlib.quantities import format_gauge, format_quantity
from inrushlib.remedies.outcome import Needed

HIGHEST_DROP: Final = 0.25
"""Of the lead's loop at the current on the label [V], as ``inrush wires`` takes it; common practice, no source."""
_GAUGE, _RESISTANCE, _CONNECTOR = "lead.gauge", "lead.resistance", "lead.connector"


def lead_for(build: Build, rating: float) -> dict[str, Any]:
    """Return what to set so that lead and plug carry what is on an adapter's label, and the lead drops little; nothing
    where they do already.

    The thinnest stocked gauge that does, or the thickest of all; where the build gives the lead's resistance, that. A
    lasting picture takes at most 80 % of the label, so that what is rated for the label has the usual 125 % of it.

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
    return _wire_for(build, rating) | _plug_for(build, rating)


def _wire_for(build: Build, rating: float) -> dict[str, Any]:
    lead, most = build.lead, HIGHEST_DROP / rating
    if _RESISTANCE in build.given:  # of copper and contacts together: its gauge is not known
        return {} if lead.resistance <= most else {_RESISTANCE: most}
    if lead.resistance <= most and _rated(lead.gauge) >= rating:
        return {}
    thicker = sorted(gauge for gauge in STOCKED_AWG if awg_area(gauge) > lead.gauge * (1 + 1e-9))
    areas = {gauge: awg_area(gauge) for gauge in thicker}
    enough = [
        gauge
        for gauge, area in areas.items()
        if 2 * wire_resistance(lead.length, area) <= most and _rated(area) >= rating
    ]
    return {_GAUGE: f"{max(enough) if enough else thicker[0]} AWG"} if thicker else {}


def _rated(area: float) -> float:
    """Return what a wire is rated for, bundled in a closed case [A]; nothing where it is thinner than the table's."""
    thinnest = awg_area(max(ampacity_table(BUNDLED).amperes))
    return ampacity_of_area(area, BUNDLED) if area >= thinnest * (1 - 1e-9) else 0.0


def _plug_for(build: Build, rating: float) -> dict[str, Any]:
    known = CONNECTORS.get(build.lead.connector)
    if known is None or known[0] >= rating:
        return {}
    larger = [name for name in WIRE_CONNECTORS if CONNECTORS[name][0] >= rating]
    return {_CONNECTOR: larger[0] if larger else max(WIRE_CONNECTORS, key=lambda name: CONNECTORS[name][0])}


def lead_needed(before: Build, after: Build) -> tuple[Needed, ...]:
    """Return what a lead and plug that were changed have to be, in words.

    Parameters
    ----------
    before, after : Build
        The build as it is, and changed.
    """
    found = []
    if _RESISTANCE in after.given and after.lead.resistance != before.lead.resistance:
        ohms = after.lead.resistance
        words = f"lead of at most {format_quantity(ohms, 'ohm', digits=2)}, there and back, connectors included"
        found.append(Needed(_RESISTANCE, ohms, "ohm", words))
    elif after.lead.gauge != before.lead.gauge:
        found.append(Needed(_GAUGE, after.lead.gauge, "m2", f"lead of {format_gauge(after.lead.gauge)}"))
    plug = after.lead.connector
    if plug != before.lead.connector:
        rated = format_quantity(CONNECTORS[plug][0], "A", digits=3)
        found.append(Needed(_CONNECTOR, plug, "", f"{plug} in the lead, rated {rated}, in place of its plug"))
    return tuple(found)
