"""Copper: what a wire or a track drops, carries, survives.

:mod:`~inrushlib.copper.gauge`
    gauge numbers and metric sizes, and the ladder of sizes to choose from
:mod:`~inrushlib.copper.resistance`
    resistance of a length, at a temperature; IEC 60228 maxima
:mod:`~inrushlib.copper.ampacity`
    handbook current ratings, table by table, never interpolated
:mod:`~inrushlib.copper.adiabatic`
    the pulse that insulation survives
:mod:`~inrushlib.copper.heating`
    temperature of a single wire in still air
:mod:`~inrushlib.copper.board`
    tracks of a circuit board (IPC-2221)
"""

from __future__ import annotations

from inrushlib.copper.adiabatic import adiabatic_factor, adiabatic_limit
from inrushlib.copper.ampacity import AMPACITY_TABLES, BUNDLED, FREE_AIR, AmpacityTable, ampacity, ampacity_of_area
from inrushlib.copper.board import OUNCE, track_current
from inrushlib.copper.gauge import (
    COPPER_RESISTIVITY,
    THICKEST_AWG,
    THINNEST_AWG,
    awg_area,
    awg_diameter,
    thickest_gauge_within,
)
from inrushlib.copper.heating import wire_temperature
from inrushlib.copper.resistance import (
    METRIC_RESISTANCE,
    at_temperature,
    metric_resistance_per_metre,
    wire_resistance,
)

__all__ = [
    "AMPACITY_TABLES",
    "BUNDLED",
    "COPPER_RESISTIVITY",
    "FREE_AIR",
    "METRIC_RESISTANCE",
    "OUNCE",
    "THICKEST_AWG",
    "THINNEST_AWG",
    "AmpacityTable",
    "adiabatic_factor",
    "adiabatic_limit",
    "ampacity",
    "ampacity_of_area",
    "at_temperature",
    "awg_area",
    "awg_diameter",
    "metric_resistance_per_metre",
    "thickest_gauge_within",
    "track_current",
    "wire_resistance",
    "wire_temperature",
]
