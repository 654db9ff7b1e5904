"""The inrush limiter: an NTC thermistor in series with the lead."""

from __future__ import annotations

from typing import Annotated, ClassVar

from inrushlib.parts.part import ABSOLUTE_ZERO, KeySpec, Part, measure
from inrushlib.parts.ranges import PRACTICE, From, Range, Typical, typical


class Limiter(Part):
    """An NTC thermistor in series with the lead: high when cold, low once the current has warmed it."""

    typical: ClassVar[dict[str, Typical]] = {
        "cold_resistance": typical(0.5, 5.0),
        "beta": typical(2500.0, 3500.0, scatter=0.05),
        "dissipation": typical(8e-3, 30e-3),
        "heat_capacity": typical(0.3, 2.0, scatter=0.25),
        "ambient": Typical(scatter=Range(-5.0, 5.0, From.OFFSET), unknown=Range(0.0, 50.0, From.ZERO), source=PRACTICE),
    }

    cold_resistance: Annotated[float, measure("ohm", 1e3, "resistance at 25 C", "data sheet, R25")] = 1.0
    beta: Annotated[
        float, measure("K", 10e3, "how steeply it falls with temperature", "data sheet, B25/100 or B25/85")
    ] = 2800.0
    dissipation: Annotated[
        float, measure("W/K", 10.0, "heat given to the air for each kelvin above it", "data sheet, dissipation factor")
    ] = 0.015
    heat_capacity: Annotated[
        float,
        measure("J/K", 1e3, "heat that warms it by a kelvin", "data sheet, or dissipation times thermal time constant"),
    ] = 0.9
    ambient: Annotated[
        float,
        KeySpec(
            unit="C", low=ABSOLUTE_ZERO, high=150.0, low_included=False, meaning="temperature around it",
            where_found="thermometer in the closed case",
        ),
    ] = 25.0  # fmt: skip
