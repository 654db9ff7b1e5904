"""How sure it is: the odds over the ranges of a build's values, and what to measure first.

``spread_answer``  the whole page
``measure_first``  what to measure, in a sentence
``odds_in_words``  the odds, in a sentence
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from inrushlib.answers.blocks import Answer, Beside, Block, Facts, Note, Strong, Table, Value, Verdict, Words
from inrushlib.answers.by_odds import between, percent
from inrushlib.build import build_keys
from inrushlib.odds import Influence, SpreadFound, Worst
from inrushlib.parts import TABLES, key_words
from inrushlib.parts.tables import written

SURE: Final = 0.95
"""Share of the runs that have to boot for a yes [1]."""
MOST_KEYS: Final = 8
MOST_SLACK_KEYS: Final = 5
CORNER: Final = "The worst that a bounded search finds at the ends of all ranges; hardly a likely build"
HARDLY: Final = 0.02
"""Share of the doubt below which a value hardly matters [1]: by its total index, alone and together with others."""

HOW = (
    "Each value is taken from its range: stated in [tolerance], else that of its class, how parts scatter for a value "
    "that is given, and what is sold for one that is not. Intervals hold the true share 19 times in 20; they say "
    "nothing of how right the ranges and the model are."
)


def spread_answer(found: SpreadFound) -> Answer:
    """Return the page on the odds of a build.

    Parameters
    ----------
    found : SpreadFound
        The odds.
    """
    blocks: list[Block] = [_verdict(found), Beside((_odds(found), _influences(found.influences)))]
    if found.slack:
        blocks += [_slack(found), _slack_ranking(found.influences)]
    worst = [_worst(found.worst, found.influences, "The worst run, by the values that matter most")]
    if found.corner is not None:
        worst.append(_worst(found.corner, found.influences, CORNER))
    blocks.append(Beside(tuple(worst)))
    over = "the range of one value" if len(found.ranges) == 1 else f"the ranges of {len(found.ranges)} values"
    blocks += [Note(HOW), Note(f"From {found.runs} starts of the model over {over}.")]
    if found.watched:
        blocks.append(
            Note(
                f"What was to spare is read off {found.watched} of them, for it takes several runs each; total indices "
                f"and the worst corner took {found.more_runs} runs more."
            )
        )
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
        f"Over the ranges of its values it boots at the first try in {percent(boots.value)} ({percent(boots.low)} to "
        f"{percent(boots.high)}) of {found.runs} runs."
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
    text = f"Measure {_name(best, 'the')} first: knowing it would settle {percent(best.settles.value)} of the doubt"
    little = [each for each in influences if each is not best and each.total and each.total.high < HARDLY]
    return f"{text}; {_name(little[-1], 'the')} hardly matters." if little else f"{text}."


def _name(each: Influence, article: str = "") -> str:
    return key_words(each.name, article) if each.name in build_keys() else f'group "{each.name}"'


def _verdict(found: SpreadFound) -> Verdict:
    boots = found.boots
    sentences: list[Words] = [
        f"at the first try, over the ranges of its values; {percent(boots.low)} to {percent(boots.high)} with what "
        "these runs can tell."
    ]
    first = measure_first(found.influences)
    if first:
        sentences.append(first)
    if found.failed:
        sentences.append(f"{found.failed} of {found.runs} runs could not be finished; they count as none of these.")
    return Verdict(("boots in ", Strong(percent(boots.value))), tuple(sentences), is_sure(found))


def _odds(found: SpreadFound) -> Table:
    rows: list[tuple[Words, ...]] = [
        (verdict.words, percent(odds.value), between(odds)) for verdict, odds in found.odds.items()
    ]
    if found.failed:
        rows.append(("could not be finished", percent(found.failed / found.runs), f"{found.failed} runs"))
    return Table(("ends as", "odds", "interval at 95 %"), tuple(rows), "Odds", (1, 2))


def _influences(influences: Sequence[Influence]) -> Table:
    ranked = [each for each in influences if each.settles.value > 0][:MOST_KEYS]
    heads: tuple[str, ...] = ("", "of the doubt", "interval at 95 %")
    rows: list[tuple[Words, ...]] = [
        (_name(each), percent(each.settles.value), between(each.settles)) for each in ranked
    ]
    caption = "What knowing one value would settle"
    if any(each.total for each in ranked):
        heads = (*heads, "with others")
        rows = [(*row, _total(each)) for row, each in zip(rows, ranked, strict=True)]
        caption += "; with others: in how much of the doubt it has a part"
    return Table(heads, tuple(rows), caption, tuple(range(1, len(heads))))


def _total(each: Influence) -> str:
    if each.total is None:
        return ""
    if each.pooled:
        return f"{percent(each.total.high)} at most"
    return f"{percent(each.total.low)} to {percent(each.total.high)}"


def _slack(found: SpreadFound) -> Table:
    rows: list[tuple[Words, ...]] = []
    for each in found.slack:
        ends = tuple(Value(each.quantiles[share], each.rule.unit) for share in (0.05, 0.5, 0.95))
        rows.append((each.rule.sentence, *ends, percent(each.kept), percent(each.closest)))
    heads = ("", "5 % have less", "half have less", "95 % have less", "kept", "came closest")
    return Table(heads, tuple(rows), "What each rule had to spare; below zero where it took effect", (1, 2, 3, 4, 5))


def _slack_ranking(influences: Sequence[Influence]) -> Table:
    known = [(each, each.of_slack) for each in influences if each.of_slack is not None and each.of_slack.low > 0]
    known = sorted(known, key=lambda pair: -pair[1].value)[:MOST_SLACK_KEYS]
    rows = tuple((_name(each), percent(settles.value), between(settles)) for each, settles in known)
    caption = "What moves the smallest of these, as a share of its threshold"
    return Table(("", "of its variance", "interval at 95 %"), rows, caption, (1, 2))


def _worst(worst: Worst, influences: Sequence[Influence], caption: str) -> Facts:
    rows: list[tuple[str, Words]] = [("ends as", worst.verdict.words if worst.verdict else "could not be finished")]
    if worst.rule is not None and worst.slack is not None:
        how = "to spare" if worst.slack >= 0 else "short"
        rows.append(("closest rule", (worst.rule.sentence, ": ", Value(abs(worst.slack), worst.rule.unit), f" {how}")))
    leading = [key for each in influences[:MOST_KEYS] for key in each.keys]
    rows += [(key_words(key), _value(key, worst.values[key])) for key in leading]
    return Facts(tuple(rows), caption)


def _value(key: str, value: Any) -> Words:
    info = build_keys()[key]
    if isinstance(value, list):
        return written(TABLES[info.table].about[info.key], tuple(value)).strip("[]")
    return Value(value, info.unit, resolution=0.0)
