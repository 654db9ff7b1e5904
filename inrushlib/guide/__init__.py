"""The guide to measuring: what to read on the bench, which reading settles most, and what readings say.

``deal``, ``Dealt``, ``RUNS``, ``LITTLE``
    the odds of a build as they stand, and the cards worth measuring, the most telling first
``Card``, ``Expected``, ``CardName``, ``Care``, ``Load``
    a card: what to connect, to light, to read, and what to heed
``parse_entry``, ``parse_readings``, ``enter``, ``Entered``, ``joined``
    readings that come in, to changes of the build and rows of its log
``of_lit_pixels``, ``of_loads``, ``of_wire``
    what was read for ``inrush from``, as measured values
``bench_log``, ``LogLine``
    measured against modelled
``recipe``, ``work_out``
    how a measurement is made, and what readings tell with which uncertainty
"""

from inrushlib.guide.card import Card, CardName, Care, Expected, Load
from inrushlib.guide.deck import LITTLE, RUNS, Dealt, deal, recipe, work_out
from inrushlib.guide.enter import Entered, LogLine, bench_log, enter, joined, parse_entry, parse_readings
from inrushlib.guide.observed import of_lit_pixels, of_loads, of_wire

__all__ = [
    "LITTLE",
    "RUNS",
    "Card",
    "CardName",
    "Care",
    "Dealt",
    "Entered",
    "Expected",
    "Load",
    "LogLine",
    "bench_log",
    "deal",
    "enter",
    "joined",
    "of_lit_pixels",
    "of_loads",
    "of_wire",
    "parse_entry",
    "parse_readings",
    "recipe",
    "work_out",
]
