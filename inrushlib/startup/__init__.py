"""From a build to its start-up: verdict, reason, curves, switchings, figures.

``simulate``   the full result, a :class:`Startup`
``run_curves`` the curves only, a :class:`Curves`; for fits
``Curve``, ``curves_of``, ``curve_named``
               what a curve is called, its unit, and what it is of
``screen``     verdict and end values only, an :class:`Outcome`
``screen_many``
               the same for many builds at once, an :class:`Answers`; for searches and maps
``is_compiled``
               whether the model has been compiled on this machine
``pack``, ``Packed``, ``screen_packed``
               a build as the compiled run takes it, and the same for many of those
``Verdict``    the six outcomes
``Headline``   what is said first of a start: its verdict, and what it overstresses
``Overstress``, ``Stressed``, ``Cause``
               a part that saw more than it stands
``Kind``, ``Switching``, ``Span``, ``Actor``, ``State``
               what switched when, and what each part was doing
``Figures``, ``Conductor``, ``EnergyBalance``
               what is read off the run
``cut``, ``Lumps``, ``lump_counts``, ``hold_lumps``
               the nodes that the sections are cut into, and keeping their number while a value moves
``Rule``, ``Slack``
               how far each rule was from turning out otherwise; ``slack_of`` one build, ``slack_many`` of many builds,
               ``screen_slacks`` of many as far as their own runs tell
``needed_bus_voltage``, ``highest_rail_voltage``
               what the controller needs to come out of reset
"""

from inrushlib.errors import Cancelled
from inrushlib.startup.curves import (
    ADAPTER_VOLTAGE,
    BUS_VOLTAGE,
    GATE_VOLTAGE,
    LEAD_CURRENT,
    PANEL_VOLTAGE,
    RAIL_VOLTAGE,
    Curve,
    Curves,
    curve_named,
    curves_of,
    section_voltages,
)
from inrushlib.startup.figures import Conductor, EnergyBalance, Figures
from inrushlib.startup.first_use import is_compiled
from inrushlib.startup.headline import Headline
from inrushlib.startup.lumps import Lumps, cut, hold_lumps, lump_counts
from inrushlib.startup.many import Answers, screen_many, screen_packed
from inrushlib.startup.overstress import Cause, Overstress, Stressed, over_voltages
from inrushlib.startup.own_slack import screen_slacks
from inrushlib.startup.pack import Packed, pack
from inrushlib.startup.result import Startup
from inrushlib.startup.simulate import Outcome, run_curves, screen, simulate
from inrushlib.startup.slack import Rule, Slack, Slacks, slack_many, slack_of
from inrushlib.startup.spans import Actor, Span, State
from inrushlib.startup.switchings import Kind, Switching
from inrushlib.startup.verdict import Verdict, highest_rail_voltage, needed_bus_voltage

__all__ = [
    "ADAPTER_VOLTAGE",
    "BUS_VOLTAGE",
    "GATE_VOLTAGE",
    "LEAD_CURRENT",
    "PANEL_VOLTAGE",
    "RAIL_VOLTAGE",
    "Actor",
    "Answers",
    "Cancelled",
    "Cause",
    "Conductor",
    "Curve",
    "Curves",
    "EnergyBalance",
    "Figures",
    "Headline",
    "Kind",
    "Lumps",
    "Outcome",
    "Overstress",
    "Packed",
    "Rule",
    "Slack",
    "Slacks",
    "Span",
    "Startup",
    "State",
    "Stressed",
    "Switching",
    "Verdict",
    "curve_named",
    "curves_of",
    "cut",
    "highest_rail_voltage",
    "hold_lumps",
    "is_compiled",
    "lump_counts",
    "needed_bus_voltage",
    "over_voltages",
    "pack",
    "run_curves",
    "screen",
    "screen_many",
    "screen_packed",
    "screen_slacks",
    "section_voltages",
    "simulate",
    "slack_many",
    "slack_of",
]
