"""What adapter, pixels, controller and switch have to stand in steady state.

``supply_findings``
    the findings about them
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.panel import PanelState
from inrushlib.sizing.finding import CONTINUOUS_SHARE, Finding, Severity, judge

SAG = 0.02  # [V] below its regulated output, from which an adapter counts as in its limit
COOLER = 25.0  # [K] below its limit that a junction should stay (common practice, no source)
TRIPPING = ("hiccup", "latch-off")
STALLED = "while the display stays in its power-on colour"


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


def _in_limit(build: Build, state: PanelState) -> bool:
    a = build.adapter
    return state.adapter_voltage < a.rated_voltage - a.output_resistance * state.adapter_current - SAG


def _in_words(build: Build, state: PanelState) -> str:
    """What an adapter in its limit does."""
    if not _in_limit(build, state):
        return ""
    if build.adapter.limit_style in TRIPPING:
        return "it is in its limit and trips, so that this picture does not last: "
    return f"it is in its limit and gives {state.adapter_voltage:.2f} V only: "


def _adapter(build: Build, state: PanelState, stalled: PanelState) -> list[Finding]:
    rated = build.adapter.rated_current
    severity = judge(state.adapter_current, CONTINUOUS_SHARE * rated, rated)
    advice = "" if severity is Severity.FINE else "take a bigger adapter, or limit the brightness"
    source = "the label; 80 % of it for a lasting load, NEC 210.20(A)"
    what = "adapter: current against its label"
    found = [Finding(what, severity, state.adapter_current, rated, "A", source, _in_words(build, state) + advice)]
    beyond = stalled.adapter_current > rated
    found.append(
        Finding(
            f"{what} {STALLED}",
            Severity.CAUTION if beyond else Severity.FINE,
            stalled.adapter_current,
            rated,
            "A",
            "the label",
            _in_words(build, stalled) + "a controller that hangs keeps it lit: do not leave it alone" if beyond else "",
        )
    )
    return found


def _voltages(build: Build) -> list[Finding]:
    """The supply with next to no load, where it is highest, against what pixels and controller stand."""
    source = "highest supply voltage of the data sheet"
    controller = build.controller
    fed = controller.own_voltage if controller.feed == "own" else build.adapter.rated_voltage
    fed -= controller.diode_drop if controller.feed_diode else 0.0
    found = []
    for what, volts, highest in (
        ("pixels: supply voltage without load", build.adapter.rated_voltage, build.pixel.highest_supply),
        ("controller: supply voltage without load", fed, controller.highest_supply),
    ):
        severity = judge(volts, highest, highest)
        remedy = "" if severity is Severity.FINE else "take a supply of a lower voltage"
        found.append(Finding(what, severity, volts, highest, "V", source, remedy))
    return found


def _switch(build: Build, state: PanelState, stalled: PanelState) -> list[Finding]:
    switch = build.switch
    if switch is None:
        return []
    found = []
    for when, panel in (("in this picture, in the long run", state), (STALLED, stalled)):
        celsius = switch.ambient + panel.losses.get("switch", 0.0) * sum(switch.thermal_resistances)
        highest = switch.highest_junction
        severity = judge(celsius, highest - COOLER, highest)
        remedy = "" if severity is Severity.FINE else "take a switch of less resistance, or cool it"
        found.append(
            Finding(f"switch: junction {when}", severity, celsius, highest, "C",
                    "maximum ratings of its data sheet; thermal resistances of the build", remedy)
        )  # fmt: skip
    return found
