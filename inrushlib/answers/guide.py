"""What to measure on the bench, and measured against modelled.

``guide_answer``  the odds and the cards
``card_rows``     one card, by name and words
``log_answer``, ``log_table``
                  measured against modelled, line by line
``next_words``    what to measure next, in a sentence
``moved_words``   the odds before readings, in a sentence
``apart_words``   readings that are to be looked at again
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inrushlib.answers.blocks import Answer, Block, Caution, Lines, Note, Strong, Table, Value, Verdict, Words
from inrushlib.answers.by_odds import percent
from inrushlib.answers.measured import measured_texts
from inrushlib.answers.spread import SURE, is_sure
from inrushlib.answers.start import REMEDIES
from inrushlib.build import Build, build_keys
from inrushlib.guide import Card, Dealt, Entered, Expected, LogLine
from inrushlib.guide.uncertainty import COVERAGE
from inrushlib.measurements import Measurement
from inrushlib.parts import key_words
from inrushlib.quantities import format_uncertainty
from inrushlib.safety.finding import DEFERS

HOW: Final = (
    "A card's share: what knowing its values would settle of the doubt, less what is left because the reading is not "
    "exact. Expected: by the build as it stands, and with one of its values at the ends of its range. Accuracies are "
    "those of common handheld meters and scopes, from memory: see what yours says."
)
CARES: Final = (
    "Load resistors and shunts get hot; fuse what you feed, and never leave a bench set-up on unattended. The "
    f"adapter's inside and the mains side belong to a licensed person. {DEFERS}"
)
HEADS: Final = ("", "settles", "connect", "do", "read", "work out", "known then", "heed", "enter")


def guide_answer(
    dealt: Dealt, entered: Sequence[Entered] = (), before: Dealt | None = None, *, every: bool = False
) -> Answer:
    """Return the odds as they stand and the cards worth measuring.

    Parameters
    ----------
    dealt : Dealt
        The odds and the cards.
    entered : sequence of Entered
        Readings that came in.
    before : Dealt or None
        As it stood before these.
    every : bool
        Whether to show the cards that settle next to nothing, too.
    """
    boots = dealt.odds.boots
    said: list[Words] = [
        f"at the first try, over the ranges of its values; {percent(boots.low)} to {percent(boots.high)} with what "
        "these runs can tell."
    ]
    if before is not None:
        said.append(moved_words(before))
    said.append(next_words(dealt))
    good = is_sure(dealt.odds)
    blocks: list[Block] = [Verdict(("boots in ", Strong(percent(boots.value))), tuple(said), good)]
    blocks += [Caution(words) for words in apart_words(entered)]
    if entered:
        blocks.append(_entered(entered))
    shown = (*dealt.cards, *(dealt.others if every else ()))
    if shown:
        blocks.append(_cards(shown))
    if dealt.others and not every:
        names = ", ".join(card.name.value for card in dealt.others)
        blocks.append(Note(f"These settle next to nothing of what is in doubt now (--all shows them): {names}."))
    return Answer(dealt.build.title, good, (*blocks, Note(HOW), Caution(DEFERS)))


def next_words(dealt: Dealt) -> str:
    """Return what to measure next, in a sentence.

    Parameters
    ----------
    dealt : Dealt
        The odds and the cards.
    """
    hopeless = f"It hardly ever does, whatever is measured: {REMEDIES} " if dealt.odds.boots.high < 1 - SURE else ""
    if not dealt.cards:
        none = "Nothing that can be read on the bench would settle a share of the doubt that these runs can tell."
        return f"{hopeless}{none}"
    first = dealt.cards[0]
    return (
        f"{hopeless}Measure next: {first.name.words}; it is expected to settle {percent(first.settles)} of the doubt."
    )


def moved_words(before: Dealt) -> str:
    """Return what the odds were before readings, in a sentence.

    Parameters
    ----------
    before : Dealt
        Without them.
    """
    return f"Before these readings it was {percent(before.odds.boots.value)}."


def apart_words(entered: Sequence[Entered]) -> tuple[Words, ...]:
    """Return a sentence for each reading that lies beyond what the build lets expect.

    Parameters
    ----------
    entered : sequence of Entered
        Readings that came in.
    """
    return tuple(
        (f"{each.name.words}, {asked.name}: ", Value(value, asked.unit, 0), " is beyond the ",
         Value(asked.low, asked.unit, 0), " to ", Value(asked.high, asked.unit, 0), " that the build lets expect. Look "
         "at set-up and range once more; where it stands, it is the build that differs.")
        for each in entered for asked, value in each.apart
    )  # fmt: skip


def card_rows(card: Card) -> tuple[tuple[str, Words], ...]:
    """Return one card by name and words.

    Parameters
    ----------
    card : Card
        The card.
    """
    setup = card.setup
    loads = tuple(
        ("load ", Value(load.resistance, "ohm", 0), ", turns ", Value(load.power, "W", 0), " into heat")
        for load in setup.loads
    )
    cells: tuple[Words, ...] = (
        f"some {percent(card.settles)} of the doubt" if card.settles > 0 else "next to nothing now",
        Lines((setup.connect, *loads)), setup.light, Lines(tuple(expected_words(each) for each in card.readings)),
        setup.read_off, Lines(tuple(_known(key, off) for key, off in zip(card.keys, card.uncertainties, strict=True))),
        Lines(tuple(care.sentence for care in setup.cares)), entry_words(card),
    )  # fmt: skip
    return tuple(zip(HEADS[1:], cells, strict=True))


def expected_words(each: Expected) -> Words:
    """Return what is read, on what, and what to expect.

    Parameters
    ----------
    each : Expected
        A reading.
    """
    value, low, high = (Value(volts, each.unit, 0) for volts in (each.value, each.low, each.high))
    if low.text == high.text:  # it is set, not found
        return (f"{each.name}: ", value, f", {each.instrument.value}")
    return (f"{each.name}: ", value, " (", low, " to ", high, f"), {each.instrument.value}")


def entry_words(card: Card) -> Words:
    """Return how the expected readings of a card would be entered.

    Parameters
    ----------
    card : Card
        The card.
    """
    return (f'--enter {card.name.value}="', hint_words(card), '", with your readings')


def hint_words(card: Card) -> Words:
    """Return the expected readings of a card, with commas between.

    Parameters
    ----------
    card : Card
        The card.
    """
    readings: list[Words] = []
    for each in card.readings:
        readings += [*([", "] if readings else []), Value(each.value, each.unit, 0)]
    return tuple(readings)


def _known(key: str, deviation: float) -> Words:
    return (key_words(key), f" to ±{format_uncertainty(COVERAGE * deviation, build_keys()[key].unit)}")


def _cards(cards: Sequence[Card]) -> Table:
    rows = tuple(
        (f"{place}. {card.name.value}: {card.name.words}", *(cell for _, cell in card_rows(card)))
        for place, card in enumerate(cards, 1)
    )
    return Table(HEADS, rows, "What to measure, the most telling first", wide=True)


def _entered(entered: Sequence[Entered]) -> Table:
    rows = tuple(
        (key_words(row.key), *_measured(row), _value(row.modelled, row.key), each.name.value)
        for each in entered for row in each.log.rows
    )  # fmt: skip
    return Table(("", "measured", "between", "was", "card"), rows, "Entered", (1, 2, 3))


def log_answer(build: Build, lines: Sequence[LogLine]) -> Answer:
    """Return what has been measured against what the model had, line by line.

    Parameters
    ----------
    build : Build
        The build.
    lines : sequence of LogLine
        Oldest first.
    """
    known = [line for line in lines if line.inside is not None]
    if not lines:
        return Answer(
            build.title, True, (Verdict("nothing has been measured yet", ("inrush guide says what first.",)),)
        )
    inside = sum(bool(line.inside) for line in known)
    said = f"of {len(known)} the model had {inside} inside the interval." if known else "the model's own are not known."
    head = f"{len(lines)} measured value{'s' if len(lines) > 1 else ''}"
    return Answer(build.title, True, (Verdict(head, (said,)), log_table(lines)))


def log_table(lines: Sequence[LogLine]) -> Table:
    """Return measured against modelled as a table.

    Parameters
    ----------
    lines : sequence of LogLine
        Oldest first.
    """
    rows = tuple(
        (key_words(line.row.key), f"{line.row.day:%Y-%m-%d}", *_measured(line.row),
         _value(line.row.modelled, line.row.key), _judged(line),
         f"{line.row.how.value}: {line.row.source}")
        for line in lines
    )  # fmt: skip
    heads = ("", "day", "measured", "between", "modelled", "", "from")
    return Table(heads, rows, "Measured against modelled", (2, 3, 4))


def _judged(line: LogLine) -> str:
    if not line.holds:
        return "measured again"
    if line.stands is not None and abs(line.stands - line.row.value) > 1e-9 * abs(line.row.value):
        return "the build has another value now"
    return {True: "inside", False: "outside", None: ""}[line.inside]


def _measured(row: Measurement) -> tuple[str, str]:
    """The value and its interval, to the place that this leaves open."""
    value, low, high = measured_texts(row)
    if low is None:
        return value, "not told" if high is None else f"up to {high}"
    return value, f"from {low}" if high is None else f"{low} to {high}"


def _value(value: float | None, key: str) -> Value:
    return Value(value, build_keys()[key].unit, 0)
