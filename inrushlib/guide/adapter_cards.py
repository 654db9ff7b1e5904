"""What is measured on the adapter: its slope at two resistive loads, and its limit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inrushlib.build import Build
from inrushlib.guide import formulas
from inrushlib.guide.card import Asked, CardName, Care, Load, Recipe, Setup
from inrushlib.guide.uncertainty import Formula, Instrument, ammeter_for
from inrushlib.quantities import format_quantity
from inrushlib.search.preferred import next_e6

NOMINAL: Final = 5.0  # [V], for the choice of load resistors
LIGHT, HEAVY = 0.1, 0.7
"""Shares of the label's current that the two loads take at most [1]."""
MOST: Final = 8.0
"""Most that the heavier load takes [A], so that a handheld meter reads it."""
STEPS: Final = 0.03
"""Share of the limit in which the load is raised [1]."""
TRIPS: Final = ("hiccup", "latch-off")
LOAD_CARES = (Care.HOT_LOAD, Care.METER_FUSE, Care.ATTENDED, Care.FUSE, Care.MAINS)


def load_resistors(build: Build) -> tuple[Load, Load]:
    """Return the lighter and the heavier load of a build's adapter: values of the E6 series, by its label alone.

    Parameters
    ----------
    build : Build
        Any build.
    """
    label = build.adapter.rated_current
    ohms = (next_e6(NOMINAL / (LIGHT * label)), next_e6(NOMINAL / min(HEAVY * label, MOST)))
    light, heavy = (Load(each, NOMINAL**2 / each) for each in ohms)
    return light, heavy


def _loads_expect(build: Build) -> Sequence[float]:
    a, found = build.adapter, []
    for load in load_resistors(build):
        current = a.rated_voltage / (load.resistance + a.output_resistance)
        found += [current * load.resistance, current]
    return found


def _loads_formula(_: Build) -> Formula:
    return lambda readings, _: formulas.load_line(*readings)


def _loads_setup(build: Build) -> Setup:
    loads = load_resistors(build)
    ohms = [format_quantity(load.resistance, "ohm") for load in loads]
    return Setup(
        connect=f"The adapter alone, a load resistor at its plug: {ohms[0]}, then {ohms[1]}. The voltmeter on the "
        "plug's own contacts, not on the load's wires; the meter for current in the load's line.",
        light="Nothing of the display. Each load for some seconds, until the reading stands.",
        read_off="output resistance = (V light − V heavy) / (I heavy − I light); "
        "rated voltage = V light + output resistance × I light",
        cares=LOAD_CARES, loads=loads,
    )  # fmt: skip


def _volts(_: float) -> Instrument:
    return Instrument.VOLTMETER


ADAPTER_LOADS = Recipe(
    name=CardName.ADAPTER_LOADS,
    keys=lambda _: ("adapter.rated_voltage", "adapter.output_resistance"),
    asked=lambda _: tuple(
        Asked(name=f"{what}, {which} load", unit=unit, instrument=instrument)
        for which in ("lighter", "heavier")
        for what, unit, instrument in (("voltage", "V", _volts), ("current", "A", ammeter_for))
    ),
    expect=_loads_expect, formula=_loads_formula, setup=_loads_setup,
)  # fmt: skip


def _trips(build: Build) -> bool:
    return build.adapter.limit_style in TRIPS


def _limit_asked(build: Build) -> tuple[Asked, ...]:
    current = Asked(name="current just before the voltage gives way", unit="A", instrument=ammeter_for)
    if not _trips(build):
        return (current,)
    return current, Asked(name="overload to trip", unit="s", instrument=lambda _: Instrument.SCOPE_TIME)


def _limit_setup(build: Build) -> Setup:
    a = build.adapter
    power = NOMINAL * a.limit_current
    gives = "until it trips" if _trips(build) else "until the voltage has fallen by more than 6 %"
    then = (
        " Then the scope on the plug: from the step into the limit to the fall of the voltage." if _trips(build) else ""
    )
    return Setup(
        connect="The adapter alone, load resistors side by side at its plug, or a bench load; voltmeter on the plug, "
        "the meter for current in the load's line.",
        light=f"Raise the load in steps of some 3 % {gives}; a few seconds a step.{then}",
        read_off="current limit = the last current that it held" + ("; trip delay as read" if _trips(build) else ""),
        cares=(*LOAD_CARES, *((Care.SCOPE_GROUND,) if _trips(build) else ())),
        loads=(Load(NOMINAL / a.limit_current, power),),
    )


ADAPTER_LIMIT = Recipe(
    name=CardName.ADAPTER_LIMIT,
    keys=lambda build: ("adapter.limit_current", *(("adapter.trip_delay",) if _trips(build) else ())),
    asked=_limit_asked,
    expect=lambda build: (
        build.adapter.limit_current, *((build.adapter.trip_delay,) if _trips(build) else ()),
    ),
    formula=lambda _: lambda r, _: tuple(r),
    setup=_limit_setup, method=STEPS,
)  # fmt: skip

ADAPTER_CARDS = (ADAPTER_LOADS, ADAPTER_LIMIT)
