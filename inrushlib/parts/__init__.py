"""The parts of a build: frozen sets of values, each with unit, bounds, default, meaning and source.

``Adapter``, ``Lead``, ``Limiter``, ``Bus``, ``Switch``, ``PanelCapacitors``, ``Controller``, ``Firmware``,
``Pixel``, ``Wiring``, ``Run``
    one for each table of a build file
``Tolerance``, ``Spread``
    which values scatter
``Typical``, ``Range``, ``Origin``
    how far a value may be off, and where it comes from
``build_keys``, ``KeyInfo``, ``key_words``, ``field_words``, ``keys_in_words``, ``plainly``
    what is known of each key; the key as a page says it
``Place``, ``PlaceKind``, ``LEAD``, ``feed``, ``hop``
    the places of a build that a finding or a current belongs to
``from_lit_pixels``, ``from_wire``, ``from_track``, ``from_loads``, ``Observed``, ``FIGURES``
    from what can be seen or measured to the keys of a build
``CONNECTORS``
    classes of connectors with their rated currents
``part_classes``, ``class_values``, ``PartClass``, ``ClassValue``, ``ClassFact``
    classes of parts, each value with its range and source
"""

from __future__ import annotations

from inrushlib.parts.adapter import Adapter
from inrushlib.parts.bus import Bus
from inrushlib.parts.classes import ClassFact, ClassValue, PartClass, class_values, part_classes
from inrushlib.parts.connector import CONNECTORS, WIRE_CONNECTORS
from inrushlib.parts.controller import Controller
from inrushlib.parts.firmware import Firmware
from inrushlib.parts.key_words import field_words, key_words, keys_in_words, plainly
from inrushlib.parts.lead import Lead
from inrushlib.parts.limiter import Limiter
from inrushlib.parts.observed import FIGURES, Observed, WireRun, from_lit_pixels, from_loads, from_track, from_wire
from inrushlib.parts.origin import Origin
from inrushlib.parts.panel import PanelCapacitors
from inrushlib.parts.part import KeySpec, Part, ValueKind
from inrushlib.parts.pixel import Pixel
from inrushlib.parts.place import LEAD, Place, PlaceKind, feed, hop
from inrushlib.parts.ranges import Range, Typical
from inrushlib.parts.run import Run
from inrushlib.parts.switch import Switch
from inrushlib.parts.tables import TABLES, KeyInfo, build_keys
from inrushlib.parts.tolerance import Spread, Tolerance
from inrushlib.parts.wiring import Wiring

__all__ = [
    "CONNECTORS",
    "FIGURES",
    "LEAD",
    "TABLES",
    "WIRE_CONNECTORS",
    "Adapter",
    "Bus",
    "ClassFact",
    "ClassValue",
    "Controller",
    "Firmware",
    "KeyInfo",
    "KeySpec",
    "Lead",
    "Limiter",
    "Observed",
    "Origin",
    "PanelCapacitors",
    "Part",
    "PartClass",
    "Pixel",
    "Place",
    "PlaceKind",
    "Range",
    "Run",
    "Spread",
    "Switch",
    "Tolerance",
    "Typical",
    "ValueKind",
    "WireRun",
    "Wiring",
    "build_keys",
    "class_values",
    "feed",
    "field_words",
    "from_lit_pixels",
    "from_loads",
    "from_track",
    "from_wire",
    "hop",
    "key_words",
    "keys_in_words",
    "part_classes",
    "plainly",
]  # fmt: skip
