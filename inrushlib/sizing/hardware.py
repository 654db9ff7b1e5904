"""The copper and the contacts of a build, for the safety findings.

``Hardware``
    what the build file does not say, and what is to be taken instead of what it says
``conductor_currents``
    current by conductor: "lead", "feed to section 0", "hop 0-1"
``areas_of_build``, ``connectors_of_build``
    what the build file does say
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from inrushlib.build import Build
from inrushlib.panel import PanelState
from inrushlib.parts.connector import NOT_SAID


@dataclass(frozen=True)
class Hardware:
    """What the build file does not say. Conductors are named "lead", "feed to section 0", "hop 0-1".

    Attributes
    ----------
    areas : mapping of str to float
        Copper cross-section by conductor [m2], where it is not that of the build.
    connectors : mapping of str to str
        Class of connector by conductor, a key of ``CONNECTORS``, where it is not that of the build.
    table : str
        Ampacity table.
    ambient : float
        Air around the wires [C], -40 to 100.
    insulation_limit, short_limit : float
        Temperatures that the insulation stands for good and for moments [C]; 70 and 160 for PVC.
    fuse_family : str or None
        Key of ``FUSE_RATINGS``; None for the first family that has a rating that fits.
    melting_i2t : mapping of float to float or None
        Nominal melting I2t [A2 s] by rating [A], from the fuse's data sheet.
    starts : int
        Starts in the life of the display [-], 1 to 100,000.
    data_level : float or None
        High level of the data line [V]; None for the controller's rail.
    """

    areas: Mapping[str, float] = field(default_factory=dict)
    connectors: Mapping[str, str] = field(default_factory=dict)
    table: str = "chassis wiring"
    ambient: float = 25.0
    insulation_limit: float = 70.0
    short_limit: float = 160.0
    fuse_family: str | None = None
    melting_i2t: Mapping[float, float] | None = None
    starts: int = 10_000
    data_level: float | None = None


def conductor_currents(build: Build, state: PanelState) -> dict[str, float]:
    """Magnitude of the current in lead, feeds and hops.

    Parameters
    ----------
    build : Build
        The build [SI].
    state : PanelState
        Its steady panel [SI].

    Returns
    -------
    dict of str to float
        Current by conductor [A].
    """
    currents = {"lead": abs(state.lead_current)}
    for section, current in zip(build.wiring.feeds, state.feed_currents, strict=True):
        currents[f"feed to section {section}"] = abs(float(current))
    for hop, current in enumerate(state.hop_currents):
        currents[f"hop {hop}-{hop + 1}"] = abs(float(current))
    return currents


def areas_of_build(build: Build) -> dict[str, float]:
    """Copper of the conductors whose gauge the build says.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    dict of str to float
        Cross-section by conductor [m2]. A lead whose resistance was given without its gauge is not in it.
    """
    wiring = build.wiring
    told = "lead.gauge" in build.given or "lead.resistance" not in build.given
    areas = {"lead": build.lead.gauge} if told else {}
    if wiring.feed_gauge is not None:
        areas |= {f"feed to section {section}": wiring.feed_gauge for section in wiring.feeds}
    if wiring.hop_gauge is not None:
        areas |= {f"hop {k}-{k + 1}": wiring.hop_gauge for k in range(wiring.sections - 1)}
    return areas


def connectors_of_build(build: Build) -> dict[str, str]:
    """Class of connector of the conductors for which the build says it.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    dict of str to str
        Class by conductor, a key of ``CONNECTORS``.
    """
    kinds = {"lead": build.lead.connector}
    kinds |= {f"feed to section {section}": build.wiring.feed_connector for section in build.wiring.feeds}
    return {name: kind for name, kind in kinds.items() if kind != NOT_SAID}
