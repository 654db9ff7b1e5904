"""Quantities with units, for the edges only: inside, everything is a float in SI.

``parse_quantity``
    ``"470 uF"`` or 4.7e-4 to 4.7e-4
``parse_gauge``
    ``"22 AWG"`` or ``"0.5 mm2"`` to an area of copper in square metres
``format_gauge``
    an area of copper to ``"22 AWG"``, where it is one
``format_quantity``
    4.7e-4 and ``"F"`` to ``"470 uF"``
``in_percent``
    0.8 to ``"80 %"``
``format_result``
    the same for a result of a run: 0 where it is below what a run can tell
``meant``
    the spelling that a refused text was most likely meant to have
``accepted_forms``
    how a quantity of this unit may be written, for messages

Temperatures stay in degrees Celsius (unit ``"C"``) throughout.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from functools import lru_cache
from typing import Final

from quantiphy import Quantity

from inrushlib.copper.gauge import THICKEST_AWG, THINNEST_AWG, awg_area

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_BARE = re.compile(rf"({_NUMBER})\s*([A-Za-z0-9/]*)")
# The letter in place of the decimal point, as printed on parts: 4u7, 10k, R47 (IEC 60062).
_CODE = re.compile(r"([0-9]*)([RkKMGmunp])([0-9]*)")
_CODE_LETTERS: Final = {
    "ohm": {"R": "", "k": "k", "K": "k", "M": "M", "G": "G", "m": "m"},
    "F": {"m": "m", "u": "u", "n": "n", "p": "p"},
}
_THOUSANDS = re.compile(r"[1-9][0-9]*,[0-9]{3}(?![0-9])")  # 1,000 A: one ampere or a thousand
MOST_TYPED = 60  # characters of a text that is guessed at
MOST_DIGITS = 100  # characters of a number: quantiphy takes minutes over ten thousand
_AWG = re.compile(r"(?:AWG\s*([0-9]+(?:/0)?)|([0-9]+(?:/0)?)\s*AWG)", re.IGNORECASE)

# One spelling for each sign that keyboards and data sheets write in several ways:
# micro (U+00B5, U+03BC), omega (U+03A9, U+2126), degree Celsius, superscript two, minus.
_SPELLINGS = {
    "\u00b5": "u", "\u03bc": "u", "\u03a9": "ohm", "\u2126": "ohm", "\u2103": "C", "\u00b0C": "C",
    "\u00b2": "2", "^2": "2", "\u2212": "-",
}  # fmt: skip
_WORDS = {"degC": "C", "Ohm": "ohm", "ohms": "ohm", "Ohms": "ohm"}

_EXAMPLES: Final = {
    "V": "5 V", "A": "1.2 A", "ohm": "34 mohm", "F": "470 uF", "H": "1 uH", "s": "300 us", "m": "1.2 m",
    "C": "25 C", "K/W": "3 K/W", "m2": "0.5 mm2", "H/m": "0.8 uH/m", "ohm/m": "50 mohm/m", "W": "2 W",
}  # fmt: skip

# Written without a prefix: "1 kC" and "0.3 mm2 read as milli square metre" are traps.
_WITHOUT_PREFIX = {"", "C", "K/W", "A2s"}
_AREAS = {"m2": 0, "cm2": -4, "mm2": -6}  # powers of ten


class _Reading(Quantity):
    """A quantiphy quantity with preferences of its own, so that those of the process stay as they are."""


_READINGS: dict[str, type[_Reading]] = {}


def _reading(unit: str) -> type[_Reading]:
    # With its unit known, quantiphy reads "1.2 m" as metres and "3 K/W" as kelvin per watt.
    if unit not in _READINGS:
        reading: type[_Reading] = type("_Reading", (_Reading,), {})
        reading.set_prefs(known_units=[unit], input_sf="TGMkcmunpf", output_sf="TGMkmunpf", minus="-")
        _READINGS[unit] = reading
    return _READINGS[unit]


def accepted_forms(unit: str) -> str:
    """How a quantity may be written, in words.

    Parameters
    ----------
    unit : str
        SI unit, ``"C"`` for degrees Celsius, empty for a plain number.

    Returns
    -------
    str
        Text for a message.

    Examples
    --------
    >>> accepted_forms("F")
    'a number in F or text with its unit such as "470 uF"'
    """
    if not unit:
        return "a plain number without a unit"
    name = "degrees Celsius" if unit == "C" else unit
    example = _EXAMPLES.get(unit, f"1 {unit}")
    return f'a number in {name} or text with its unit such as "{example}"'


def parse_quantity(value: object, unit: str) -> float:
    """Value in SI of a number or of a text with unit and SI prefix.

    Parameters
    ----------
    value : object
        A number in SI units [unit] or text such as ``"470 uF"``, for ohm and F also as printed on a part,
        ``"4k7"`` (IEC 60062); a truth value is not a number.
    unit : str
        The SI unit that is wanted: ``"V"``, ``"ohm"``, ``"K/W"``, ``"C"`` for degrees Celsius, empty for
        none.

    Returns
    -------
    float
        The value [unit], finite.

    Raises
    ------
    ValueError
        For anything else, with a message that says what is accepted.

    Examples
    --------
    >>> parse_quantity("470 µF", "F")
    0.00047
    >>> parse_quantity("34 mohm", "ohm") == parse_quantity("34 mΩ", "ohm") == 0.034
    True
    >>> parse_quantity("4k7", "ohm"), parse_quantity("4u7", "F")
    (4700.0, 4.7e-06)
    >>> parse_quantity("3 V", "A")
    Traceback (most recent call last):
    ValueError: value "3 V"; accepted: a number in A or text with its unit such as "1.2 A"
    """
    number = _parse_text(value, unit) if isinstance(value, str) else _plain_number(value)
    if number is None or not math.isfinite(number):
        raise ValueError(f"value {shown(value)}; accepted: {accepted_forms(unit)}{in_words(meant(value, unit))}")
    return number


def meant(value: object, unit: str) -> str:
    """The spelling that a text was most likely meant to have, where it is not one that is read.

    Parameters
    ----------
    value : object
        What was given, such as ``"2,5 A"`` or ``"10k"``.
    unit : str
        The SI unit that is wanted; ``"m2"`` for a gauge.

    Returns
    -------
    str
        A text that is read; empty where there is nothing to guess.

    Examples
    --------
    >>> meant("2,5 A", "A"), meant("10k", "s"), meant("470uf", "F"), meant("1,5 mm²", "m2"), meant("soon", "s")
    ('2.5 A', '10 ks', '470 uF', '1.5 mm2', '')
    """
    if not isinstance(value, str) or not unit or len(value) > MOST_TYPED:
        return ""
    plain = value.strip()
    for sign, spelled in _SPELLINGS.items():
        plain = plain.replace(sign, spelled)
    if plain.count(",") == 1 and "." not in plain and not _THOUSANDS.match(plain):
        plain = plain.replace(",", ".")
    match = _BARE.fullmatch(plain)
    if match is None:
        return ""
    number, rest = match[1], match[2]
    if unit == "s" and rest == "m":  # minutes, or milliseconds
        return ""
    if unit == "m2":
        spellings = [f"{number} {rest}", f"{number}{rest} AWG"]
        return next((each for each in spellings if each != value.strip() and _is_gauge(each)), "")
    ends = [rest, f"{rest}{unit}"]
    if rest.lower().endswith(unit.lower()):
        ends.append(rest[: len(rest) - len(unit)] + unit)
    found = {f"{number} {end}": _parse_text(f"{number} {end}", unit) for end in ends}
    return next((text for text, read in found.items() if read is not None and math.isfinite(read)), "")


def in_words(spelling: str) -> str:
    """Return the end of a message that tells the spelling to use; empty for none.

    Parameters
    ----------
    spelling : str
        What to write [text]; empty for nothing to tell.

    Examples
    --------
    >>> in_words("2.5 A")
    '; write "2.5 A"'
    """
    return f'; write "{spelling}"' if spelling else ""


def _is_gauge(text: str) -> bool:
    try:
        return parse_gauge(text, guess=False) > 0.0
    except ValueError:
        return False


def parse_gauge(text: object, *, guess: bool = True) -> float:
    """Area of copper of a gauge.

    Parameters
    ----------
    text : object
        ``"22 AWG"``, ``"4/0 AWG"`` (whole numbers 0000 to 40) or ``"0.5 mm2"``; the unit is always needed.
    guess : bool
        Whether the message says what was most likely meant.

    Returns
    -------
    float
        Area [m^2], above zero.

    Raises
    ------
    ValueError
        For anything else, with a message that says what is accepted.

    Examples
    --------
    >>> round(parse_gauge("22 AWG") * 1e6, 4)
    0.3255
    >>> parse_gauge("0.5 mm²")
    5e-07
    """
    if isinstance(text, str):
        plain = " ".join(text.split())
        match = _AWG.fullmatch(plain)
        number = _awg_number(match[1] or match[2]) if match else None
        if number is not None:
            return awg_area(number)
        area = _parse_text(plain, "m2") if match is None else None
        if area is not None and 0 < area < math.inf:
            return area
    spelling = in_words(meant(text, "m2")) if guess else ""
    raise ValueError(f'value {shown(text)}; accepted: text with its unit such as "22 AWG" or "0.5 mm2"{spelling}')


def format_gauge(area: float) -> str:
    """Text of an area of copper: its gauge where it is one, else its size.

    Parameters
    ----------
    area : float
        Of the copper [m2], above zero.

    Returns
    -------
    str
        What :func:`parse_gauge` reads.

    Examples
    --------
    >>> format_gauge(awg_area(22)), format_gauge(5e-7)
    ('22 AWG', '0.5 mm2')
    """
    for number in range(THICKEST_AWG, THINNEST_AWG + 1):
        if math.isclose(awg_area(number), area):
            return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
    return f"{area * 1e6:.4g} mm2"


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
    if unit in _WITHOUT_PREFIX or not math.isfinite(value):
        return f"{_in_digits(value, digits)} {unit}".rstrip()
    # The trade counts capacitors in microfarads: 1000 uF, not 1 mF.
    if unit == "F" and 1e-6 <= abs(value) < 0.1:
        return f"{float(f'{value * 1e6:.{digits}g}'):.15g} uF"
    # And joints and rails in milliohms: 0.3 mohm, not 300 uohm.
    if unit == "ohm" and 1e-5 <= abs(value) < 1e-3:
        return f"{float(f'{value * 1e3:.{digits}g}'):.15g} mohm"
    return str(_reading(unit)(value, unit).render(prec=digits - 1))


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


def format_result(value: float, unit: str, digits: int = 3, resolution: float | None = None) -> str:
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

    Examples
    --------
    >>> format_result(-675e-9, "A"), format_result(7.28e-15, "V"), format_result(4.62513, "V")
    ('0 A', '0 V', '4.63 V')
    """
    return format_quantity(told_zero(value, unit, resolution), unit, digits=digits)


