"""The run: how it starts, how long it is watched, and when the mains goes away."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import field_validator

from inrushlib.parts.part import Part, Refused, ValueKind, choice, measure
from inrushlib.parts.ranges import SCENARIO, Typical, all_exact

STARTS = ("mains", "plug")


class Run(Part):
    """One run of the model."""

    typical: ClassVar[dict[str, Typical]] = all_exact(SCENARIO, "duration", "interruptions")

    duration: Annotated[
        float, measure("s", 3600.0, "how long the start is watched", "longer than boot, frames and retries together")
    ] = 1.0
    start: Annotated[
        str,
        choice(
            STARTS,
            "mains: the adapter is switched on; plug: it has been on and the plug goes in",
            "how the display is switched on",
        ),
    ] = "mains"
    interruptions: Annotated[
        tuple[tuple[float, float], ...],
        measure(
            "s", 3600.0, "when the adapter's output stops and starts again, hold-up added",
            "the scenario to be tried", zero=True, kind=ValueKind.PAIRS, one_for_each="[off_at, on_at] pairs",
            default_text="none",
        ),
    ] = ()  # fmt: skip

    @field_validator("interruptions")
    @classmethod
    def _check_order(cls, value: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        last = -1.0
        for off_at, on_at in value:
            if on_at <= off_at:
                raise Refused("off_at before on_at", [off_at, on_at])
            if off_at <= last:
                raise Refused("in order, each beginning after the one before has ended", [off_at, on_at])
            last = on_at
        return value
