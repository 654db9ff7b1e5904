"""Quantities in SI to text.

``format_quantity``   4.7e-4 and ``"F"`` to ``"470 uF"``
``format_gauge``      an area of copper to ``"22 AWG"``, where it is one
``format_result``     a result of a run: 0 where it is below what a run can tell (``told_zero``)
``common_places``     digits behind the point of each value of a column, alike for what has one unit
``in_percent``        0.8 to ``"80 %"``
``with_signs``        a sentence with the signs of its quantities' units, for a screen
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from inrushlib.copper.gauge import THICKEST_AWG, THINNEST_AWG, awg_area
from inrushlib.quantities.units import WITHOUT_PREFIX, quantity_of

# Of a number's unit, and of a number itself.
_SIGNS: Final = (
    (re.compile(r"(?<=\d )u(?=(?:[FHsVAWJm]|ohm)\b)"), "µ"),
    (re.compile(r"(?<=\d )([pnµmkMG]?)ohm\b"), r"\1Ω"),
    (re.compile(r"(?<=\d )A2s\b"), "A²s"),
    (re.compile(r"(?<=\d )mm2\b"), "mm²"),
    (re.compile(r"\bI2t\b"), "I²t"),
    (re.compile(r"(?<= )\+- (?=\d)"), "± "),
    (re.compile(r"(?<![\w.,'\"/+-])-(?=\d)"), "−"),
)

_PLAIN = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
_POWERS: Final = {"f": -15, "p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12}


def format_gauge(area: float) -> str:
    """Text of an area of copper: its gauge where it is one, else its size.

    Parameters
    ----------
    area : float
        Of the copper [m2], above zero.

    Returns
    -------
    str
        What :func:`inrushlib.quantities.parse_gauge` reads.

    Examples
    --------
    >>> format_gauge(awg_area(22)), format_gauge(5e-7)
    ('22 AWG', '0.5 mm2')
    """
    for number in range(THICKEST_AWG, THINNEST_AWG + 1):
        if math.isclose(awg_area(number), area):
            return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
    return f"{area * 1e6:.4g} mm2"


def format_quantity(value: float, unit: str, digits: int = 4) -> str:
    """Text of a quantity, with the SI prefix that suits it.

    Parameters
    ----------
    value : float
        The value [unit], in SI.
    unit : str
        SI unit, ``"C"`` for degrees Celsius, empty for a plain number, ``"m2"`` is shown in mm2.
    digits : int
        Significant digits [1], 1 to 17.

    Returns
    -------
    str
        Such as ``"470 uF"``.

    Examples
    --------
    >>> format_quantity(4.7e-4, "F"), format_quantity(0.034, "ohm"), format_quantity(25.0, "C")
    ('470 uF', '34 mohm', '25 C')
    >>> format_quantity(3540.0, "A2s", digits=3)
    '3540 A2s'
    """
    if value == 0:
        return f"0 {unit}".rstrip()
    if unit == "m2":
        return f"{value * 1e6:.{digits}g} mm2"
    if unit in WITHOUT_PREFIX or not math.isfinite(value):
        return f"{_in_digits(value, digits)} {unit}".rstrip()
    # The trade counts capacitors in microfarads: 1000 uF, not 1 mF.
    if unit == "F" and 1e-6 <= abs(value) < 0.1:
        return f"{float(f'{value * 1e6:.{digits}g}'):.15g} uF"
    # And joints and rails in milliohms: 0.3 mohm, not 300 uohm.
    if unit == "ohm" and 1e-5 <= abs(value) < 1e-3:
        return f"{float(f'{value * 1e3:.{digits}g}'):.15g} mohm"
    return str(quantity_of(unit)(value, unit).render(prec=digits - 1))


def _in_digits(value: float, digits: int) -> str:
    """A number without a power of ten, where it needs no more than a few zeros."""
    if not math.isfinite(value) or not 1e-6 <= abs(value) < 1e7:
        return f"{value:.{digits}g}"
    rounded = Decimal(f"{value:.{digits}g}")
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


# What a run at the default tolerance can tell from nothing, in SI: 1e-5 a step in volts and amperes, some ten of
# them in a row, and what comes of that over a second; instants are found to a nanosecond.
TELLS: Final = {"V": 1e-3, "A": 1e-4, "W": 1e-4, "C": 1e-5, "J": 1e-6, "A2s": 1e-8, "s": 1e-9}


def with_signs(text: str) -> str:
    """Return a sentence with the signs of its quantities' units, for a screen or a picture.

    Parameters
    ----------
    text : str
        Where a number, a blank and a unit stand, such as ``"4.7 kohm"``; anything else is left as it is.

    Examples
    --------
    >>> with_signs("4.7 kohm at the gate, 1.8 A2s, 0.5 mm2, 470 uF, -3 V; Ohm's board of 2026-03-01")
    "4.7 kΩ at the gate, 1.8 A²s, 0.5 mm², 470 µF, −3 V; Ohm's board of 2026-03-01"
    """
    for spelled, sign in _SIGNS:
        text = spelled.sub(sign, text)
    return text


def in_percent(share: float, digits: int = 0) -> str:
    """Return a share in per cent, as the SI brochure writes it: with a blank before the sign.

    Parameters
    ----------
    share : float
        The share [1].
    digits : int
        Behind the point [1].

    Notes
    -----
    Source: SI Brochure, 9th edition, 5.4.7.

    Examples
    --------
    >>> in_percent(0.8), in_percent(0.0123, 1)
    ('80 %', '1.2 %')
    """
    return f"{100 * share:.{digits}f} %"


def told_zero(value: float, unit: str, resolution: float | None = None) -> float:
    """Return a result of a run [unit], or a plain zero where it is below what the run can tell from nothing.

    Parameters
    ----------
    value : float
        The result [unit], in SI.
    unit : str
        SI unit.
    resolution : float or None
        What can be told [unit], at least 0; None for that of a run at the default tolerance.

    Examples
    --------
    >>> told_zero(-675e-9, "A"), told_zero(1.2e-3, "A"), told_zero(-675e-9, "A", 1e-9)
    (0.0, 0.0012, -6.75e-07)
    """
    finest = TELLS.get(unit, 0.0) if resolution is None else resolution
    return 0.0 if abs(value) < finest else value


def format_result(
    value: float, unit: str, digits: int = 3, resolution: float | None = None, places: int | None = None
) -> str:
    """Text of a result of a run, ``0`` where it is below what the run can tell; arguments as :func:`told_zero`.

    Parameters
    ----------
    value : float
        The result [unit], in SI.
    unit : str
        SI unit.
    digits : int
        Significant digits [1], 1 to 17.
    resolution : float or None
        What can be told [unit], at least 0; None for that of a run at the default tolerance.
    places : int or None
        Digits behind the point [1], as :func:`common_places` tells them for a column; None for as many as
        ``digits`` leave, zeros at the end not written.

    Examples
    --------
    >>> format_result(-675e-9, "A"), format_result(7.28e-15, "V"), format_result(4.62513, "V")
    ('0 A', '0 V', '4.63 V')
    >>> format_result(4.0004, "V"), format_result(4.0004, "V", places=2)
    ('4 V', '4.00 V')
    """
    told = told_zero(value, unit, resolution)
    text = format_quantity(told, unit, digits=digits)
    number = _Written.of(text, unit)
    if places is None or number is None or told == 0:
        return text
    return f"{Decimal(repr(told)).scaleb(-number.power):.{places}f} {number.unit}".rstrip()


def common_places(values: Sequence[tuple[float, str, float | None]], digits: int = 3) -> list[int | None]:
    """Digits behind the point of each value of a column: as many as the finest of its unit and prefix needs.

    No value loses a digit that it has alone, but for those below what the results can tell: a column is as coarse as
    its coarsest value.

    Parameters
    ----------
    values : sequence of (float, str, float or None)
        Value [unit], unit and resolution [unit] of each, as :func:`format_result` takes them.
    digits : int
        Significant digits [1] of a value that stands alone.

    Returns
    -------
    list of int or None
        For ``places`` of :func:`format_result`; None for what is written without a point, a plain 0.

    Examples
    --------
    >>> common_places([(4.0004, "V", None), (4.123, "V", None), (0.0123, "V", None), (0.0, "V", None)])
    [2, 2, 0, None]
    """
    found = [_Written.of(format_result(value, unit, digits, told), unit) for value, unit, told in values]
    places: dict[str, int] = {}
    finest: dict[str, int] = {}
    for number, (_, unit, resolution) in zip(found, values, strict=True):
        if number is None:
            continue
        places[number.unit] = max(places.get(number.unit, 0), number.places)
        told = TELLS.get(unit, 0.0) if resolution is None else resolution
        if told > 0:
            most = max(0, number.power - math.floor(math.log10(told) + 1e-9))
            finest[number.unit] = min(finest.get(number.unit, most), most)
    return [
        None if number is None else min(places[number.unit], finest.get(number.unit, places[number.unit]))
        for number in found
    ]


def power_of(written: str, unit: str) -> int:
    """Return the power of ten of a unit as it is written, of the one in SI.

    Parameters
    ----------
    written : str
        Unit with its prefix, as :func:`format_quantity` writes it.
    unit : str
        SI unit.

    Examples
    --------
    >>> power_of("uF", "F"), power_of("mm2", "m2"), power_of("C", "C")
    (-6, -6, 0)
    """
    return 0 if written == unit else _POWERS[written[0]] * (2 if unit == "m2" else 1)


@dataclass(frozen=True)
class _Written:
    """A number as it was written.

    Attributes
    ----------
    unit : str
        Its unit with its prefix.
    power : int
        Of ten, that this unit is of the one in SI.
    places : int
        Digits behind the point.
    """

    unit: str
    power: int
    places: int

    @classmethod
    def of(cls, text: str, unit: str) -> _Written | None:
        """Read a text that was written for a value of a ``unit``; None where it is no plain number, or 0."""
        number, _, written = text.partition(" ")
        if not _PLAIN.fullmatch(number) or not float(number):
            return None
        return cls(written, power_of(written, unit), len(number.partition(".")[2]))
