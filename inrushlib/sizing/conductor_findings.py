"""What each conductor has to stand: its wire, its insulation, its connector, its fuse.

``Load``
    the currents of one conductor
``conductor_findings``
    the findings about it
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.copper import adiabatic_factor, adiabatic_limit, ampacity_of_area, wire_temperature
from inrushlib.errors import BuildError
from inrushlib.parts.connector import CONNECTORS
from inrushlib.sizing.finding import CONTINUOUS_SHARE, Finding, Severity, judge
from inrushlib.sizing.fuse import FUSE_RATINGS, HIGHEST_LOAD_SHARE, FuseChoice, fuse_for
from inrushlib.sizing.hardware import Hardware

COOLER = 10.0  # [K] below its limit that an insulation should stay
GAUGE_KEYS = {"lead": "lead.gauge", "feed": "wiring.feed_gauge", "hop": "wiring.hop_gauge"}


@dataclass(frozen=True)
class Load:
    """The currents of one conductor.

    Attributes
    ----------
    name : str
        "lead", "feed to section 0", "hop 0-1".
    running, stalled : float
        In the picture that is shown, and while the display stays in its power-on colour [A].
    pulse : float or None
        I2t of the start-up [A2 s]; None where it is not known.
    area : float or None
        Copper cross-section [m2]; None where it is not known.
    connector : str or None
        Class of its connector; None where it is not known.
    thinnest : tuple of (str, float)
        The thinnest known conductor that a fuse in this one protects, itself or one behind it, and its area [m2].
    """

    name: str
    running: float
    stalled: float
    pulse: float | None
    area: float | None
    connector: str | None
    thinnest: tuple[str, float] | None

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
        Wire, heat, start-up pulse, connector and fuse, those that can be judged.
    """
    found = [_wire(build, load, given)]
    if load.area is not None:
        found.append(_stall(load, load.area, given))
        if load.pulse is not None:
            found.append(_pulse(load.name, load.pulse, load.area, given))
    if load.connector is not None:
        found.append(_connector(load, load.connector))
    if not load.name.startswith("hop"):
        found.append(_fuse(build, load, given))
    return found


def rating_of(build: Build, name: str, area: float, table: str) -> float:
    """Rated current of a conductor's wire.

    Parameters
    ----------
    build : Build
        The build, for the message [-].
    name : str
        The conductor [-].
    area : float
        Its cross-section [m2].
    table : str
        Ampacity table [-].

    Returns
    -------
    float
        Rated current [A]; an error that names the key where the wire is thinner than the table's.
    """
    try:
        return ampacity_of_area(area, table)
    except BuildError as error:
        key = GAUGE_KEYS[name.split()[0]]
        raise BuildError([f"{key}, {name}: {problem}" for problem in error.problems], build.title) from None


def _wire(build: Build, load: Load, given: Hardware) -> Finding:
    what, source = f"{load.name}: current against the wire's rating", f"ampacity table {given.table!r}"
    if load.area is None:
        remedy = f"say how thick this wire is ({GAUGE_KEYS[load.name.split()[0]]}), so that it can be judged"
        return Finding(what, Severity.NOTE, load.running, None, "A", source, remedy)
    rating = rating_of(build, load.name, load.area, given.table)
    severity = judge(load.running, CONTINUOUS_SHARE * rating, rating)
    source += "; 80 % of it for a lasting load, NEC 210.20(A)"
    more = "limit the brightness" if load.name == "lead" else "add a feed, or limit the brightness"
    remedy = "" if severity is Severity.FINE else f"use a thicker wire, or {more}"
    return Finding(what, severity, load.running, rating, "A", source, remedy)


def _stall(load: Load, area: float, given: Hardware) -> Finding:
    celsius = wire_temperature(load.stalled, area, given.ambient)
    severity = judge(celsius, given.insulation_limit - COOLER, given.insulation_limit)
    remedy = "" if severity is Severity.FINE else "use a thicker wire or a fuse: a controller that hangs keeps it lit"
    return Finding(
        f"{load.name}: wire temperature while the display stays in its power-on colour",
        severity,
        celsius,
        given.insulation_limit,
        "C",
        "insulation limit; single wire in still air, natural convection and radiation. Bundles get hotter",
        remedy,
    )


def _pulse(name: str, i2t: float, area: float, given: Hardware) -> Finding:
    limit = adiabatic_limit(area, adiabatic_factor(given.insulation_limit, given.short_limit))
    severity = judge(i2t, 0.5 * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a thicker wire or a gentler start"
    return Finding(
        f"{name}: I2t of the start-up against what the insulation survives",
        severity,
        i2t,
        limit,
        "A2s",
        "adiabatic equation, IEC 60364-5-54 / BS 7671 543.1.3; the longest pulse above what can last",
        remedy,
    )


def _connector(load: Load, kind: str) -> Finding:
    if kind not in CONNECTORS:
        raise BuildError(f"connector of {load.name}: {kind!r}; accepted: {', '.join(CONNECTORS)}")
    limit, source = CONNECTORS[kind]
    severity = judge(load.lasting, CONTINUOUS_SHARE * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a larger connector, two of them, or more feeds"
    return Finding(
        f"{load.name}: current through its {kind} connector", severity, load.lasting, limit, "A", source, remedy
    )


def _fuse(build: Build, load: Load, given: Hardware) -> Finding:
    what = f"{load.name}: fuse"
    least = load.lasting / HIGHEST_LOAD_SHARE
    if load.area is None or load.thinnest is None:
        return Finding(
            f"{what} rating", Severity.NOTE, least, None, "A",
            "running current over 75 % (fuse maker, EDN, 26 September 1996)",
            "at least this; say how thick the wire is to learn what it may be at most",
        )  # fmt: skip
    thinnest, area = load.thinnest
    rating = rating_of(build, thinnest, area, given.table)
    wire = "its wire" if thinnest == load.name else f"{thinnest} behind it"
    choice = _choose(load, rating, wire, given)
    source = 'between running current over 75 % (EDN, 1996) and the wire; pulses by catalogue "Fuseology" (2017)'
    if choice.rating is None:
        what += ", of which none fits: least rating"
        return Finding(what, Severity.CAUTION, least, rating, "A", source, choice.why_not)
    survive = "" if not load.pulse else f", its melting I2t at least {choice.melting_i2t:.3g} A2s"
    remedy = f"fit a fuse of {choice.rating:g} A{survive}; it protects {wire}"
    return Finding(f"{what} rating", Severity.NOTE, choice.rating, rating, "A", source, remedy)


def _choose(load: Load, rating: float, wire: str, given: Hardware) -> FuseChoice:
    """The fuse of the given family, or of the first family in which one fits."""
    family = given.fuse_family
    if family is not None and family not in FUSE_RATINGS:
        raise BuildError(f"fuse family: {family!r}; accepted: {', '.join(FUSE_RATINGS)}")
    families = [FUSE_RATINGS[family]] if family is not None else list(FUSE_RATINGS.values())
    choices = [
        fuse_for(
            load.lasting, rating, load.pulse or 0.0, starts=given.starts, ratings=ratings,
            melting_i2t=given.melting_i2t, wire=wire,
        )
        for ratings in families
    ]  # fmt: skip
    return next((choice for choice in choices if choice.rating is not None), choices[-1])
