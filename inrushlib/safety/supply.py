"""What adapter, pixels, controller and switch have to stand in steady state.

``supply_findings``
    the findings about them
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.panel import PanelState, solve_panel
from inrushlib.parts.place import ADAPTER, SWITCH, Place, PlaceKind
from inrushlib.quantities import format_quantity
from inrushlib.safety.finding import CONTINUOUS_SHARE, JUNCTION_RESERVE, Finding, Question, judge, worse
from inrushlib.severity import Severity
from inrushlib.startup import needed_bus_voltage

SAG = 0.02  # [V] below its regulated output, from which an adapter's limit shows in its voltage


def supply_findings(build: Build, state: PanelState, stalled: PanelState) -> list[Finding]:
    """Findings about the parts around the conductors.

    Parameters
    ----------
    build : Build
        The build [SI].
    state, stalled : PanelState
        The steady panel in its brightest picture, and in its power-on colour [SI].

    Returns
    -------
    list of Finding
        Adapter against its label, supply voltages, the switch's junction.
    """
    return [*_adapter(build, state, stalled), *_voltages(build), *_switch(build, state, stalled)]


def _adapter(build: Build, state: PanelState, stalled: PanelState) -> list[Finding]:
    rated = build.adapter.rated_current
    return [
        *_minimum_load(build),
        _load(
            build, state, Question.LABEL, judge(state.adapter_current, CONTINUOUS_SHARE * rated, rated),
            "the label; 80 % of it for a lasting load, NEC 210.20(A)",
            "take a bigger adapter, or limit the brightness",
        ),
        _load(
            build, stalled, Question.LABEL_STALLED, judge(stalled.adapter_current, rated, float("inf")), "the label",
            "a controller that hangs keeps it so: do not leave it alone",
        ),
    ]  # fmt: skip


def _minimum_load(build: Build) -> list[Finding]:
    """A dark display may draw less than a power bank wants to see."""
    least = build.adapter.minimum_load
    if least is None:
        return []
    dark = solve_panel(build, (0.0, 0.0, 0.0)).lead_current
    severity = Severity.FINE if dark >= least else Severity.CAUTION
    remedy = (
        ""
        if dark >= least
        else (
            "It goes off after some seconds of a dark or dim picture and stays off; take a supply that stays on, or"
            " keep enough pixels lit"
        )
    )
    source = "its class, or a bench; 50 mA to 100 mA for a power bank, common practice, no source"
    return [Finding(ADAPTER, Question.MINIMUM_LOAD, severity, dark, least, "A", source, remedy, minimum=True)]


def _load(build: Build, state: PanelState, question: Question, severity: Severity, source: str, advice: str) -> Finding:
    """One picture's load on the adapter; in its limit that is never fine, however little it then gives."""
    words = []
    if state.limiting:
        severity = worse(severity, Severity.CAUTION)
        words.append(limit_in_words(build, state))
    if severity is not Severity.FINE:
        words.append(advice)
    remedy = ". ".join(each[:1].upper() + each[1:] for each in words)
    return Finding(ADAPTER, question, severity, state.adapter_current, build.adapter.rated_current, "A", source, remedy)


def limit_in_words(build: Build, state: PanelState) -> str:
    """What an adapter in its limit does, and what that means.

    Parameters
    ----------
    build : Build
        The build [SI].
    state : PanelState
        Its steady panel, the adapter in its limit [SI].

    Returns
    -------
    str
        A sentence without its full stop.
    """
    a = build.adapter
    limit = f"it is in its limit of {_said(state.adapter_limit, 'A')}"
    if a.limit_style == "hiccup":
        return (
            f"{limit} and trips after {_said(a.trip_delay, 's')}, to try again every {_said(a.retry_delay, 's')}: this"
            " picture does not last, the display blinks"
        )
    if a.limit_style == "latch-off":
        return (
            f"{limit} and trips after {_said(a.trip_delay, 's')}: the display goes dark and stays dark until the mains"
            " is switched off and on"
        )
    regulated = a.rated_voltage - a.output_resistance * state.adapter_current
    if state.adapter_voltage >= regulated - SAG:
        return f"{limit} with nothing to spare: a little more load, and its voltage falls"
    folded = ", folded back," if state.adapter_limit < 0.999 * a.limit_current else ""
    output, bus = _said(state.adapter_voltage, "V"), _said(state.bus_voltage, "V")
    text = (
        f"{limit}{folded} and cannot hold its {_said(a.rated_voltage, 'V')}: it gives {output}, the bus stands at {bus}"
    )
    need = needed_bus_voltage(build)
    if need is None:
        return f"{text}; at no bus voltage does the controller come out of reset"
    if state.bus_voltage < need:
        return f"{text}, where the controller, which needs {_said(need, 'V')} to come out of reset, does not start"
    listen, lowest = build.pixel.listen_voltage, state.lowest_voltage
    if lowest < listen:
        return f"{text}, so that the worst pixel gets {_said(lowest, 'V')}, and needs {_said(listen, 'V')} to take data"
    return f"{text}, so that the display is dimmer than it should be"


def _said(value: float, unit: str) -> str:
    return format_quantity(value, unit, digits=3)


def _voltages(build: Build) -> list[Finding]:
    """The supply with next to no load, where it is highest, against what pixels and controller stand."""
    source = "highest supply voltage of the data sheet"
    controller = build.controller
    fed = controller.own_voltage if controller.feed == "own" else build.adapter.rated_voltage
    fed -= controller.diode_drop if controller.feed_diode else 0.0
    found = []
    for kind, volts, highest in (
        (PlaceKind.PIXELS, build.adapter.rated_voltage, build.pixel.highest_supply),
        (PlaceKind.CONTROLLER, fed, controller.highest_supply),
    ):
        severity = judge(volts, highest, highest)
        remedy = "" if severity is Severity.FINE else "take a supply of a lower voltage"
        found.append(Finding(Place(kind), Question.SUPPLY_VOLTAGE, severity, volts, highest, "V", source, remedy))
    return found


def _switch(build: Build, state: PanelState, stalled: PanelState) -> list[Finding]:
    switch = build.switch
    if switch is None:
        return []
    found = []
    for question, panel in ((Question.JUNCTION, state), (Question.JUNCTION_STALLED, stalled)):
        celsius = switch.ambient + panel.losses[PlaceKind.SWITCH] * sum(switch.thermal_resistances)
        highest = switch.highest_junction
        severity = judge(celsius, highest - JUNCTION_RESERVE, highest)
        cooler = "a higher limit" if switch.kind == "load-switch" else "less resistance"
        remedy = "" if severity is Severity.FINE else f"take a switch of {cooler}, or cool it"
        source = "maximum ratings of its data sheet; thermal resistances of the build"
        found.append(Finding(SWITCH, question, severity, celsius, highest, "C", source, remedy))
    return found
