"""What each conductor has to stand: its wire, its insulation, its connector.

``Load``, ``Conductor``
    the currents of one conductor, and what it is made of
``conductor_findings``
    the findings about it; that about its fuse is in :mod:`~inrushlib.safety.fuse_findings`
``rating_of``, ``connector_rating``
    what its wire and its connector stand
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.copper import adiabatic_factor, adiabatic_limit, ampacity_of_area, wire_temperature
from inrushlib.copper.ampacity import ampacity_table
from inrushlib.errors import BuildError, UsageError
from inrushlib.parts.connector import CONNECTORS
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.safety.finding import CONTINUOUS_SHARE, Finding, Question, judge
from inrushlib.safety.hardware import Hardware
from inrushlib.severity import Severity

COOLER = 10.0  # [K] below its limit that an insulation should stay
GAUGE_KEYS = {
    PlaceKind.LEAD: "lead.gauge",
    PlaceKind.FEED: "wiring.feed_gauge",
    PlaceKind.HOP: "wiring.hop_gauge",
}


@dataclass(frozen=True)
class Conductor:
    """What one conductor is made of, as far as it is known.

    Attributes
    ----------
    place : Place
        Lead, feed or hop.
    area : float or None
        Copper cross-section [m2]; None where it is not known.
    connector : str or None
        Class of its connector, a key of ``CONNECTORS``; None where it is not known.
    """

    place: Place
    area: float | None
    connector: str | None


@dataclass(frozen=True)
class Load:
    """The currents of one conductor.

    Attributes
    ----------
    conductor : Conductor
        What it is made of.
    running, stalled : float
        In the picture that is shown, and while the display stays in its power-on colour [A].
    pulse : float or None
        I2t of the start-up [A2 s]; None where it is not known.
    behind : tuple of Conductor
        What else a fuse in this one protects.
    """

    conductor: Conductor
    running: float
    stalled: float
    pulse: float | None
    behind: tuple[Conductor, ...] = ()

    @property
    def place(self) -> Place:
        """The conductor's place."""
        return self.conductor.place

    @property
    def lasting(self) -> float:
        """The larger of the two currents [A]: a display that stays lit has to be stood as well."""
        return max(self.running, self.stalled)


def conductor_findings(build: Build, load: Load, given: Hardware) -> list[Finding]:
    """Findings about one conductor.

    Parameters
    ----------
    build : Build
        The build [SI].
    load : Load
        Its currents [SI].
    given : Hardware
        Tables and temperatures [SI].

    Returns
    -------
    list of Finding
        Wire, heat, start-up pulse and connector, those that can be judged.
    """
    found = [_wire(build, load, given)]
    area = load.conductor.area
    if area is not None:
        found.append(_stall(load, area, given))
        if load.pulse is not None:
            found.append(_pulse(load.place, load.pulse, area, given))
    if load.conductor.connector is not None:
        found.append(_connector(load, load.conductor.connector))
    return found


def rating_of(build: Build, place: Place, area: float, table: str) -> float:
    """Rated current of a conductor's wire.

    Parameters
    ----------
    build : Build
        The build, for the message.
    place : Place
        The conductor.
    area : float
        Its cross-section [m2].
    table : str
        Ampacity table.

    Returns
    -------
    float
        Rated current [A].

    Raises
    ------
    UsageError
        Where there is no such table.
    BuildError
        Where the wire is thinner than the table's, naming the key.
    """
    ampacity_table(table)
    try:
        return ampacity_of_area(area, table)
    except UsageError as error:
        key = GAUGE_KEYS[place.kind]
        raise BuildError([f"{key}, {place}: {problem}" for problem in error.problems], build.title) from None


def connector_rating(place: Place, kind: str) -> tuple[float, str]:
    """Rated current of a connector, and where that comes from.

    Parameters
    ----------
    place : Place
        The conductor, for the message.
    kind : str
        Its connector's class.

    Returns
    -------
    tuple of (float, str)
        Rated current [A], source.

    Raises
    ------
    UsageError
        Where the class is not known.
    """
    if kind not in CONNECTORS:
        raise UsageError(f"connector of {place}: {kind!r}; accepted: {', '.join(CONNECTORS)}")
    return CONNECTORS[kind]


def _wire(build: Build, load: Load, given: Hardware) -> Finding:
    place, area, source = load.place, load.conductor.area, f"ampacity table {given.table!r}"
    if area is None:
        remedy = f"say how thick this wire is ({GAUGE_KEYS[place.kind]}), so that it can be judged"
        return Finding(place, Question.WIRE_RATING, Severity.NOTE, load.running, None, "A", source, remedy)
    rating = rating_of(build, place, area, given.table)
    severity = judge(load.running, CONTINUOUS_SHARE * rating, rating)
    source += "; 80 % of it for a lasting load, NEC 210.20(A)"
    more = "limit the brightness" if place.kind is PlaceKind.LEAD else "add a feed, or limit the brightness"
    remedy = "" if severity is Severity.FINE else f"use a thicker wire, or {more}"
    return Finding(place, Question.WIRE_RATING, severity, load.running, rating, "A", source, remedy)


def _stall(load: Load, area: float, given: Hardware) -> Finding:
    celsius = wire_temperature(load.stalled, area, given.ambient)
    severity = judge(celsius, given.insulation_limit - COOLER, given.insulation_limit)
    remedy = ""
    if severity is not Severity.FINE:
        remedy = "use a thicker wire: a controller that hangs keeps it lit, and a fuse that carries that does not blow"
    source = "insulation limit; single wire in still air, natural convection and radiation. Bundles get hotter"
    return Finding(
        load.place, Question.WIRE_STALLED, severity, celsius, given.insulation_limit, "C", source, remedy
    )  # fmt: skip


def _pulse(place: Place, i2t: float, area: float, given: Hardware) -> Finding:
    limit = adiabatic_limit(area, adiabatic_factor(given.insulation_limit, given.short_limit))
    severity = judge(i2t, 0.5 * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a thicker wire or a gentler start"
    source = "adiabatic equation, IEC 60364-5-54 / BS 7671 543.1.3; the largest pulse above the lasting current"
    return Finding(place, Question.WIRE_PULSE, severity, i2t, limit, "A2s", source, remedy)


def _connector(load: Load, kind: str) -> Finding:
    limit, source = connector_rating(load.place, kind)
    severity = judge(load.lasting, CONTINUOUS_SHARE * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a larger connector, two of them, or more feeds"
    return Finding(
        load.place, Question.CONNECTOR, severity, load.lasting, limit, "A", source, remedy, detail=kind
    )  # fmt: skip
