"""Safety findings: wires, connectors, fuses, the adapter's class, the data line, a display that stays lit.

``safety_findings``
    all findings of a build, worst first
``Hardware``
    what the build file does not say: wire sizes, connectors, fuses, temperatures
``CONNECTORS``
    current by class of connector

They are cautions: :data:`inrushlib.sizing.finding.DEFERS` goes with every list.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from inrushlib.build import Build
from inrushlib.copper import adiabatic_factor, adiabatic_limit, ampacity_of_area, wire_temperature
from inrushlib.errors import BuildError
from inrushlib.panel import PanelState, solve_panel
from inrushlib.sizing.data_line import data_line_findings
from inrushlib.sizing.finding import Finding, Severity, judge
from inrushlib.sizing.fuse import FUSE_RATINGS, HIGHEST_LOAD_SHARE, fuse_for
from inrushlib.sizing.limited_power import limited_power_findings
from inrushlib.sizing.pulse import start_pulses
from inrushlib.startup import Startup

CONTINUOUS_SHARE = 0.8
"""Continuous load as a share of a rating: 1 / 1.25 (NEC 210.20(A), 215.3)."""

CONNECTORS: Final[dict[str, tuple[float, str]]] = {
    "USB Type-C": (3.0, "USB Type-C specification, without an electronically marked cable"),
    "USB Micro-B": (1.8, "USB Micro-B specification (from memory)"),
    "barrel jack 5.5 mm x 2.1 mm": (5.0, "common practice, no source; data sheets say 2 A to 5 A"),
    "2.0 mm pitch wire-to-board": (2.0, "common practice, no source"),
    "2.5 mm pitch wire-to-wire": (3.0, "common practice, no source"),
    "2.54 mm pin header": (3.0, "common practice, no source"),
    "5.08 mm screw terminal": (10.0, "common practice, no source"),
    "splice terminal 2.5 mm2": (20.0, "common practice, no source"),
    "6.3 mm blade terminal": (15.0, "common practice, no source"),
}
"""Current of a contact [A] and where that comes from, by class of connector."""


@dataclass(frozen=True)
class Hardware:
    """What the build file does not say. Conductors are named "lead", "feed to section 0", "hop 0-1".

    Attributes
    ----------
    areas : mapping of str to float
        Copper cross-section by conductor [m2].
    connectors : mapping of str to str
        Class of connector by conductor, a key of ``CONNECTORS``.
    table : str
        Ampacity table.
    ambient : float
        Air around the wires [C], -40 to 100.
    insulation_limit, short_limit : float
        Temperatures that the insulation stands for good and for moments [C]; 70 and 160 for PVC.
    fuse_family : str
        Key of ``FUSE_RATINGS``.
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
    fuse_family: str = "miniature"
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


def safety_findings(
    build: Build, state: PanelState, startup: Startup | None = None, hardware: Hardware | None = None
) -> tuple[Finding, ...]:
    """Everything about a build that can get hot, blow, or misread, worst first.

    Parameters
    ----------
    build : Build
        The build [SI].
    state : PanelState
        The steady panel in its brightest picture [SI].
    startup : Startup or None
        A start of the build, for the pulses; None leaves those findings out.
    hardware : Hardware or None
        Wire sizes, connectors, fuses; None for what the build alone says.

    Returns
    -------
    tuple of Finding
        Dangers first, fine last.

    Notes
    -----
    Cautions, not an approval: local codes decide, and mains and building wiring belong to a licensed person.
    """
    given = hardware or Hardware()
    running = conductor_currents(build, state)
    known = {**_areas_of_build(build), **given.areas}
    _check_names(running, {**given.areas, **given.connectors})
    stalled = solve_panel(build, build.pixel.power_on)
    stall = conductor_currents(build, stalled)
    pulses = {} if startup is None else start_pulses(startup, running)
    findings: list[Finding] = []
    for name, current in running.items():
        area = known.get(name)
        findings += _wire_findings(name, current, area, given)
        if area is not None:
            findings.append(_stall_finding(name, stall[name], area, given))
            if name in pulses:
                findings.append(_pulse_finding(name, pulses[name], area, given))
        if name in given.connectors:
            findings.append(_connector_finding(name, max(current, stall[name]), given.connectors[name]))
        if not name.startswith("hop"):
            findings.append(_fuse_finding(name, current, area, pulses.get(name), given))
    findings += limited_power_findings(build)
    findings += data_line_findings(build, (state, stalled), given.data_level)
    return tuple(sorted(findings, key=lambda finding: -finding.severity.rank))


