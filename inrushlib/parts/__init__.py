"""The parts of a build: frozen sets of values, each with unit, bounds, default, meaning and source.

``Adapter``, ``Lead``, ``Limiter``, ``Bus``, ``Switch``, ``PanelCapacitors``, ``Controller``, ``Firmware``,
``Pixel``, ``Wiring``, ``Run``
    one for each table of a build file
``Tolerance``, ``Spread``
    which values scatter
``Typical``, ``Range``, ``Origin``
    how far a value may be off, and where it comes from
``build_keys``, ``KeyInfo``
    what is known of each key
``Place``, ``PlaceKind``, ``LEAD``, ``feed``, ``hop``
    the places of a build that a finding or a current belongs to
``CONNECTORS``
    classes of connectors with their rated currents
``catalog``, ``catalog_names``
    typical classes of adapters, pixels and controllers
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from inrushlib.errors import BuildError
from inrushlib.parts.adapter import Adapter
from inrushlib.parts.bus import Bus
from inrushlib.parts.connector import CONNECTORS
from inrushlib.parts.controller import Controller
from inrushlib.parts.firmware import Firmware
from inrushlib.parts.lead import Lead
from inrushlib.parts.limiter import Limiter
from inrushlib.parts.origin import Origin
from inrushlib.parts.panel import PanelCapacitors
from inrushlib.parts.part import About, Part, ValueKind
from inrushlib.parts.pixel import Pixel
from inrushlib.parts.place import LEAD, Place, PlaceKind, feed, hop
from inrushlib.parts.ranges import Range, Typical
from inrushlib.parts.run import Run
from inrushlib.parts.switch import Switch
from inrushlib.parts.tables import TABLES, KeyInfo, build_keys
from inrushlib.parts.tolerance import Spread, Tolerance
from inrushlib.parts.wiring import Wiring

_CATALOG = Path(__file__).parent / "catalog"


def catalog_names() -> tuple[str, ...]:
    """Names of the typical classes.

    Returns
    -------
    tuple of str
        In alphabetical order.

    Examples
    --------
    >>> "adapter-5v-3a" in catalog_names()
    True
    """
    return tuple(sorted(path.stem for path in _CATALOG.glob("*.toml")))


def catalog(name: str) -> dict[str, Any]:
    """Values of a typical class, by dotted key, ready for ``Build.with_values``.

    Parameters
    ----------
    name : str
        One of :func:`catalog_names`.

    Returns
    -------
    dict of str to object
        Dotted key to value, as a build file would give it.

    Raises
    ------
    BuildError
        For a class that is not there.

    Examples
    --------
    >>> catalog("adapter-5v-3a")["adapter.rated_current"]
    '3 A'
    """
    if name not in catalog_names():
        raise BuildError(f'catalog: value "{name}"; accepted: {", ".join(catalog_names())}')
    tables = tomllib.loads((_CATALOG / f"{name}.toml").read_text(encoding="utf-8"))
    return {f"{table}.{key}": value for table, keys in tables.items() for key, value in keys.items()}


__all__ = [
    "CONNECTORS",
    "LEAD",
    "TABLES",
    "About",
    "Adapter",
    "Bus",
    "Controller",
    "Firmware",
    "KeyInfo",
    "Lead",
    "Limiter",
    "Origin",
    "PanelCapacitors",
    "Part",
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
    "Wiring",
    "build_keys",
    "catalog",
    "catalog_names",
    "feed",
    "hop",
]  # fmt: skip
