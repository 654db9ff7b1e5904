"""What to change so that it starts, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from inrushlib.answers.blocks import (
    Answer,
    Block,
    Key,
    Lines,
    Listing,
    Note,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.by_odds import percent
from inrushlib.answers.start import overstress
from inrushlib.build import build_keys
from inrushlib.remedies import Effort, NoRemedy, Recommendation, Remedy, carries_picture, in_short, parts_of

HEADS = (
    "remedy", "verdict", "what changes", "how", "peak lead current", "lit before data", "lowest rail",
    "hottest junction", "what could still go wrong",
)  # fmt: skip
RANKED_HEADS = (
    "place", "remedy", "boots within the ranges", "effort", "what it takes", "peak lead current", "lit before data",
    "lowest rail", "hottest junction", "what could still go wrong",
)  # fmt: skip
OFTEN = 2  # its column of odds
OTHER_HEADS = ("remedy", "verdict", "why")
RANKED_ORDER = (
    "Those that boot in at least 95 % of the runs come first, by effort, then by the number of parts; the rest by how "
    "often they boot. Part values are standard values; the intervals are at 95 %."
)
ENOUGH = "What was tried and is not enough by itself"
TOO_MUCH = "The running picture stays more than the adapter carries without end."
RANKED_QUICK = (
    "By effort, then by the number of parts: without odds, each is judged by one start with its nominal values."
)
ORDER = (
    "Ordered by how much has to change. Part values are the smallest that the search found, or the next standard value "
    "up."
)


def remedies_answer(title: str, found: Sequence[Remedy | NoRemedy]) -> Answer:
    """Return what helps with least change, then the build as it is and all remedies.

    Parameters
    ----------
    title : str
        The build's.
    found : sequence of Remedy or NoRemedy
        As they were compared: the build as it is first.
    """
    verdict = _verdict(found)
    return Answer(title, verdict.good is True, (*overstress(found[0].before), verdict, *_side_by_side(found)))


def _side_by_side(found: Sequence[Remedy | NoRemedy]) -> tuple[Block, ...]:
    return Table(HEADS, tuple(map(_row, found)), "Side by side", (4, 5, 6, 7), wide=True), Note(ORDER)


def recommendation_answer(title: str, found: Recommendation) -> Answer:
    """Return what to take and why, what else helps and how often, and what was tried in vain.

    Parameters
    ----------
    title : str
        The build's.
    found : Recommendation
        As it was found.
    """
    if not found.ranked:
        plain = remedies_answer(title, found.remedies)
        return replace(plain, blocks=(*plain.blocks, *_why_no_switch(found)))
    best = found.ranked[0]
    hardware, program = parts_of(best)
    heading = (Strong(_name(best)), " is what to take")
    if not found.good:
        heading = (Strong(_name(best)), " boots most often, and not often enough to rely on")
    words = (sentence(in_short(best)), sentence(f"start {best.rerun.words}"), _count(found), *_now(found))
    blocks: list[Block] = [*overstress(found.remedies[0].before), Verdict(heading, words, True)]
    if hardware:
        blocks.append(Listing(tuple(map(sentence, hardware)), "What it takes in parts"))
    if program:
        blocks.append(Listing(tuple(map(sentence, program)), "What it takes in the program"))
    first = _measure_first(found)
    if first:
        blocks.append(Note(first))
    left = (*best.could_go_wrong, *_measure(best))
    if left:
        blocks.append(Listing(left, "What it does not solve"))
    blocks.append(_ranked(found))
    blocks += _why_no_switch(found)
    blocks.append(Note(RANKED_ORDER if found.wanted is not None else RANKED_QUICK))
    others = tuple(_other_row(each) for each in found.remedies[1:] if not any(_same(each, one) for one in found.ranked))
    if others:
        blocks.append(Table(OTHER_HEADS, others, ENOUGH, wide=True))
    return Answer(title, True, tuple(blocks))


def _why_no_switch(found: Recommendation) -> tuple[Block, ...]:
    short = found.shortfall
    return () if short is None else (Listing(short.sentences, short.why.heading),)


def _ranked(found: Recommendation) -> Table:
    """What helps, in a row each; without odds there is no column for them."""
    rows = [(str(place), *_ranked_row(each)) for place, each in enumerate(found.ranked, start=1)]
    heads: tuple[str, ...] = RANKED_HEADS
    numbers = (5, 6, 7, 8)
    if all(each.odds is None for each in found.ranked):
        heads, rows = (*heads[:OFTEN], *heads[OFTEN + 1 :]), [(*row[:OFTEN], *row[OFTEN + 1 :]) for row in rows]
        numbers = (4, 5, 6, 7)
    return Table(heads, tuple(rows), "What helps, best first", numbers, wide=True)


def _same(one: Remedy | NoRemedy, other: Remedy | NoRemedy) -> bool:
    return _name(one) == _name(other)


def _other_row(remedy: Remedy | NoRemedy) -> tuple[Words, ...]:
    """Return a row for what is not ranked; what boots at the first try lacks the supply for its picture."""
    if isinstance(remedy, NoRemedy):
        return _name(remedy), "not for this build", sentence(remedy.why)
    verdict = remedy.start.headline.words
    if not remedy.helps:
        return _name(remedy), verdict, sentence(remedy.why)
    often = "" if remedy.odds is None else f" in {percent(remedy.odds.value)} of the runs"
    return _name(remedy), f"{verdict}{often}", Lines((sentence(remedy.why), TOO_MUCH))


def _count(found: Recommendation) -> str:
    helping = f"{sum(each.helps for each in found.remedies[1:])} of {len(found.remedies) - 1} remedies help"
    if found.wanted is None:
        return f"{helping}."
    often = len(found.good) or "none"
    return f"{helping}, {often} of them in at least {100 * found.wanted:.0f} % of the runs."


def _now(found: Recommendation) -> tuple[Words, ...]:
    now = found.remedies[0]
    if not isinstance(now, Remedy) or not now.helps:
        return ()
    often = "" if now.odds is None else f", in {100 * now.odds.value:.0f} % of the runs within the ranges"
    fits = carries_picture(now.build)
    too_much = "" if fits else "; but its running picture is more than the adapter carries without end"
    return (f"It boots at the first try as it is{often}{too_much}.",)


def _measure(best: Remedy) -> tuple[Words, ...]:
    if best.odds is None or best.odds.value >= 1.0:
        return ()
    missed = f"In {100 * (1 - best.odds.value):.1g} % of the runs within the ranges it does not boot at the first try"
    if not best.decided_by:
        return (f"{missed}.",)
    return ((f"{missed}; ", _decisive(best), " decides most: measure it."),)


def _decisive(remedy: Remedy) -> Words:
    """Return the key, or the group of keys, that decides most of whether a remedy boots."""
    return Key(remedy.decided_by) if remedy.decided_by in build_keys() else f'group "{remedy.decided_by}"'


def _measure_first(found: Recommendation) -> Words:
    """Return which value to measure before the work of the best is done, where less may do; empty where none."""
    best = found.ranked[0]
    for each in found.ranked[1:]:
        if each.odds is not None and each.decided_by and each.effort < min(best.effort, Effort.BUYING):
            return (
                "Before that, measure ", _decisive(each), ": it decides most of whether less does it "
                f"({each.effort.words}: {_name(each)}; boots in {100 * each.odds.value:.0f} % within the ranges). "
                "inrush guide says how; write what you find into the build, and ask again.",
            )  # fmt: skip
    return ""


def _ranked_row(remedy: Remedy) -> tuple[Words, ...]:
    odds = remedy.odds
    often = "" if odds is None else f"{100 * odds.value:.0f} % ({100 * odds.low:.0f} to {100 * odds.high:.0f} %)"
    pieces = "" if remedy.pieces == 0 else f", {remedy.pieces} part{'s' * (remedy.pieces > 1)}"
    hardware, program = parts_of(remedy)
    takes = Lines((*hardware, *program))
    return _name(remedy), often, f"{remedy.effort.words}{pieces}", takes, *_figures(remedy)


def _figures(remedy: Remedy) -> tuple[Words, ...]:
    figures = remedy.start.figures
    return (
        Value(figures.peak_lead_current, "A"),
        Value(figures.lit_before_data, "s"),
        Value(figures.lowest_rail_voltage, "V"),
        Temperature(remedy.hottest_junction),
        Lines(remedy.could_go_wrong or ("Nothing that the model shows.",)),
    )


def _verdict(found: Sequence[Remedy | NoRemedy]) -> Verdict:
    now, *others = found
    helping = [remedy for remedy in others if isinstance(remedy, Remedy) and remedy.helps]
    if now.helps:
        return Verdict("it boots at the first try as it is", ("Below is what each remedy would change.",), True)
    if not helping:
        before = sentence(f"as it is: {now.before.words}")
        return Verdict("none of these makes it boot at the first try without overstressing a part", (before,), False)
    least = helping[0]
    words = (
        sentence(f"what changes: {least.change.words}"),
        f"{len(helping)} of {len(others)} remedies help.",
        sentence(f"start {least.rerun.words}"),
    )
    return Verdict((Strong(_name(least)), " makes it boot with least change"), words, True)


def _name(remedy: Remedy | NoRemedy) -> str:
    together = remedy.combined_with if isinstance(remedy, Remedy) else ()
    return remedy.name.value + (f", with {_listed(together)}" if together else "")


def _listed(some: Sequence[str]) -> str:
    *first, last = some
    return f"{', '.join(first)} and {last}" if first else last


def _row(remedy: Remedy | NoRemedy) -> tuple[Words, ...]:
    why = sentence(remedy.why)
    if isinstance(remedy, NoRemedy):
        none = Value(None, "")
        return (_name(remedy), "not for this build", "", why, none, none, none, none, "")
    takes = Lines((why, *(sentence(each.words) for each in remedy.needed)))
    return _name(remedy), remedy.start.headline.words, remedy.change.words, takes, *_figures(remedy)
