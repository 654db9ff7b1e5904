"""The mains adapter: a regulated output that limits its current in one of four styles."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import ValidationInfo, field_validator

from inrushlib.parts.part import DERIVED, Part, Refused, choice, has, measure
from inrushlib.parts.ranges import ELECTROLYTIC, NO_EFFECT, PRACTICE, Typical, exact, scatters, typical, typical_share
from inrushlib.quantities import format_quantity

LIMITS = f"105 to 150 % of the label; a tested 3.1 A charger limits at 111 %; {PRACTICE}"
LIMIT_STYLES = ("constant-current", "foldback", "hiccup", "latch-off")


class Adapter(Part):
    """The mains adapter."""

    typical: ClassVar[dict[str, Typical]] = {
        "rated_voltage": typical(4.85, 5.25, scatter=0.03, source=f"USB 2.0, 7.2.2: 4.75 V to 5.25 V; else {PRACTICE}"),
        "minimum_load": exact(NO_EFFECT),
        "rated_current": exact("what the label says; what it gives is limit_current"),
        "limit_current": typical_share(1.05 / 1.2, 1.5 / 1.2, scatter=0.08, source=LIMITS),
        "foldback_current": typical_share(0.5, 1.7),
        "foldback_knee": typical_share(0.75, 1.15, scatter=0.05),
        "peak_current": scatters(0.1),
        "peak_time": scatters(0.2),
        "output_resistance": typical_share(0.33, 2.0),
        "output_capacitance": typical(470e-6, 2200e-6, source=ELECTROLYTIC),
        "soft_start": typical(3e-3, 30e-3, scatter=0.25),
        "trip_delay": typical(5e-3, 64e-3, scatter=0.25),
        "retry_delay": typical(0.1, 2.5, scatter=0.25),
        "bleed_resistance": typical(300.0, 5e3, scatter=0.05),
    }

    rated_voltage: Annotated[
        float, measure("V", 30.0, "regulated output voltage", "label, or a voltmeter on the unloaded plug")
    ] = 5.1
    rated_current: Annotated[
        float, measure("A", 200.0, "current that the label promises without end", "label of the adapter")
    ]
    limit_current: Annotated[
        float,
        measure(
            "A", 400.0, "current at which it starts limiting",
            "data sheet (over-current protection), or raise a bench load until the voltage sags",
            derive=lambda values: 1.2 * values["rated_current"], default_text="1.2 x rated_current",
        ),
    ] = DERIVED  # fmt: skip
    limit_style: Annotated[
        str,
        choice(
            LIMIT_STYLES,
            "what it does in its limit: holds the current, folds it back, or trips with or without retry",
            "data sheet (protection), or overload it on the bench and watch the voltage",
        ),
    ] = "constant-current"
    foldback_current: Annotated[
        float,
        measure(
            "A", 400.0, "current into a short circuit (foldback)", "data sheet, or an ammeter across the plug",
            derive=lambda values: 0.3 * values["limit_current"], default_text="0.3 x limit_current",
        ),
    ] = DERIVED  # fmt: skip
    foldback_knee: Annotated[
        float,
        measure(
            "V", 30.0, "output voltage above which the full limit holds (foldback)",
            "data sheet curve, or a bench load swept down to a short",
            derive=lambda values: 0.8 * values["rated_voltage"], default_text="0.8 x rated_voltage",
        ),
    ] = DERIVED  # fmt: skip
    peak_current: Annotated[
        float | None,
        measure(
            "A", 1e3, "current allowed for a short time", "data sheet (peak load)", optional=True,
            default_text="none",
        ),
    ] = None  # fmt: skip
    peak_time: Annotated[
        float | None,
        measure(
            "s", 60.0, "how long the peak current is allowed", "data sheet (peak load)", optional=True,
            default_text="none",
        ),
    ] = None  # fmt: skip
    output_resistance: Annotated[
        float,
        measure(
            "ohm", 10.0, "slope of the load regulation", "voltage lost from no load to full, over the current",
            derive=lambda values: 0.15 / values["rated_current"], default_text="0.15 V / rated_current",
        ),
    ] = DERIVED  # fmt: skip
    output_capacitance: Annotated[
        float, measure("F", 1.0, "capacitors at its output", "markings inside an opened one, or the data sheet")
    ] = 1000e-6
    soft_start: Annotated[
        float, measure("s", 10.0, "ramp of the output from zero", "oscilloscope at switch-on without load")
    ] = 8e-3
    trip_delay: Annotated[
        float,
        measure(
            "s", 60.0, "time in its limit before it trips (hiccup, latch-off)",
            "oscilloscope while a bench load overloads it", zero=True,
        ),
    ] = 20e-3  # fmt: skip
    retry_delay: Annotated[
        float, measure("s", 600.0, "off time before it tries again (hiccup)", "oscilloscope on a shorted output")
    ] = 1.0
    bleed_resistance: Annotated[
        float, measure("ohm", 1e9, "what discharges the output", "fall of the unloaded output after unplugging")
    ] = 1e3
    minimum_load: Annotated[
        float | None,
        measure(
            "A", 200.0, "load below which it switches itself off after a while, as power banks do; none: it stays on",
            "lower a bench load until it goes off; 50 mA to 100 mA for a power bank", optional=True,
            default_text="none",
        ),
    ] = None  # fmt: skip

    @field_validator("foldback_current")
    @classmethod
    def _check_foldback(cls, value: float, info: ValidationInfo) -> float:
        if has(info.data, "limit_current") and value > info.data["limit_current"]:
            raise Refused(f"at most limit_current, {format_quantity(info.data['limit_current'], 'A')}")
        return value

    @field_validator("peak_current")
    @classmethod
    def _check_peak(cls, value: float | None, info: ValidationInfo) -> float | None:
        if value is not None and has(info.data, "limit_current") and value < info.data["limit_current"]:
            raise Refused(f"at least limit_current, {format_quantity(info.data['limit_current'], 'A')}")
        return value

    @field_validator("peak_time")
    @classmethod
    def _check_both_or_neither(cls, value: float | None, info: ValidationInfo) -> Any:
        if "peak_current" in info.data and (value is None) != (info.data["peak_current"] is None):
            raise Refused("peak_current and peak_time both, or neither")
        return value
