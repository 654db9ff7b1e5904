"""What is measured on the controller board: reset levels, dropout, boot time, currents."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.build import Build
from inrushlib.guide import formulas
from inrushlib.guide.card import Asked, CardName, Care, Recipe, Setup
from inrushlib.guide.uncertainty import Formula, Instrument, ammeter_for

BENCH = "The controller board alone on a bench supply at its 5 V input, feeds and display off."
SHUNT = " A shunt of 0.1 ohm, 1 %, in the return of its supply, the scope across it."
SUPPLY_CARES = (Care.CURRENT_LIMIT, Care.ATTENDED)
SHUNT_CARES = (*SUPPLY_CARES, Care.SCOPE_GROUND)


def _volts(_: float) -> Instrument:
    return Instrument.VOLTMETER


def _shunt(_: float) -> Instrument:
    return Instrument.SHUNT


def _time(_: float) -> Instrument:
    return Instrument.SCOPE_TIME


def _levels_setup(_: Build) -> Setup:
    return Setup(
        connect=BENCH + " Voltmeter on its regulated rail, program running that sets a pin.",
        light="Cold start: turn the supply up from zero, 10 mV a second, and read the rail where the program starts; "
        "then down as slowly, and read the rail where it stops.",
        read_off="brown-out release voltage = rail where it starts; brown-out reset voltage = rail where it stops",
        cares=SUPPLY_CARES,
    )


CONTROLLER_LEVELS = Recipe(
    name=CardName.CONTROLLER_LEVELS,
    keys=lambda _: ("controller.brownout_rising", "controller.brownout_falling"),
    asked=lambda _: (
        Asked(name="rail where it starts", unit="V", instrument=_volts),
        Asked(name="rail where it stops", unit="V", instrument=_volts),
    ),
    expect=lambda build: (build.controller.brownout_rising, build.controller.brownout_falling),
    formula=lambda _: lambda r, _: (r[0], r[1]),
    setup=_levels_setup, method=0.005,
)  # fmt: skip


def _dropout_expect(build: Build) -> Sequence[float]:
    c = build.controller
    return c.dropout_voltage + c.dropout_resistance * c.run_current, c.run_current


def _dropout_setup(_: Build) -> Setup:
    return Setup(
        connect=BENCH + " Voltmeter from the regulator's input to its output; the meter for current in its supply.",
        light="Program running, radio off. Turn the supply down until the rail has fallen by some 0.2 V, still "
        "running, and read both.",
        read_off="dropout voltage = drop − dropout resistance × current",
        cares=(*SUPPLY_CARES, Care.METER_FUSE),
    )


def _dropout_formula(_: Build) -> Formula:
    # A regulator of hardly any dropout can read a little below zero: then it has none.
    return lambda r, known: (max(formulas.dropout(r[0], r[1], known[0]), 0.0),)


REGULATOR_DROPOUT = Recipe(
    name=CardName.REGULATOR_DROPOUT,
    keys=lambda _: ("controller.dropout_voltage",),
    asked=lambda _: (
        Asked(name="drop across the regulator", unit="V", instrument=_volts),
        Asked(name="current", unit="A", instrument=ammeter_for),
    ),
    expect=_dropout_expect, formula=_dropout_formula, setup=_dropout_setup, known=("controller.dropout_resistance",),
)  # fmt: skip


def _has_peak(build: Build) -> bool:
    return build.controller.boot_peak_current > 0


def _boot_keys(build: Build) -> tuple[str, ...]:
    peak = ("controller.boot_peak_current",) if _has_peak(build) else ()
    return ("controller.boot_time", "controller.boot_current", *peak)


def _boot_asked(build: Build) -> tuple[Asked, ...]:
    peak = (Asked(name="highest while it boots", unit="A", instrument=_shunt),) if _has_peak(build) else ()
    return (
        Asked(name="reset's end to the program's first pin", unit="s", instrument=_time),
        Asked(name="current while it boots", unit="A", instrument=_shunt),
        *peak,
    )


def _boot_expect(build: Build) -> Sequence[float]:
    c = build.controller
    return (c.boot_time, c.boot_current, *((c.boot_current + c.boot_peak_current,) if _has_peak(build) else ()))


def _boot_formula(build: Build) -> Formula:
    if _has_peak(build):
        return lambda r, _: (r[0], r[1], r[2] - r[1])
    return lambda r, _: (r[0], r[1])


def _boot_setup(build: Build) -> Setup:
    peak = "; boot peak = highest − current while it boots" if _has_peak(build) else ""
    return Setup(
        connect=BENCH + SHUNT + " Second channel on a pin that the program sets first.",
        light="Supply at 5 V, start it with its reset button; single shot.",
        read_off=f"boot time = from the button's release to the pin; current during boot as read{peak}",
        cares=SHUNT_CARES,
    )


BOOT_SHUNT = Recipe(
    name=CardName.BOOT_SHUNT,
    keys=_boot_keys, asked=_boot_asked, expect=_boot_expect, formula=_boot_formula, setup=_boot_setup, method=0.01,
)  # fmt: skip


def _has_radio(build: Build) -> bool:
    return build.controller.burst_current > 0


def _radio_keys(build: Build) -> tuple[str, ...]:
    return ("controller.run_current", *(("controller.burst_current",) if _has_radio(build) else ()))


def _radio_asked(build: Build) -> tuple[Asked, ...]:
    top = (Asked(name="top of the bursts", unit="A", instrument=_shunt),) if _has_radio(build) else ()
    return (Asked(name="current between bursts", unit="A", instrument=_shunt), *top)


def _radio_expect(build: Build) -> Sequence[float]:
    c = build.controller
    return (c.run_current, *((c.run_current + c.burst_current,) if _has_radio(build) else ()))


def _radio_formula(build: Build) -> Formula:
    if _has_radio(build):
        return lambda r, _: (r[0], r[1] - r[0])
    return lambda r, _: (r[0],)


def _radio_setup(build: Build) -> Setup:
    burst = "; burst current = top − that" if _has_radio(build) else ""
    return Setup(
        connect=BENCH + SHUNT,
        light="Program running, radio joined, display's data line open; some seconds of it.",
        read_off=f"current while running = level between the bursts{burst}",
        cares=SHUNT_CARES,
    )


RADIO_SHUNT = Recipe(
    name=CardName.RADIO_SHUNT,
    keys=_radio_keys, asked=_radio_asked, expect=_radio_expect, formula=_radio_formula, setup=_radio_setup, method=0.02,
)  # fmt: skip

CONTROLLER_CARDS = (CONTROLLER_LEVELS, REGULATOR_DROPOUT, BOOT_SHUNT, RADIO_SHUNT)
