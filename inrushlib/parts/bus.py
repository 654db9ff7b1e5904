"""The bus: the supply terminals where adapter, controller and switch meet."""

from __future__ import annotations

from typing import Annotated, ClassVar

from inrushlib.parts.part import Part, measure
from inrushlib.parts.ranges import ELECTROLYTIC, Typical, scatters, typical


class Bus(Part):
    """The supply terminals: ceramic capacitors, and electrolytic ones behind their series resistance."""

    typical: ClassVar[dict[str, Typical]] = {
        "ceramic": typical(0.1e-6, 22e-6),
        "bulk": scatters(0.2, source=ELECTROLYTIC),
        "bulk_esr": typical(10e-3, 300e-3, scatter=0.3),
    }

    ceramic: Annotated[
        float, measure("F", 10e-3, "ceramic capacitors at the supply terminals", "schematic, derated for voltage")
    ] = 1e-6
    bulk: Annotated[
        float,
        measure("F", 10.0, "electrolytic ones at the supply terminals; zero: none", "print on them", zero=True),
    ] = 0.0
    bulk_esr: Annotated[
        float, measure("ohm", 100.0, "series resistance of the electrolytic ones", "data sheet, or an ESR meter")
    ] = 0.05
