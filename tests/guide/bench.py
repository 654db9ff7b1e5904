"""A made bench: displays that are one point of a build's ranges, and readings of them with noise."""

from datetime import date

import numpy as np

from inrushlib.errors import InrushError
from inrushlib.guide import deal, enter, joined, recipe
from inrushlib.guide.deck import _RECIPES
from inrushlib.measurements import MeasurementLog
from inrushlib.odds import Draw, key_ranges
from inrushlib.startup import Verdict, simulate

DAY = date(2026, 3, 1)
SURE = 0.95
"""Odds, on either side, at which nobody measures any more."""


def true_display(build, source):
    """A display as it may really be: every value somewhere in its range."""
    draw = Draw(build, key_ranges(build))
    return draw.saved(source.random(len(draw.dimensions)))


def boots(display):
    """Whether a display really boots at the first try."""
    return simulate(display).verdict is Verdict.BOOTS


def readings_of(display, build, name, source):
    """What instruments with errors within their limits show on a display; the set-up is that of the build's card."""
    how = recipe(name)
    off = {}
    for key in how.keys(build):
        value = np.atleast_1d(display.get(key)) * (1 + source.uniform(-how.method, how.method))
        off[key] = value.tolist() if value.size > 1 else float(value[0])
    try:
        shown = how.expect(display.with_values(off))
    except InrushError:  # the method's error would have crossed two levels: without it
        shown = how.expect(display)
    gains, readings = {}, []
    for asked, value in zip(how.asked(build), shown, strict=True):
        instrument = asked.instrument(value)
        gain = gains.setdefault(instrument, source.uniform(-instrument.gain, instrument.gain))
        readings.append(value * (1 + gain) + source.uniform(-instrument.floor, instrument.floor))
    return readings


def measure(display, build, order, source, *, runs=256, most=20):
    """Odds after each card until they are sure on either side; ``order`` picks the next of the cards that are left."""
    log, odds, skipped = MeasurementLog(), [], set()
    while True:
        dealt = deal(build, log, runs=runs)
        odds.append(dealt.odds.boots.value)
        left = [card.name for card in (*dealt.cards, *dealt.others) if card.name not in skipped]
        if not left or len(odds) > most or not 1 - SURE < odds[-1] < SURE:
            return odds, log
        name = order(left)
        try:
            entered = enter(build, name, readings_of(display, build, name, source), DAY, log)
        except InrushError:
            skipped.add(name)
            continue
        build, log = entered.build, joined(log, [entered])


def applicable(build):
    """Names of the cards that make sense on a build."""
    return [name for name, how in _RECIPES.items() if how.keys(build)]
