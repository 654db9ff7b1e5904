"""The switch's stress in words: one finding for each thing that it has to stand.

``stress_findings``  findings of a :class:`~inrushlib.safety.stress.SwitchStress`, worst first
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.parts import Switch
from inrushlib.parts.place import SWITCH
from inrushlib.quantities import format_quantity
from inrushlib.safety.finding import JUNCTION_RESERVE, Finding, Question, judge
from inrushlib.safety.stress import OffState, SwitchStress
from inrushlib.severity import Severity

LEAK_SHARE = 0.01
"""Of the adapter's rating: a switch that lets more through while off is not off; own rule."""

OFF_SHARE = 0.5
"""Of the threshold: with more gate drive left than that a switch is not off; own rule."""

MAXIMUM = f"absolute maximum of the data sheet, {JUNCTION_RESERVE:g} K kept below it (common practice, no source)"


def stress_findings(build: Build, stress: SwitchStress) -> tuple[Finding, ...]:
    """Findings of a switch's stress.

    Parameters
    ----------
    build : Build
        The build with the switch [SI].
    stress : SwitchStress
        What it has to stand [SI].

    Returns
    -------
    tuple of Finding
        Dangers first, fine last.
    """
    switch = build.switch
    assert switch is not None
    found = _heat(stress, switch)
    found += _drive(stress, switch)
    found.append(_plug(build, stress))
    found += _drivers(build, stress, switch)
    return tuple(sorted(found, key=lambda finding: -finding.severity.rank))


def _heat(stress: SwitchStress, switch: Switch) -> list[Finding]:
    cooler = "slow the gate less, choose a switch of lower on-resistance or better cooling"
    lit = "a controller that hangs keeps it there: a lower on-resistance, more copper to cool it, or a fuse"
    if switch.kind == "load-switch":  # it has no gate to slow, and its heat comes from its limit
        cooler = "choose a load switch whose limit is above what the panel draws, or better cooling"
        lit = "a controller that hangs keeps it there: a limit above what the panel draws, or more copper to cool it"
    cases = [
        (Question.START_HOTTEST, stress.start.hottest_junction, cooler),
        (Question.START_JUNCTION, stress.start.steady_junction, cooler),
        (Question.LIT_HOTTEST, stress.stays_lit.hottest_junction, lit),
        (Question.LIT_JUNCTION, stress.stays_lit.steady_junction, lit),
    ]
    found = []
    for question, celsius, remedy in cases:
        severity = judge(celsius, switch.highest_junction - JUNCTION_RESERVE, switch.highest_junction)
        advice = "" if severity is Severity.FINE else remedy
        found.append(Finding(SWITCH, question, severity, celsius, switch.highest_junction, "C", MAXIMUM, advice))
    return found


def _drive(stress: SwitchStress, switch: Switch) -> list[Finding]:
    if stress.lowest_bus_voltage is None:
        remedy = f"it never closes: the start ends as {stress.start.verdict.words}"
        return [Finding(SWITCH, Question.CLOSING, Severity.NOTE, None, None, "", "the build's own start", remedy)]
    drive = stress.drive_at_lowest
    if drive is None:
        return []
    wanted, source = switch.on_resistance_drive, "drive that the data sheet gives the on-resistance at"

    def found(severity: Severity, remedy: str = "") -> list[Finding]:
        at = f"{stress.lowest_bus_voltage:.2f} V"
        question = Question.GATE_DRIVE
        return [Finding(SWITCH, question, severity, drive, wanted, "V", source, remedy, minimum=True, detail=at)]

    if drive >= wanted:
        return found(Severity.FINE)
    at_lowest = stress.on_resistance_at_lowest
    if at_lowest is None:
        remedy = f"below its threshold of {switch.threshold_voltage:.2g} V it opens again: choose a logic-level switch"
        return found(Severity.DANGER, remedy)
    remedy = f"its on-resistance is {format_quantity(at_lowest, 'ohm', digits=3)} there, not "
    remedy += f"{format_quantity(switch.on_resistance, 'ohm', digits=3)}: choose one specified at a lower drive"
    return found(Severity.CAUTION, remedy)


def _plug(build: Build, stress: SwitchStress) -> Finding:
    plugged, limit = stress.plugged, LEAK_SHARE * build.adapter.rated_current
    question = Question.PLUGGED_IN
    source = "a hundredth of the adapter's rating (own rule)"
    if plugged.peak_current <= limit:
        return Finding(SWITCH, question, Severity.FINE, plugged.peak_current, limit, "A", source)
    remedy = f"it lifts the panel to {plugged.highest_panel_voltage:.2f} V: "
    if plugged.driver == "pin":
        remedy += "the controller's pin, without power, holds the gate low; use an open-drain transistor"
    else:
        remedy += f"the gate-drain capacitance takes {stress.plug_in_drive or 0.0:.2f} V of drive at most; "
        remedy += "add capacitance from gate to source, or take some from gate to drain"
    return Finding(SWITCH, question, Severity.CAUTION, plugged.peak_current, limit, "A", source, remedy)


def _drivers(build: Build, stress: SwitchStress, switch: Switch) -> list[Finding]:
    found = []
    for off in (stress.transistor, stress.pin):
        if off is not None:
            found.append(_driver(off, LEAK_SHARE * build.adapter.rated_current, switch))
    return found


def _driver(off: OffState, limit: float, switch: Switch) -> Finding:
    question = Question.LEAK_PIN if off.driver == "pin" else Question.LEAK_TRANSISTOR
    source = "a hundredth of the adapter's rating (own rule)"
    drive = off.settled_drive or 0.0
    little = off.peak_current <= limit
    if little and drive <= OFF_SHARE * switch.threshold_voltage:
        return Finding(SWITCH, question, Severity.FINE, off.peak_current, limit, "A", source)
    through = format_quantity(off.settled_current, "A", digits=3)
    remedy = f"it settles with {drive:.2f} V of gate drive, {through} through it and the panel at "
    remedy += f"up to {off.highest_panel_voltage:.2f} V"
    if off.driver == "pin":
        remedy += "; a pin without power holds the gate low, and one at 3.3 V never lets it rise fully: "
        remedy += "use an open-drain transistor"
    else:
        remedy += "; give the gate less capacitance to the drain, or a smaller pull-up"
    if off.driver != switch.gate_driver:
        return Finding(
            SWITCH, question, Severity.NOTE, off.peak_current, limit, "A", source, f"not this build's driver: {remedy}"
        )
    severity = Severity.NOTE if little else Severity.CAUTION
    return Finding(SWITCH, question, severity, off.peak_current, limit, "A", source, remedy)
