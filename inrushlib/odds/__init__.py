"""How sure an answer is: the ranges of a build's values, and the odds over them.

``key_ranges``, ``KeyRange``, ``Which``
    the range of each value, stated in the file or typical of the trade
``spread``, ``SpreadFound``
    how often a build ends how, with intervals, the worst run, and what matters
``assumed_values``, ``Assumed``
    the values that were not given, and whether the verdict hangs on them
``Draw``
    from points of the unit cube to builds
``Estimate``
    a value with its interval
"""

from inrushlib.odds.assumed import Assumed, assumed_values
from inrushlib.odds.draw import Draw
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import KeyRange, Which, key_ranges
from inrushlib.odds.spread import Influence, SpreadFound, Worst, spread

__all__ = [
    "Assumed",
    "Draw",
    "Estimate",
    "Influence",
    "KeyRange",
    "SpreadFound",
    "Which",
    "Worst",
    "assumed_values",
    "key_ranges",
    "spread",
]
