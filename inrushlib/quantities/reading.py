"""Text to quantities in SI.

``parse_quantity``   ``"470 uF"`` or 4.7e-4 to 4.7e-4
``parse_gauge``      ``"22 AWG"`` or ``"0.5 mm2"`` to an area of copper in square metres
``meant``            the spelling that a refused text was most likely meant to have; ``in_words`` how that is said
``accepted_forms``   how a quantity of this unit may be written, for messages
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import Final

from inrushlib.copper.gauge import THICKEST_AWG, THINNEST_AWG, awg_area
from inrushlib.quantities.shown import shown
from inrushlib.quantities.units import WITHOUT_PREFIX, quantity_of

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

_AREAS = {"m2": 0, "cm2": -4, "mm2": -6}  # powers of ten


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
    if unit in WITHOUT_PREFIX:
        return float(number) if rest == unit else None
    if not rest.endswith(unit) or len(rest) > len(unit) + 1 or len(number) > MOST_DIGITS:
        return None
    try:
        reading = quantity_of(unit)(f"{number} {rest}")
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
