"""Units as scopes write them: ``us``, ``µs``, ``(mV)``, ``[A]``, ``Volt``, ``second``.

``find_unit`` knows a unit; ``split_label`` takes a header cell apart.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Unit(NamedTuple):
    """A unit as a power of ten of an SI unit.

    Attributes
    ----------
    base : str
        The SI unit, ``"s"``, ``"V"`` or ``"A"``, or ``"counts"``.
    exponent : int
        The power of ten between them [1].
    """

    base: str
    exponent: int = 0


_PREFIXES = {"": 0, "k": 3, "m": -3, "u": -6, "µ": -6, "μ": -6, "n": -9, "p": -12}
_SYMBOLS = {p + b: Unit(b, e) for b in "sVA" for p, e in _PREFIXES.items() if p + b != "ks"}
_WORD = re.compile(r"(milli|micro|nano|kilo|m|u|µ|μ|n)?[- ]?(seconds?|secs?|volts?|amperes?|amps?)")
_WORD_EXPONENTS = {"milli": -3, "micro": -6, "nano": -9, "kilo": 3, "": 0} | _PREFIXES
_COUNTS = frozenset(["count", "counts", "raw", "adc", "lsb", "code", "codes", "level", "levels"])
_OTHER = frozenset(["W", "mW", "Ω", "Ohm", "ohm", "Hz", "kHz", "MHz", "°C", "%", "dB", "J", "C"])
#: Written in capitals these could be thousandths or millions.
_TWO_MEANINGS = {"MS": "ms", "MV": "mV", "MA": "mA", "Ms": "ms"}
_BRACKETED = re.compile(r"(?P<name>[^\[(]*(?:[\[(][^\])]*[\])][^\[(]+)*)[\[(]\s*(?P<unit>[^\[\]()]*)[\])]")
_TRAILING = re.compile(r"(?P<name>.*?\S)(?P<mark>\s*/\s*|\s*[,;:]\s*|\s+in\s+|\s+)(?P<unit>\S+)")
_SUFFIX = re.compile(r"(?P<name>.*[^\W_])_(?P<unit>[^\W_]+)")
#: A single letter after a blank is a unit only beside its quantity: "Channel A" is a name.
_QUANTITIES = {"s": re.compile("time"), "V": re.compile("volt"), "A": re.compile("current|amp")}

LONGEST_LABEL = 200


def find_unit(text: str) -> Unit | None:
    """The unit that a text names, or None.

    Parameters
    ----------
    text : str
        Such as ``"us"``, ``"(mV)"``, ``"Volt"``.

    Returns
    -------
    Unit or None
        SI unit and power of ten; None when it is not one of seconds, volts, amperes or counts.

    Examples
    --------
    >>> find_unit("µs"), find_unit("Volt"), find_unit("MV")
    (Unit(base='s', exponent=-6), Unit(base='V', exponent=0), None)
    """
    text = text.strip().strip("[]()").strip()
    if text in _SYMBOLS:
        return _SYMBOLS[text]
    if text in _TWO_MEANINGS:
        return None
    lower = text.lower()
    if lower in _COUNTS:
        return Unit("counts")
    if match := _WORD.fullmatch(lower):
        base = {"s": "s", "v": "V", "a": "A"}[match[2][0]]
        return Unit(base, _WORD_EXPONENTS[match[1] or ""])
    return next((unit for symbol, unit in _SYMBOLS.items() if symbol.lower() == lower), None)


def two_meanings(text: str) -> str:
    """The likely spelling of a unit that could be thousandths or millions; empty for any other.

    Parameters
    ----------
    text : str
        Such as ``"MV"``.

    Returns
    -------
    str
        Such as ``"mV"``.

    Examples
    --------
    >>> two_meanings("(MV)"), two_meanings("mV")
    ('mV', '')
    """
    return _TWO_MEANINGS.get(text.strip().strip("[]()").strip(), "")


def is_unit_cell(text: str) -> bool:
    """Whether a cell of a units row could be one: a unit, brackets, or an index word.

    Parameters
    ----------
    text : str
        The cell.

    Returns
    -------
    bool
        True for a unit.

    Examples
    --------
    >>> is_unit_cell("(ms)"), is_unit_cell("bus_voltage")
    (True, False)
    """
    inner = text.strip().strip("[]()").strip()
    if text.strip()[:1] in ("[", "(") and text.strip()[-1:] in ("]", ")"):
        return True
    return find_unit(inner) is not None or two_meanings(inner) != "" or inner in _OTHER or inner.lower() == "sequence"


def split_label(cell: str) -> tuple[str, str]:
    """Name and unit of a header cell; the unit is empty when the cell gives none.

    Parameters
    ----------
    cell : str
        The header cell.

    Returns
    -------
    tuple of str and str
        Name and unit, both as written.

    Examples
    --------
    >>> split_label("bus voltage [mV]"), split_label("t/us"), split_label("lead (copper)")
    (('bus voltage', 'mV'), ('t', 'us'), ('lead (copper)', ''))
    >>> split_label("in ms")
    ('', 'ms')
    """
    cell = cell.strip()
    if len(cell) > LONGEST_LABEL:
        return cell, ""
    if cell[:3].lower() == "in " and find_unit(cell[3:]) is not None:
        return "", cell[3:].strip()
    if match := _BRACKETED.fullmatch(cell):
        unit = match["unit"].strip()
        if "[" in cell or not unit or is_unit_cell(unit):
            return match["name"].strip(), unit
    if (match := _TRAILING.fullmatch(cell)) and _fits(match["unit"], match["name"], match["mark"]):
        return match["name"].strip(), match["unit"]
    if (match := _SUFFIX.fullmatch(cell)) and _fits(match["unit"], match["name"], "_"):
        return cell, match["unit"]
    if find_unit(cell) is not None and len(cell) <= 2:
        return "", cell
    return cell, ""


def _fits(unit: str, name: str, mark: str) -> bool:
    """Whether a word after a name is its unit; ``mark`` is what stands between them."""
    if unit in _QUANTITIES and (mark.isspace() or (mark == "_" and unit != "V")):
        return _QUANTITIES[unit].search(name.lower()) is not None
    return unit in _SYMBOLS or unit in _TWO_MEANINGS


def to_si(values: NDArray[np.float64], exponent: int) -> None:
    """Scale an array by a power of ten, in place.

    Parameters
    ----------
    values : ndarray
        Samples in the unit as written [unit of the column].
    exponent : int
        Power of ten to the SI unit [1].

    Examples
    --------
    >>> us = np.array([123.0])
    >>> to_si(us, -6)
    >>> us[0] == 123e-6
    np.True_
    """
    # A division by 10^k rounds once; a product with 10^-k would round twice.
    if exponent < 0:
        values /= 10.0**-exponent
    elif exponent > 0:
        values *= 10.0**exponent
