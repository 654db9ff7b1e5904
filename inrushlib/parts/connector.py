"""Classes of connector and what a contact of each carries."""

from __future__ import annotations

from typing import Annotated, Final

from inrushlib.parts.part import choice

NOT_SAID = "not said"

CONNECTORS: Final[dict[str, tuple[float, str]]] = {
    "USB Type-C": (3.0, "USB Type-C specification, without an electronically marked cable"),
    "USB Type-A": (1.5, "USB 2.0 specification (from memory)"),
    "USB Micro-B": (1.8, "USB Micro-B specification (from memory)"),
    "barrel jack 5.5 mm x 2.1 mm": (5.0, "common practice, no source; data sheets say 2 A to 5 A"),
    "2.0 mm pitch wire-to-board": (2.0, "common practice, no source"),
    "2.5 mm pitch wire-to-wire": (3.0, "common practice, no source"),
    "2.54 mm pin header": (3.0, "common practice, no source"),
    "5.08 mm screw terminal": (10.0, "common practice, no source"),
    "splice terminal 2.5 mm2": (20.0, "common practice, no source"),
    "6.3 mm blade terminal": (15.0, "common practice, no source"),
}
"""Current of a contact [A] and where that comes from, by class of connector."""

WIRE_CONNECTORS: Final = (
    "2.0 mm pitch wire-to-board", "2.5 mm pitch wire-to-wire", "5.08 mm screw terminal", "6.3 mm blade terminal",
    "splice terminal 2.5 mm2",
)  # fmt: skip
"""Classes that any wire can be given, whatever the adapter has; by rated current."""

Connector = Annotated[
    str,
    choice(
        (NOT_SAID, *CONNECTORS), "class of the connector in it, for its rated current", "shape and pitch of the plug"
    ),
]
