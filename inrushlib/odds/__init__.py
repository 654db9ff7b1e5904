"""How sure an answer is: the ranges of a build's values, and the odds over them.

``key_ranges``, ``KeyRange``, ``Which``, ``is_assumed``
    the range of each value, stated in the file, of its class, or typical of the trade; which values are guesses
``spread``, ``SpreadFound``, ``RUNS``, ``SEED``
    how often a build ends how, with intervals, the worst run, and what matters
``decide``, ``Decision``, ``Choice``, ``WANTED``
    which value to take so that it boots often enough
``ratings_to_try``, ``reservoirs_to_try``, ``delays_to_try``, ``Candidates``
    what to choose from
``Influence``, ``SlackSpread``
    what one value does to it; what one rule had to spare
``spread_after``, ``Narrowed``, ``Doubt``, ``at_measured``, ``differs``
    the odds before and after having measured, and what became of the doubt; a build at its measured values
``total_indices``
    what a value has a part in, alone and together with others
``curve_bands``, ``CurveBands``, ``Bands``, ``bands_of``
    how far the curves scatter
``Cluster``
    processes here or elsewhere that share the runs (the extra ``cluster``)
``Draw``
    from points of the unit cube to builds
``Estimate``
    a value with its interval
"""

from inrushlib.odds.after import Doubt, Narrowed, at_measured, differs, spread_after
from inrushlib.odds.bands import Bands, CurveBands, bands_of, curve_bands
from inrushlib.odds.candidates import Candidates, delays_to_try, ratings_to_try, reservoirs_to_try
from inrushlib.odds.closeness import SlackSpread
from inrushlib.odds.cluster import Cluster
from inrushlib.odds.decide import (
    WANTED,
    Choice,
    Decision,
    check_wanted,
    decide,
)
from inrushlib.odds.draw import Draw
from inrushlib.odds.influence import Influence
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import KeyRange, Which, is_assumed, key_ranges
from inrushlib.odds.spread import RUNS, SEED, SpreadFound, Worst, spread
from inrushlib.odds.total import total_indices

__all__ = [
    "RUNS",
    "SEED",
    "WANTED",
    "Bands",
    "Candidates",
    "Choice",
    "Cluster",
    "CurveBands",
    "Decision",
    "Doubt",
    "Draw",
    "Estimate",
    "Influence",
    "KeyRange",
    "Narrowed",
    "SlackSpread",
    "SpreadFound",
    "Which",
    "Worst",
    "at_measured",
    "bands_of",
    "check_wanted",
    "curve_bands",
    "decide",
    "delays_to_try",
    "differs",
    "is_assumed",
    "key_ranges",
    "ratings_to_try",
    "reservoirs_to_try",
    "spread",
    "spread_after",
    "total_indices",
]
