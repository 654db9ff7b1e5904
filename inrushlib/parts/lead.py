"""The lead from the adapter to the bus: a loop of resistance and inductance."""

from __future__ import annotations

from typing import Annotated, ClassVar

from inrushlib.copper import wire_resistance
from inrushlib.parts.connector import NOT_SAID, Connector
from inrushlib.parts.part import DERIVED, LARGEST_GAUGE, KeySpec, Part, ValueKind, Values, measure
from inrushlib.parts.ranges import PRACTICE, Typical, exact, typical, typical_share
from inrushlib.quantities import parse_gauge

AWG_24, AWG_18 = parse_gauge("24 AWG"), parse_gauge("18 AWG")


def _loop(values: Values) -> float:
    copper: float = wire_resistance(2.0 * values["length"], values["gauge"])
    contacts: float = values["contact_resistance"]
    return copper + contacts


class Lead(Part):
    """The lead from the adapter to the bus; ``gauge`` is held as the area of its copper in m2."""

    typical: ClassVar[dict[str, Typical]] = {
        "length": typical(0.5, 2.0, scatter=0.05),
        "gauge": typical(
            AWG_24, AWG_18, scatter=(0.88, 1.0),
            source="a given one: IEC 60228 class 5 allows 13 % more resistance than its area of ideal copper",
        ),
        "resistance": typical_share(
            0.95, 2.0, scatter=0.05, source=f"connectors and copper: {PRACTICE}",
            follows=("length", "gauge", "contact_resistance"),
        ),
        "inductance": typical_share(0.6, 1.6),
        "contact_resistance": exact("its range is that of the lead's resistance"),
    }  # fmt: skip

    length: Annotated[float, measure("m", 100.0, "length of the lead, one way", "tape measure")] = 1.2
    gauge: Annotated[
        float,
        KeySpec(
            unit="m2", kind=ValueKind.GAUGE, low=0.0, high=LARGEST_GAUGE, low_included=False,
            meaning="copper of each of its two conductors",
            where_found="print on the jacket, or a wire gauge on the stripped end",
            default_text="22 AWG",
        ),
    ] = "22 AWG"  # type: ignore[assignment]  # fmt: skip
    contact_resistance: Annotated[
        float,
        measure(
            "ohm", 10.0, "resistance of its plugs, supply and return together; counts where resistance is not given",
            "drop across both poles of a plug over the current", zero=True,
        ),
    ] = 0.0  # fmt: skip
    resistance: Annotated[
        float,
        measure(
            "ohm", 100.0, "resistance of the loop, connectors included; wins over length, gauge and contact_resistance",
            "four-wire measurement, or the drop along both conductors over the current",
            derive=_loop, default_text="from length, gauge and contact_resistance",
            source="annealed copper at 20 C, 0.017241 ohm mm2/m (IEC 60028); AWG areas from ASTM B258",
        ),
    ] = DERIVED  # fmt: skip
    inductance: Annotated[
        float,
        measure(
            "H", 1e-3, "inductance of the loop", "LCR meter at the plug with the far end shorted",
            derive=lambda values: 0.8e-6 * values["length"], default_text="0.8 uH/m x length",
        ),
    ] = DERIVED  # fmt: skip
    connector: Connector = NOT_SAID
