"""Capacitors at the root of the panel, where the feed wires leave."""

from __future__ import annotations

from typing import Annotated

from inrushlib.parts.part import Part, measure


class PanelCapacitors(Part):
    """Capacitors at the root of the panel, behind the switch: table ``panel``."""

    ceramic: Annotated[
        float, measure("F", 10e-3, "ceramic capacitors at the root", "schematic, derated for voltage")
    ] = 1e-6
    bulk: Annotated[
        float, measure("F", 10.0, "electrolytic capacitors at the root; zero: none", "print on them", zero=True)
    ] = 0.0
    bulk_esr: Annotated[
        float, measure("ohm", 100.0, "series resistance of the electrolytic ones", "data sheet, or an ESR meter")
    ] = 0.05
