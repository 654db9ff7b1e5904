"""Units as quantiphy reads and writes them.

``quantity_of``      a class of quantities of one unit
``WITHOUT_PREFIX``   units that have none
"""

from __future__ import annotations

from typing import Final

from quantiphy import Quantity

# Written without a prefix: "1 kC" and "0.3 mm2 read as milli square metre" are traps.
WITHOUT_PREFIX: Final = {"", "C", "K/W", "A2s"}


class _Reading(Quantity):
    """A quantiphy quantity with preferences of its own, so that those of the process stay as they are."""


_READINGS: dict[str, type[_Reading]] = {}


def quantity_of(unit: str) -> type[Quantity]:
    """Return quantiphy's class of quantities of one unit.

    With its unit known, it reads "1.2 m" as metres and "3 K/W" as kelvin per watt.

    Parameters
    ----------
    unit : str
        SI unit.

    Examples
    --------
    >>> float(quantity_of("m")("1.2 m"))
    1.2
    """
    if unit not in _READINGS:
        reading: type[_Reading] = type("_Reading", (_Reading,), {})
        reading.set_prefs(known_units=[unit], input_sf="TGMkcmunpf", output_sf="TGMkmunpf", minus="-")
        _READINGS[unit] = reading
    return _READINGS[unit]
