"""The controller: feed, reservoir, regulator, rail, brown-out detector and what it draws."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import ValidationInfo, field_validator

from inrushlib.parts.part import Part, Refused, choice, has, measure, yes_no
from inrushlib.parts.ranges import ELECTROLYTIC, NO_EFFECT, PRACTICE, Typical, exact, scatters, typical
from inrushlib.quantities import format_quantity

BROWN_OUTS = f"Wi-Fi controllers reset at 2.43 V to 2.80 V, 8-bit ones set to 2.7 V at 2.5 V to 2.9 V; {PRACTICE}"
DROPOUTS = "data sheets of 3.3 V regulators: 0.2 V to 0.4 V, and 1.1 V to 1.3 V of bipolar ones"
HOLDS = f"start-up times of an 8-bit controller: 0 to 65 ms; {PRACTICE}"
FEEDS = ("bus", "own")


class Controller(Part):
    """The controller board with its regulator."""

    typical: ClassVar[dict[str, Typical]] = {
        "own_voltage": typical(4.75, 5.25, scatter=0.03, source="USB 2.0, 7.2.2: 4.75 V to 5.25 V"),
        "feed_resistance": typical(20e-3, 200e-3),
        "diode_drop": typical(0.2, 0.45, scatter=0.15),
        "reservoir": typical(4.7e-6, 100e-6, source=ELECTROLYTIC),
        "rail_voltage": typical(3.2, 3.4, scatter=0.02),
        "dropout_voltage": typical(0.05, 1.3, scatter=0.15, source=DROPOUTS),
        "dropout_resistance": typical(0.1, 1.0),
        "regulator_limit": typical(0.3, 1.2, source="data sheets of such regulators: 0.3 A to 1.2 A"),
        "rail_capacitance": typical(10e-6, 100e-6),
        "brownout_rising": typical(2.4, 3.0, scatter=0.03, source=BROWN_OUTS),
        "brownout_falling": typical(2.2, 2.8, scatter=0.03, source=BROWN_OUTS),
        "reset_hold": typical(0.1e-3, 65e-3, scatter=0.3, source=HOLDS),
        "boot_time": typical(50e-3, 500e-3),
        "boot_peak_current": scatters(0.3),
        "boot_peak_at": typical(5e-3, 100e-3),
        "boot_peak_length": typical(10e-3, 100e-3),
        "reset_current": typical(1e-3, 30e-3, scatter=0.3),
        "boot_current": typical(30e-3, 150e-3),
        "run_current": typical(30e-3, 200e-3),
        "highest_supply": exact(NO_EFFECT),
        "burst_current": scatters(0.2),
        "burst_period": typical(0.05, 0.2, scatter=0.05),
        "burst_length": typical(0.5e-3, 10e-3),
    }

    feed: Annotated[str, choice(FEEDS, "where it is fed: from the bus, or from a supply of its own", "schematic")] = (
        "bus"
    )
    own_voltage: Annotated[float, measure("V", 30.0, "voltage of the supply of its own", "label of that supply")] = 5.0
    feed_resistance: Annotated[
        float, measure("ohm", 1e3, "between bus and reservoir: wire, fuse, ferrite", "ohmmeter, or data sheets")
    ] = 0.05
    feed_diode: Annotated[
        bool, yes_no("whether a diode keeps the reservoir from flowing back to the bus", "schematic")
    ] = False
    diode_drop: Annotated[
        float,
        measure("V", 5.0, "forward voltage of that diode", "data sheet at the running current", zero=True),
    ] = 0.3
    reservoir: Annotated[
        float, measure("F", 10.0, "capacitors at the regulator's input", "schematic or print on them")
    ] = 10e-6
    rail_voltage: Annotated[float, measure("V", 30.0, "regulated rail", "schematic, or a voltmeter")] = 3.3
    dropout_voltage: Annotated[
        float, measure("V", 10.0, "regulator's dropout without load", "data sheet, dropout curve", zero=True)
    ] = 0.08
    dropout_resistance: Annotated[
        float, measure("ohm", 100.0, "rise of the dropout with the current", "data sheet, slope of that curve")
    ] = 0.3
    regulator_limit: Annotated[
        float, measure("A", 20.0, "current limit of the regulator", "data sheet, current limit")
    ] = 0.6
    rail_capacitance: Annotated[
        float, measure("F", 1.0, "capacitors on the rail", "schematic, derated for voltage")
    ] = 22e-6
    brownout_rising: Annotated[
        float, measure("V", 30.0, "rail voltage at which reset is released", "data sheet, brown-out detector")
    ] = 2.8
    brownout_falling: Annotated[
        float, measure("V", 30.0, "rail voltage at which it resets", "data sheet, brown-out detector")
    ] = 2.3
    reset_hold: Annotated[
        float,
        measure(
            "s", 60.0, "how long the rail stays above brownout_rising until reset ends; a supervisor chip: 4 to 200 ms",
            "data sheet, reset delay of the detector or supervisor", zero=True,
        ),
    ] = 1e-3  # fmt: skip
    boot_time: Annotated[
        float,
        measure(
            "s", 100e3, "reset release to the first line of the user's program",
            "oscilloscope on a pin that the program sets first", zero=True,
        ),
    ] = 0.15  # fmt: skip
    boot_peak_current: Annotated[
        float,
        measure(
            "A", 20.0, "added for a while during boot, such as by a radio's calibration; zero: none",
            "oscilloscope over a shunt", zero=True,
        ),
    ] = 0.0  # fmt: skip
    boot_peak_at: Annotated[
        float, measure("s", 600.0, "start of boot to start of that peak", "oscilloscope over a shunt", zero=True)
    ] = 20e-3
    boot_peak_length: Annotated[
        float,
        measure(
            "s", 600.0, "length of that peak; it ends with boot at the latest", "oscilloscope over a shunt", zero=True
        ),
    ] = 40e-3
    reset_current: Annotated[
        float, measure("A", 20.0, "drawn from the rail in reset", "ammeter with reset held", zero=True)
    ] = 0.01
    boot_current: Annotated[
        float, measure("A", 20.0, "drawn while booting", "oscilloscope over a shunt", zero=True)
    ] = 0.08
    run_current: Annotated[
        float, measure("A", 20.0, "drawn while running, radio bursts aside", "ammeter", zero=True)
    ] = 0.08
    highest_supply: Annotated[
        float, measure("V", 60.0, "highest voltage at the regulator's input", "data sheet, absolute maximum")
    ] = 6.0
    burst_current: Annotated[
        float,
        measure("A", 20.0, "added by a radio burst; zero: no bursts", "oscilloscope over a shunt", zero=True),
    ] = 0.0
    burst_period: Annotated[
        float, measure("s", 3600.0, "from burst to burst", "oscilloscope over a shunt; some 100 ms for Wi-Fi beacons")
    ] = 0.1
    burst_length: Annotated[
        float, measure("s", 3600.0, "length of a burst, shorter than burst_period", "oscilloscope over a shunt")
    ] = 2e-3

    @field_validator("brownout_falling")
    @classmethod
    def _check_brownout(cls, value: float, info: ValidationInfo) -> float:
        if has(info.data, "brownout_rising") and value >= info.data["brownout_rising"]:
            raise Refused(f"below brownout_rising, {format_quantity(info.data['brownout_rising'], 'V')}")
        return value

    @field_validator("boot_peak_length")
    @classmethod
    def _check_boot_peak(cls, value: float, info: ValidationInfo) -> float:
        if value == 0 and info.data.get("boot_peak_current", 0.0) > 0:
            raise Refused("above zero while boot_peak_current is not zero")
        return value

    @field_validator("burst_length")
    @classmethod
    def _check_burst(cls, value: float, info: ValidationInfo) -> float:
        if has(info.data, "burst_period") and value >= info.data["burst_period"]:
            raise Refused(f"below burst_period, {format_quantity(info.data['burst_period'], 's')}")
        return value
