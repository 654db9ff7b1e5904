"""The level of the data line at the first pixel of each lane.

``data_line_findings``
    high level against 0.7 x the pixel's supply, with the ground shift of the return conductor
``lane_starts``
    the pixel that each lane's line goes to
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.build import Build
from inrushlib.panel import PanelState
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.safety.finding import Finding, Question
from inrushlib.severity import Severity

HIGH_SHARE = 0.7
"""Lowest input that is surely high, over the pixel's supply (data sheet of a 5050 RGB pixel, 800 kbit/s)."""


def lane_starts(build: Build) -> list[int]:
    """Section that each lane's data line goes to.

    Sections are dealt in consecutive runs; the first (sections mod lanes) lanes carry one more.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    list of int
        Sections [1], one per lane.
    """
    each, extra = divmod(build.wiring.sections, build.wiring.lanes)
    return [lane * each + min(lane, extra) for lane in range(build.wiring.lanes)]


def data_line_findings(build: Build, states: Sequence[PanelState], level: float | None = None) -> list[Finding]:
    """Margin of the data line's high level at the first pixel of each lane.

    ``margin = level - shift - 0.7 * v``: v the pixel's supply, shift half of what the loop from the root to the
    pixel drops, taking supply and return conductors as equal. The dark panel, at rated voltage and without
    shift, and the given states; the worst counts.

    Parameters
    ----------
    build : Build
        The build [SI].
    states : sequence of PanelState
        Steady panels, in any colour [SI].
    level : float or None
        High level of the data line [V]; None for the controller's rail.

    Returns
    -------
    list of Finding
        One for each lane.

    Notes
    -----
    Further pixels get their data from the pixel before, at that one's supply. Source: data sheet of a 5050 RGB
    pixel, VIH 0.7 VDD.
    """
    high = build.controller.rail_voltage if level is None else level
    findings = []
    for lane, section in enumerate(lane_starts(build)):
        wanted = [HIGH_SHARE * build.adapter.rated_voltage]
        for state in states:
            volts = float(state.voltages[state.section_starts[section]])
            wanted.append(HIGH_SHARE * volts + max(state.root_voltage - volts, 0.0) / 2.0)
        worst = max(wanted)
        enough = high >= worst
        findings.append(
            Finding(
                Place(PlaceKind.DATA_LINE, lane),
                Question.DATA_LEVEL,
                Severity.FINE if enough else Severity.CAUTION,
                high,
                worst,
                "V",
                "VIH 0.7 VDD of the pixel's data sheet, plus the ground shift of half the drop in the loop",
                ""
                if enough
                else "use a level shifter at the pixel's supply, or let a first pixel at a lower supply repeat it",
                minimum=True,
                detail=str(section),
            )
        )
    return findings
