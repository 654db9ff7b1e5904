"""One pixel: a chip with three colour channels on a shared supply."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import ValidationInfo, field_validator

from inrushlib.parts.firmware import COLOURS
from inrushlib.parts.part import Part, Refused, ValueKind, has, measure, share
from inrushlib.parts.ranges import NO_EFFECT, PRACTICE, Typical, exact, typical, typical_share
from inrushlib.quantities import format_quantity

CHANNELS = f"two batches of one part draw 33 mA and 52 mA at full white; {PRACTICE}"


class Pixel(Part):
    """One pixel of the chain."""

    typical: ClassVar[dict[str, Typical]] = {
        "power_on": exact("seen at once: power a few without data and look"),
        "quiescent_current": typical(0.2e-3, 1.2e-3, scatter=0.25),
        "channel_current": typical(10e-3, 19e-3, scatter=0.1, source=CHANNELS),
        "forward_voltages": typical_share(0.9, 1.15, scatter=0.04),
        "channel_resistance": typical(40.0, 150.0),
        "wake_voltage": typical(1.5, 2.5, scatter=0.08),
        "highest_supply": exact(NO_EFFECT),
        "listen_voltage": typical(2.0, 3.0, scatter=0.08),
        "listen_delay": typical(0.05e-3, 2e-3, scatter=0.3),
        "forget_voltage": typical(1.4, 2.2, scatter=0.08),
    }

    power_on: Annotated[
        tuple[float, ...],
        share(
            "duty of each colour before the first data", "power a few without data and look",
            length=3, one_for_each=COLOURS,
        ),
    ] = (1.0, 1.0, 1.0)  # fmt: skip
    quiescent_current: Annotated[
        float, measure("A", 1.0, "the chip alone, all colours off", "ammeter on a dark strip, a pixel", zero=True)
    ] = 0.6e-3
    channel_current: Annotated[
        float, measure("A", 10.0, "of each colour at full duty", "ammeter on one colour at full, a pixel")
    ] = 12e-3
    forward_voltages: Annotated[
        tuple[float, ...],
        measure(
            "V", 20.0, "forward voltage of each colour, its driver's least drop included",
            "bench: supply voltage at which each colour starts to glow", kind=ValueKind.LIST, length=3,
            one_for_each=COLOURS,
        ),
    ] = (1.9, 2.75, 2.85)  # fmt: skip
    channel_resistance: Annotated[
        float,
        measure(
            "ohm", 1e5, "how gradually a channel fades as the supply sags",
            "bench: current of one colour against a falling supply",
        ),
    ] = 80.0  # fmt: skip
    wake_voltage: Annotated[
        float, measure("V", 20.0, "supply at which the chip starts to draw", "bench: supply raised slowly")
    ] = 2.0
    highest_supply: Annotated[float, measure("V", 60.0, "highest supply voltage", "data sheet, absolute maximum")] = 5.5
    listen_voltage: Annotated[
        float, measure("V", 20.0, "supply from which it takes data", "bench: lower the supply until data fail")
    ] = 2.2
    listen_delay: Annotated[
        float, measure("s", 100e3, "how long above listen_voltage before it takes data", "data sheet", zero=True)
    ] = 0.3e-3
    forget_voltage: Annotated[
        float,
        measure("V", 20.0, "supply at which it returns to its power-on colour", "bench: dip the supply and look"),
    ] = 1.8

    @field_validator("forget_voltage")
    @classmethod
    def _check_forget(cls, value: float, info: ValidationInfo) -> float:
        if has(info.data, "listen_voltage") and value >= info.data["listen_voltage"]:
            raise Refused(f"below listen_voltage, {format_quantity(info.data['listen_voltage'], 'V')}")
        return value
