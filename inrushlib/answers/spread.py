"""How sure it is: the odds over the ranges of a build's values, and what to measure first.

``spread_answer``  the whole page
``measure_first``  what to measure, in a sentence
``odds_in_words``  the odds, in a sentence
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from inrushlib.answers.assumed import key_words
from inrushlib.answers.blocks import Answer, Block, Facts, Note, Strong, Table, Value, Verdict, Words
from inrushlib.build import build_keys
from inrushlib.odds import Estimate, Influence, SpreadFound
from inrushlib.parts import TABLES
from inrushlib.parts.tables import written

SURE: Final = 0.95
"""Share of the runs that have to boot for a yes [1]."""
MOST_KEYS: Final = 8
HARDLY: Final = 0.02
"""Share of the doubt below which a value hardly matters [1]."""

HOW = (
    "Each value is taken from its range: stated in [tolerance], else how parts scatter for a value that is given, and "
    "what is sold for one that is not. Intervals hold the true share 19 times in 20; they say nothing of how right "
    "the ranges and the model are."
)


def spread_answer(found: SpreadFound) -> Answer:
    """Return the page on the odds of a build.

    Parameters
    ----------
    found : SpreadFound
        The odds.
    """
    blocks: list[Block] = [_verdict(found), _odds(found), _influences(found.influences), _worst(found), Note(HOW)]
    over = "the range of one value" if len(found.ranges) == 1 else f"the ranges of {len(found.ranges)} values"
    blocks.append(Note(f"From {found.runs} starts of the model over {over}."))
    return Answer(found.build.title, is_sure(found), tuple(blocks))


def is_sure(found: SpreadFound) -> bool:
    """Say whether it boots at the first try in so large a share of the runs that it counts as a yes.

    Parameters
    ----------
    found : SpreadFound
        The odds.
    """
    return found.boots.value >= SURE


def odds_in_words(found: SpreadFound) -> str:
    """Return the odds of a start at the first try, in one sentence.

    Parameters
    ----------
    found : SpreadFound
        The odds.
    """
    boots = found.boots
    return (
        f"Over the ranges of its values it boots at the first try in {_percent(boots.value)} ({_percent(boots.low)} to "
        f"{_percent(boots.high)}) of {found.runs} runs."
    )


def measure_first(influences: Sequence[Influence]) -> str:
    """Return what to measure first, in one sentence; empty where nothing is in doubt.

    Parameters
    ----------
    influences : sequence of Influence
        The one that settles most first.

    Examples
    --------
    >>> measure_first([])
    ''
    """
    first = [each for each in influences if each.settles.low > 0][:1]
    if not first:
        if any(each.settles.high > 0 for each in influences):
            return "No single value settles a share of the doubt that these runs can tell; more runs may."
        return ""
    best = first[0]
    text = f"Measure {_name(best, 'the')} first: knowing it would settle {_percent(best.settles.value)} of the doubt"
    little = [each for each in influences if each.settles.high < HARDLY and each is not best]
    return f"{text}; {_name(little[-1], 'the')} hardly matters." if little else f"{text}."


def _name(each: Influence, article: str = "") -> str:
    return key_words(each.name, article) if each.name in build_keys() else f'group "{each.name}"'


def _verdict(found: SpreadFound) -> Verdict:
    boots = found.boots
    sentences: list[Words] = [
        f"at the first try, over the ranges of its values; {_percent(boots.low)} to {_percent(boots.high)} with what "
        "these runs can tell."
    ]
    first = measure_first(found.influences)
    if first:
        sentences.append(first)
    if found.failed:
        sentences.append(f"{found.failed} of {found.runs} runs could not be finished; they count as none of these.")
    return Verdict(("boots in ", Strong(_percent(boots.value))), tuple(sentences), is_sure(found))


def _odds(found: SpreadFound) -> Table:
    rows: list[tuple[Words, ...]] = [
        (verdict.words, _percent(odds.value), _between(odds)) for verdict, odds in found.odds.items()
    ]
    if found.failed:
        rows.append(("could not be finished", _percent(found.failed / found.runs), f"{found.failed} runs"))
    return Table(("ends as", "odds", "interval at 95 %"), tuple(rows), "Odds", (1, 2))


def _influences(influences: Sequence[Influence]) -> Table:
    ranked = [each for each in influences if each.settles.value > 0][:MOST_KEYS]
    rows = tuple((_name(each), _percent(each.settles.value), _between(each.settles)) for each in ranked)
    return Table(("", "of the doubt", "interval at 95 %"), rows, "What knowing one value would settle", (1, 2))


def _worst(found: SpreadFound) -> Facts:
    worst = found.worst
    rows: list[tuple[str, Words]] = [("ends as", worst.verdict.words if worst.verdict else "could not be finished")]
    leading = [key for each in found.influences[:MOST_KEYS] for key in each.keys]
    rows += [(key_words(key), _value(key, worst.values[key])) for key in leading]
    return Facts(tuple(rows), "The worst run, by the values that matter most")


def _value(key: str, value: Any) -> Words:
    info = build_keys()[key]
    if isinstance(value, list):
        return written(TABLES[info.table].about[info.key], tuple(value))
    return Value(value, info.unit, resolution=0.0)


def _between(estimate: Estimate) -> str:
    return f"{_percent(estimate.low)} to {_percent(estimate.high)}"


def _percent(share: float) -> str:
    """A share in per cent to as many digits as tell it from none and from all."""
    percent = 100 * share
    if share in (0.0, 1.0) or 1 <= percent <= 99:
        return f"{percent:.0f} %"
    if percent < 1:
        return f"{percent:.2g} %"
    return f"{percent:.2f} %" if percent < 99.995 else "more than 99.99 %"
