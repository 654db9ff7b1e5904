"""Quantities with units, for the edges only: inside, everything is a float in SI.

``parse_quantity``
    ``"470 uF"`` or 4.7e-4 to 4.7e-4
``parse_gauge``
    ``"22 AWG"`` or ``"0.5 mm2"`` to an area of copper in square metres
``format_gauge``
    an area of copper to ``"22 AWG"``, where it is one
``format_quantity``
    4.7e-4 and ``"F"`` to ``"470 uF"``
``with_signs``
    a sentence with the signs of its quantities' units
``in_percent``
    0.8 to ``"80 %"``
``format_result``, ``told_zero``
    the same for a result of a run: 0 where it is below what a run can tell
``common_places``
    digits behind the point of each value of a column
``format_uncertain``, ``format_between``, ``format_uncertainty``
    a value and its uncertainty or the ends of its interval, to the place that it is known to
``meant``, ``in_words``
    the spelling that a refused text was most likely meant to have
``accepted_forms``
    how a quantity of this unit may be written, for messages
``shown``
    a value as a message shows it

Temperatures stay in degrees Celsius (unit ``"C"``) throughout.
"""

from inrushlib.quantities.reading import accepted_forms, in_words, meant, parse_gauge, parse_quantity
from inrushlib.quantities.shown import shown
from inrushlib.quantities.uncertain import format_between, format_uncertain, format_uncertainty
from inrushlib.quantities.writing import (
    common_places,
    format_gauge,
    format_quantity,
    format_result,
    in_percent,
    told_zero,
    with_signs,
)

__all__ = [
    "accepted_forms",
    "common_places",
    "format_between",
    "format_gauge",
    "format_quantity",
    "format_result",
    "format_uncertain",
    "format_uncertainty",
    "in_percent",
    "in_words",
    "meant",
    "parse_gauge",
    "parse_quantity",
    "shown",
    "told_zero",
    "with_signs",
]