def shown(value: object, longest: int = 60) -> str:
    """A value as a message shows it: quoted text, plain numbers, and never too much of either.

    Parameters
    ----------
    value : object
        Anything that a file can hold.
    longest : int
        Characters [1] after which the text is cut.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> shown("2 V"), shown(True), shown([1, 2.5]), shown({"low": 1})
    ('"2 V"', 'true', '[1, 2.5]', '{ low = 1 }')
    """
    text = _written(value)
    return text if len(text) <= longest else f"{text[: longest - 3]}..."


def _written(value: object) -> str:
    match value:
        case None:
            return "nothing"
        case bool():
            return "true" if value else "false"
        case str():
            printable = "".join(c if c.isprintable() else "?" for c in value[:200])
            return f'"{printable}"'
        case int():
            return str(value) if abs(value) < 10**20 else "a whole number of more than 20 digits"
        case float():
            return repr(float(value))
        case dict():
            flat = not any(isinstance(entry, dict | list) for entry in value.values()) and 0 < len(value) < 5
            pairs = ", ".join(f"{key} = {_written(entry)}" for key, entry in value.items()) if flat else ""
            return f"{{ {pairs} }}" if flat and pairs.isprintable() else "a table"
        case list() | tuple():
            # Nested lists are not followed further than pairs: a file may nest them a thousand deep.
            parts = ["a list" if _holds_lists(item) else _written(item) for item in value[:40]]
            return f"[{', '.join(parts)}]"
    return type(value).__name__