def _areas_of_build(build: Build) -> dict[str, float]:
    """The lead's copper, unless its resistance was given and its gauge was not."""
    told = "lead.gauge" in build.given or "lead.resistance" not in build.given
    return {"lead": build.lead.gauge} if told else {}


def _check_names(running: Mapping[str, float], given: Mapping[str, object]) -> None:
    problems = [
        f"conductor: {name!r} is not in this build; accepted: {', '.join(running)}"
        for name in given
        if name not in running
    ]
    if problems:
        raise BuildError(problems)


def _rating(name: str, area: float, given: Hardware) -> float:
    try:
        return ampacity_of_area(area, given.table)
    except BuildError as error:
        raise BuildError([f"{name}: {problem}" for problem in error.problems]) from None


def _wire_findings(name: str, current: float, area: float | None, given: Hardware) -> list[Finding]:
    what, source = f"{name}: current against the wire's rating", f"ampacity table {given.table!r}"
    if area is None:
        remedy = "say how thick this wire is, so that it can be judged"
        return [Finding(what, Severity.NOTE, current, None, "A", source, remedy)]
    rating = _rating(name, area, given)
    severity = judge(current, CONTINUOUS_SHARE * rating, rating)
    source += "; 80 % of it for a lasting load, NEC 210.20(A)"
    remedy = "" if severity is Severity.FINE else "use a thicker wire, add a feed, or limit the brightness"
    return [Finding(what, severity, current, rating, "A", source, remedy)]


def _stall_finding(name: str, current: float, area: float, given: Hardware) -> Finding:
    celsius = wire_temperature(current, area, given.ambient)
    severity = judge(celsius, given.insulation_limit - 10.0, given.insulation_limit)
    remedy = "" if severity is Severity.FINE else "use a thicker wire or a fuse: a controller that hangs keeps it lit"
    return Finding(
        f"{name}: wire temperature while the display stays in its power-on colour",
        severity,
        celsius,
        given.insulation_limit,
        "C",
        "insulation limit; single wire in still air, natural convection and radiation. Bundles get hotter",
        remedy,
    )


def _pulse_finding(name: str, i2t: float, area: float, given: Hardware) -> Finding:
    limit = adiabatic_limit(area, adiabatic_factor(given.insulation_limit, given.short_limit))
    severity = judge(i2t, 0.5 * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a thicker wire or a gentler start"
    return Finding(
        f"{name}: I2t of the start-up against what the insulation survives",
        severity,
        i2t,
        limit,
        "A2s",
        "adiabatic equation, IEC 60364-5-54 / BS 7671 543.1.3; what is above the running current",
        remedy,
    )


def _connector_finding(name: str, current: float, kind: str) -> Finding:
    if kind not in CONNECTORS:
        raise BuildError(f"connector of {name}: {kind!r}; accepted: {', '.join(CONNECTORS)}")
    limit, source = CONNECTORS[kind]
    severity = judge(current, CONTINUOUS_SHARE * limit, limit)
    remedy = "" if severity is Severity.FINE else "use a larger connector, two of them, or more feeds"
    return Finding(f"{name}: current through its {kind} connector", severity, current, limit, "A", source, remedy)


def _fuse_finding(name: str, current: float, area: float | None, pulse: float | None, given: Hardware) -> Finding:
    what = f"{name}: fuse rating"
    if area is None:
        return Finding(
            what, Severity.NOTE, current / HIGHEST_LOAD_SHARE, None, "A",
            "running current over 75 % (fuse maker, EDN, 26 September 1996)",
            "at least this; say how thick the wire is to learn what it may be at most",
        )  # fmt: skip
    rating = _rating(name, area, given)
    if given.fuse_family not in FUSE_RATINGS:
        raise BuildError(f"fuse family: {given.fuse_family!r}; accepted: {', '.join(FUSE_RATINGS)}")
    choice = fuse_for(
        current,
        rating,
        pulse or 0.0,
        starts=given.starts,
        ratings=FUSE_RATINGS[given.fuse_family],
        melting_i2t=given.melting_i2t,
    )
    source = 'between running current over 75 % (EDN, 1996) and the wire; pulses by catalogue "Fuseology" (2017)'
    if choice.rating is None:
        return Finding(what, Severity.CAUTION, None, rating, "A", source, choice.why_not)
    survive = "" if not pulse else f", its melting I2t at least {choice.melting_i2t:.3g} A2s"
    return Finding(
        what, Severity.NOTE, choice.rating, rating, "A", source, f"fit a fuse of {choice.rating:g} A{survive}"
    )
