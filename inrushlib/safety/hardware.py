"""The copper and the contacts of a build, for the safety findings.

``Hardware``
    what the build file does not say, and what is to be taken instead of what it says
``conductor_currents``
    current by conductor
``conductors_of``
    the conductors of a build: lead, feeds, hops
``areas_of_build``, ``connectors_of_build``
    what the build file does say
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from inrushlib.build import Build
from inrushlib.panel import PanelState
from inrushlib.parts.connector import NOT_SAID
from inrushlib.parts.place import LEAD, Place, feed, hop


@dataclass(frozen=True)
class Hardware:
    """What the build file does not say. Conductors are those of :func:`conductors_of`.

    Attributes
    ----------
    areas : mapping of Place to float
        Copper cross-section by conductor [m2], where it is not that of the build.
    connectors : mapping of Place to str
        Class of connector by conductor, a key of ``CONNECTORS``, where it is not that of the build.
    table : str
        Ampacity table.
    ambient : float
        Air around the wires [C], -40 to 100.
    insulation_limit, short_limit : float
        Temperatures that the insulation stands for good and for moments [C]; 70 and 160 for PVC.
    fuse_family : str or None
        Key of ``FUSE_FAMILIES``; None for the first family that has a rating that fits.
    melting_i2t : mapping of float to float or None
        Nominal melting I2t [A2 s] by rating [A], from the fuse's data sheet.
    starts : int
        Starts in the life of the display [1], 1 to 100,000.
    data_level : float or None
        High level of the data line [V]; None for the controller's rail.
    """

    areas: Mapping[Place, float] = field(default_factory=dict)
    connectors: Mapping[Place, str] = field(default_factory=dict)
    table: str = "chassis wiring"
    ambient: float = 25.0
    insulation_limit: float = 70.0
    short_limit: float = 160.0
    fuse_family: str | None = None
    melting_i2t: Mapping[float, float] | None = None
    starts: int = 10_000
    data_level: float | None = None


def conductors_of(build: Build) -> tuple[Place, ...]:
    """Lead, feeds and hops, in this order.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    tuple of Place
        The conductors, as in :attr:`inrushlib.startup.Startup.conductors`.
    """
    wiring = build.wiring
    return (LEAD, *(feed(section) for section in wiring.feeds), *(hop(k) for k in range(wiring.sections - 1)))


def conductor_currents(build: Build, state: PanelState) -> dict[Place, float]:
    """Magnitude of the current in lead, feeds and hops.

    Parameters
    ----------
    build : Build
        The build [SI].
    state : PanelState
        Its steady panel [SI].

    Returns
    -------
    dict of Place to float
        Current by conductor [A].
    """
    currents = (state.lead_current, *state.feed_currents, *state.hop_currents)
    return {place: abs(float(i)) for place, i in zip(conductors_of(build), currents, strict=True)}


def areas_of_build(build: Build) -> dict[Place, float]:
    """Copper of the conductors whose gauge the build says.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    dict of Place to float
        Cross-section by conductor [m2]. A lead whose resistance was given without its gauge is not in it.
    """
    wiring = build.wiring
    told = "lead.gauge" in build.given or "lead.resistance" not in build.given
    areas = {LEAD: build.lead.gauge} if told else {}
    if wiring.feed_gauge is not None:
        areas |= {feed(section): wiring.feed_gauge for section in wiring.feeds}
    if wiring.hop_gauge is not None:
        areas |= {hop(k): wiring.hop_gauge for k in range(wiring.sections - 1)}
    return areas


def connectors_of_build(build: Build) -> dict[Place, str]:
    """Class of connector of the conductors for which the build says it.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    dict of Place to str
        Class by conductor, a key of ``CONNECTORS``.
    """
    kinds = {LEAD: build.lead.connector}
    kinds |= {feed(section): build.wiring.feed_connector for section in build.wiring.feeds}
    return {place: kind for place, kind in kinds.items() if kind != NOT_SAID}
