"""The level of the data line at the first pixel of each lane.

``data_line_findings``
    high level against 0.7 x the pixel's supply
``lane_starts``
    the pixel that each lane's line goes to
"""

from __future__ import annotations

from inrushlib.build import Build
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


def data_line_findings(build: Build, level: float | None = None) -> list[Finding]:
    """Margin of the data line's high level at the first pixel of each lane.

    ``margin = level - 0.7 * v``: v the rated voltage, which is what a dark panel's pixels get.

    Parameters
    ----------
    build : Build
        The build [SI].
    level : float or None
        High level of the data line [V]; None for the controller's rail.

    Returns
    -------
    list of Finding
        One for each lane.

    Notes
    -----
    A lit panel asks for no more: where the loop from the root to a pixel drops d, half of it in the return conductor,
    the level seen from the pixel's ground is d / 2 lower, and its supply and so 0.7 of that lower by 0.7 d.
    Further pixels get their data from the pixel before, at that one's supply. Source: data sheet of a 5050 RGB
    pixel, VIH 0.7 VDD.
    """
    high = build.controller.rail_voltage if level is None else level
    wanted = HIGH_SHARE * build.adapter.rated_voltage
    enough = high >= wanted
    remedy = "use a level shifter at the pixel's supply, or let a first pixel at a lower supply repeat it"
    return [
        Finding(
            Place(PlaceKind.DATA_LINE, lane),
            Question.DATA_LEVEL,
            Severity.FINE if enough else Severity.CAUTION,
            high,
            wanted,
            "V",
            "VIH 0.7 VDD of the pixel's data sheet, at the rated voltage; a lit panel's ground shift asks for less",
            "" if enough else remedy,
            minimum=True,
            detail=str(section),
        )
        for lane, section in enumerate(lane_starts(build))
    ]
