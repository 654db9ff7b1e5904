"""Values with their uncertainty: two digits of that, and the value to the same place.

``format_uncertain``     a value, its uncertainty, and whatever else is to be written to the same place
``format_between``       a value and the ends of its interval
``format_uncertainty``   an uncertainty by itself

Source: JCGM 100:2008 (GUM), 7.2.6: an uncertainty has at most two significant digits, and the estimate is rounded to
be consistent with it. What is computed with keeps all its digits.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Final

from inrushlib.quantities.writing import format_quantity, power_of

DIGITS: Final = 2
FINEST: Final = 9  # [1] places behind the point: a double has no more to tell


def format_uncertainty(uncertainty: float, unit: str) -> str:
    """Text of an uncertainty that stands by itself.

    Parameters
    ----------
    uncertainty : float
        The uncertainty [unit], in SI.
    unit : str
        SI unit.

    Examples
    --------
    >>> format_uncertainty(0.02789, "V")
    '28 mV'
    """
    return format_quantity(uncertainty, unit, digits=DIGITS)


def format_uncertain(value: float, uncertainty: float, unit: str, *others: float) -> tuple[str, ...]:
    """Texts of a value and its uncertainty, with one prefix and to one place.

    Parameters
    ----------
    value, uncertainty : float
        The value and its uncertainty [unit], in SI; where the latter is 0 or not finite, each has its own digits.
    unit : str
        SI unit.
    *others : float
        What is written to the same place [unit], such as the ends of an interval.

    Returns
    -------
    tuple of str
        In this order.

    Examples
    --------
    >>> format_uncertain(2.15372, 0.02789, "V", 2.1258, 2.1816)
    ('2.154 V', '0.028 V', '2.126 V', '2.182 V')
    >>> format_uncertain(0.5173, 0.2834, "V")
    ('520 mV', '280 mV')
    """
    all_of_them = (value, uncertainty, *others)
    if not (math.isfinite(uncertainty) and uncertainty):
        return tuple(format_quantity(each, unit) for each in all_of_them)
    _, _, shown = format_quantity(max(map(abs, (value, uncertainty))), unit).partition(" ")
    power = power_of(shown, unit)
    # Of the uncertainty as it is rounded: 0.0996 has its two digits as 0.10.
    last = Decimal(f"{uncertainty:.{DIGITS - 1}e}").adjusted() - (DIGITS - 1) - power
    place = max(last, -FINEST)
    return tuple(f"{_to_place(each, power, place)} {shown}".rstrip() for each in all_of_them)


def format_between(
    value: float, low: float | None, high: float | None, unit: str
) -> tuple[str, str | None, str | None]:
    """Texts of a value and of the ends of its interval, to the place that the interval leaves open.

    Parameters
    ----------
    value : float
        The value [unit], in SI.
    low, high : float or None
        The ends [unit]; None where there is none.
    unit : str
        SI unit.

    Examples
    --------
    >>> format_between(0.10512, 0.10063, 0.10941, "ohm")
    ('105.1 mohm', '100.6 mohm', '109.4 mohm')
    >>> format_between(2.34567, None, 2.5, "V")
    ('2.35 V', None, '2.50 V')
    """
    ends = [end for end in (low, high) if end is not None]
    off = max((abs(end - value) for end in ends), default=0.0)
    said, _, *told = format_uncertain(value, off, unit, *ends)
    texts = iter(told)
    return said, None if low is None else next(texts), None if high is None else next(texts)


def _to_place(value: float, power: int, place: int) -> str:
    """A value in a prefix of this power of ten, rounded to a place, a power of ten too."""
    if not math.isfinite(value):
        return f"{value}"
    scaled = Decimal(repr(value)).scaleb(-power)
    rounded = scaled.quantize(Decimal(1).scaleb(place))
    return f"{rounded if rounded else abs(rounded):f}" if place <= 0 else f"{int(rounded)}"
