"""How sure an answer is: the ranges of a build's values, and the odds over them.

``key_ranges``, ``KeyRange``, ``Which``, ``is_assumed``
    the range of each value, stated in the file, of its class, or typical of the trade; which values are guesses
``spread``, ``SpreadFound``, ``RUNS``, ``SEED``
    how often a build ends how, with intervals, the worst run, and what matters
``rating_by_odds``, ``reservoir_by_odds``, ``delay_by_odds``, ``delays_to_try``, ``Decision``, ``Choice``, ``WANTED``
    what boots often enough
``Influence``, ``SlackSpread``
    what one value does to it; what one rule had to spare
``total_indices``
    what a value has a part in, alone and together with others
``Draw``
    from points of the unit cube to builds
``Estimate``
    a value with its interval
"""

from typing import TYPE_CHECKING, Any

from inrushlib.odds.closeness import SlackSpread
from inrushlib.odds.draw import Draw
from inrushlib.odds.influence import Influence
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import KeyRange, Which, is_assumed, key_ranges
from inrushlib.odds.spread import RUNS, SEED, SpreadFound, Worst, spread
from inrushlib.odds.total import total_indices

if TYPE_CHECKING:
    from inrushlib.odds.decide import (
        WANTED,
        Choice,
        Decision,
        check_wanted,
        delay_by_odds,
        delays_to_try,
        rating_by_odds,
        reservoir_by_odds,
    )

__all__ = [
    "RUNS",
    "SEED",
    "WANTED",
    "Choice",
    "Decision",
    "Draw",
    "Estimate",
    "Influence",
    "KeyRange",
    "SlackSpread",
    "SpreadFound",
    "Which",
    "Worst",
    "check_wanted",
    "delay_by_odds",
    "delays_to_try",
    "is_assumed",
    "key_ranges",
    "rating_by_odds",
    "reservoir_by_odds",
    "spread",
    "total_indices",
]


if not TYPE_CHECKING:

    def __getattr__(name: str) -> Any:
        """What decides rests on the searches, which are long to import: not for a build's ranges alone."""
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from inrushlib.odds import decide

        return getattr(decide, name)
