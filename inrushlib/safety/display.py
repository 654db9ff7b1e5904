"""Safety findings of a build, worst first.

``safety_findings``
    all findings

Lead, feeds and hops: :mod:`~inrushlib.safety.conductors`, their fuses
:mod:`~inrushlib.safety.fuse_findings`; adapter, voltages and switch:
:mod:`~inrushlib.safety.supply`; the adapter's class: :mod:`~inrushlib.safety.limited_power`; the data line:
:mod:`~inrushlib.safety.data_line`. They are cautions: :data:`inrushlib.safety.finding.DEFERS` goes with every list.
"""

from __future__ import annotations

from collections.abc import Mapping

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.panel import PanelState, solve_panel
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.safety.conductors import Conductor, Load, conductor_findings
from inrushlib.safety.data_line import data_line_findings
from inrushlib.safety.finding import Finding
from inrushlib.safety.fuse import HIGHEST_LOAD_SHARE
from inrushlib.safety.fuse_findings import fuse_finding
from inrushlib.safety.hardware import Hardware, areas_of_build, conductor_currents, connectors_of_build
from inrushlib.safety.limited_power import limited_power_findings
from inrushlib.safety.pulse import start_pulses
from inrushlib.safety.supply import supply_findings
from inrushlib.startup import Startup


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
        A start of the build, for the pulses (:func:`inrushlib.safety.pulse.watched_start`); None leaves those
        findings out.
    hardware : Hardware or None
        Tables, temperatures, and what the build does not say; None for what is usual.

    Returns
    -------
    tuple of Finding
        Dangers first, fine last.

    Notes
    -----
    Cautions, not an approval: local codes decide, and mains and building wiring belong to a licensed person.
    """
    given = hardware or Hardware()
    stalled = solve_panel(build, build.pixel.power_on)
    findings = supply_findings(build, state, stalled)
    for load in _loads(build, state, stalled, startup, given):
        findings += conductor_findings(build, load, given)
        if load.place.kind is not PlaceKind.HOP:
            findings.append(fuse_finding(build, load, given))
    findings += limited_power_findings(build)
    findings += data_line_findings(build, given.data_level)
    return tuple(sorted(findings, key=lambda finding: -finding.severity.rank))


def _loads(
    build: Build, state: PanelState, stalled: PanelState, startup: Startup | None, given: Hardware
) -> list[Load]:
    running, stall = conductor_currents(build, state), conductor_currents(build, stalled)
    _check_places(running, {**given.areas, **given.connectors})
    areas = areas_of_build(build) | dict(given.areas)
    connectors = connectors_of_build(build) | dict(given.connectors)
    # What is below the smallest rating that a fuse may have is no pulse to it.
    lasting = {place: max(running[place], stall[place]) / HIGHEST_LOAD_SHARE for place in running}
    pulses = {} if startup is None else start_pulses(startup, lasting)
    conductors = {place: Conductor(place, areas.get(place), connectors.get(place)) for place in running}
    # The lead's fuse ends where the feeds' begin; behind a feed lie all hops.
    hops = tuple(each for place, each in conductors.items() if place.kind is PlaceKind.HOP)
    return [
        Load(each, running[place], stall[place], pulses.get(place), hops if place.kind is PlaceKind.FEED else ())
        for place, each in conductors.items()
    ]


def _check_places(running: Mapping[Place, float], given: Mapping[Place, object]) -> None:
    problems = [
        f"conductor: {place} is not in this build; accepted: {', '.join(map(str, running))}"
        for place in given
        if place not in running
    ]
    if problems:
        raise UsageError(problems)
