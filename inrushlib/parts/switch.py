"""The high-side switch between bus and panel, P-channel or an integrated load switch, with its heat path."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import ValidationInfo, field_validator

from inrushlib.parts.part import ABSOLUTE_ZERO, KeySpec, Part, Refused, ValueKind, choice, has, measure, same_length_as
from inrushlib.parts.ranges import NO_EFFECT, PRACTICE, Typical, all_exact, exact, typical
from inrushlib.quantities import format_quantity

THRESHOLDS = f"data sheets of small P-channel parts: 0.5 V to 1.5 V; {PRACTICE}"
GATE_DRIVERS = ("transistor", "pin")
KINDS = ("p-channel", "load-switch")


class Switch(Part):
    """A high-side P-channel MOSFET, source at the bus, drain at the panel's root; or an integrated load switch.

    A load switch uses ``on_resistance`` as it is, ``slew_rate`` and ``current_limit``; threshold, drive and
    gate parts do not matter to it. A P-channel switch does not use those two.
    """

    typical: ClassVar[dict[str, Typical]] = {
        "threshold_voltage": typical(0.5, 1.5, scatter=0.25, source=THRESHOLDS),
        "on_resistance": typical(10e-3, 90e-3, scatter=(0.8, 1.4)),
        "on_resistance_drive": exact("the condition that on_resistance is stated at"),
        "gate_source_capacitance": typical(0.3e-9, 5e-9),
        "gate_drain_capacitance": typical(0.05e-9, 1e-9, scatter=0.25),
        "pullup_resistance": typical(4.7e3, 100e3, scatter=0.05),
        "gate_resistance": typical(10.0, 1e3, scatter=0.05),
        "slew_rate": typical(300.0, 10e3, scatter=0.3),
        "current_limit": typical(1.0, 4.0),
    } | all_exact(NO_EFFECT, "thermal_resistances", "thermal_times", "ambient", "highest_junction")

    kind: Annotated[
        str,
        choice(
            KINDS,
            "a P-channel MOSFET with gate parts, or an integrated load switch with slew and current limit",
            "schematic",
        ),
    ] = "p-channel"
    threshold_voltage: Annotated[
        float, measure("V", 20.0, "gate threshold, magnitude", "data sheet, V_GS(th) typical")
    ] = 0.9
    on_resistance: Annotated[
        float, measure("ohm", 10.0, "resistance when fully on", "data sheet, R_DS(on) at the drive given here")
    ] = 0.04
    on_resistance_drive: Annotated[
        float, measure("V", 20.0, "gate drive that on_resistance is given at", "data sheet, condition of R_DS(on)")
    ] = 4.5
    gate_source_capacitance: Annotated[
        float,
        measure("F", 1e-3, "gate to source, added capacitors included", "data sheet, C_iss - C_rss", zero=True),
    ] = 1e-9
    gate_drain_capacitance: Annotated[
        float, measure("F", 1e-3, "gate to drain, added capacitors included", "data sheet, C_rss", zero=True)
    ] = 0.2e-9
    pullup_resistance: Annotated[float, measure("ohm", 1e9, "from bus to gate; holds the switch off", "schematic")] = (
        10e3
    )
    gate_resistance: Annotated[
        float, measure("ohm", 1e9, "between gate and what pulls it low; sets the ramp", "schematic")
    ] = 100.0
    gate_driver: Annotated[
        str,
        choice(
            GATE_DRIVERS,
            "what pulls the gate low: an open-drain transistor, or the controller's own pin",
            "schematic",
        ),
    ] = "transistor"
    slew_rate: Annotated[
        float,
        measure(
            "V/s",
            1e9,
            "rise of a load switch's output once enabled",
            "data sheet, 80 % of the swing over its rise time",
        ),
    ] = 1000.0
    current_limit: Annotated[
        float, measure("A", 400.0, "current that a load switch limits to", "data sheet, current limit")
    ] = 2.0
    thermal_resistances: Annotated[
        tuple[float, ...],
        measure(
            "K/W", 1e3, "steps of the Foster ladder, junction to ambient",
            "data sheet, fitted to the transient thermal impedance", kind=ValueKind.LIST,
            one_for_each="step of the ladder",
        ),
    ] = (1.0, 3.0, 10.0, 50.0)  # fmt: skip
    thermal_times: Annotated[
        tuple[float, ...],
        measure(
            "s", 1e5, "time constants of those steps", "data sheet, fitted to the transient thermal impedance",
            kind=ValueKind.LIST, one_for_each="entry of thermal_resistances",
            length=same_length_as("thermal_resistances"),
        ),
    ] = (100e-6, 2e-3, 30e-3, 1.0)  # fmt: skip
    ambient: Annotated[
        float,
        KeySpec(
            unit="C", low=ABSOLUTE_ZERO, high=150.0, meaning="temperature around it",
            where_found="thermometer in the closed case",
        ),
    ] = 25.0  # fmt: skip
    highest_junction: Annotated[
        float, measure("C", 400.0, "junction temperature that it stands", "data sheet, absolute maximum")
    ] = 150.0

    @field_validator("on_resistance_drive")
    @classmethod
    def _check_drive(cls, value: float, info: ValidationInfo) -> float:
        if has(info.data, "threshold_voltage") and value <= info.data["threshold_voltage"]:
            raise Refused(f"above threshold_voltage, {format_quantity(info.data['threshold_voltage'], 'V')}")
        return value

    @field_validator("gate_drain_capacitance")
    @classmethod
    def _check_gate(cls, value: float, info: ValidationInfo) -> float:
        if value == 0 and info.data.get("gate_source_capacitance") == 0:
            raise Refused("above zero while gate_source_capacitance is zero")
        return value

    @field_validator("thermal_resistances")
    @classmethod
    def _check_ladder(cls, value: tuple[float, ...]) -> tuple[float, ...]:
        if not value:
            raise Refused("one step or more")
        return value