def _holds_lists(value: object) -> bool:
    return isinstance(value, list | tuple) and any(isinstance(item, list | tuple) for item in value)


def _plain_number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value)
    except OverflowError:
        return None


def _parse_text(text: str, unit: str) -> float | None:
    # What a class or a table of parts says is read again and again; of what is long nothing is kept.
    return _read_text.__wrapped__(text, unit) if len(text) > MOST_TYPED else _read_text(text, unit)


@lru_cache(maxsize=4096)
def _read_text(text: str, unit: str) -> float | None:
    for written, plain in _SPELLINGS.items():
        text = text.replace(written, plain)
    text = _decoded(text.strip(), unit)
    match = _QUANTITY.fullmatch(text)
    # Text without a unit is refused: "2" could be amperes or milliamperes.
    if match is None or not unit or not match[2]:
        return None
    number, rest = match[1], match[2].strip()
    for word, plain in _WORDS.items():
        rest = re.sub(rf"(?<![A-Za-z])([TGMkcmunpf]?){word}(?![A-Za-z])", rf"\g<1>{plain}", rest)
    if unit == "K/W" and rest == "C/W":
        rest = "K/W"
    if unit == "m2":
        # Square prefixes are no business of quantiphy: 1 mm2 is 1e-6 m2.
        return _shifted(number, _AREAS[rest]) if rest in _AREAS else None
    if unit in _WITHOUT_PREFIX:
        return float(number) if rest == unit else None
    if not rest.endswith(unit) or len(rest) > len(unit) + 1 or len(number) > MOST_DIGITS:
        return None
    try:
        reading = _reading(unit)(f"{number} {rest}")
    except ValueError:  # "0 0V": digits in the unit's place
        return None
    return float(reading) if reading.units == unit else None


def _decoded(text: str, unit: str) -> str:
    """Write a resistance or capacitance that is coded as on the part, "4u7", with its unit: "4.7 uF"."""
    match = _CODE.fullmatch(text)
    if match is None or match[2] not in _CODE_LETTERS.get(unit, {}) or not (match[1] or match[3]):
        return text
    return f"{match[1] or '0'}.{match[3] or '0'} {_CODE_LETTERS[unit][match[2]]}{unit}"


def _shifted(number: str, power: int) -> float | None:
    """A decimal number times a power of ten, without the rounding of a multiplication."""
    digits, _, exponent = number.lower().partition("e")
    return float(f"{digits}e{int(exponent or 0) + power}") if len(exponent) < 6 else None


def _awg_number(text: str) -> int | None:
    if len(text) > 4:
        return None
    if text.endswith("/0") and text != "0/0":
        number = 1 - int(text[:-2])
    elif set(text) == {"0"}:  # 000 is 3/0
        number = 1 - len(text)
    elif text.isdigit():
        number = int(text)
    else:
        return None
    return number if THICKEST_AWG <= number <= THINNEST_AWG else None
