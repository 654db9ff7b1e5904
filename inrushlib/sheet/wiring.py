"""Wires on a sheet: those that are alike in one line, and what to buy."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Block, Note, Table, Value, Words
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.parts import PlaceKind
from inrushlib.quantities import format_quantity
from inrushlib.safety import FuseOutcome
from inrushlib.search import WireList, WireRun
from inrushlib.sheet.facts import SheetFacts

MOST_NAMED = 6  # sections named one by one
MOST_ROWS = 10  # kinds of wire that are listed


def wire_blocks(facts: SheetFacts) -> tuple[Block, ...]:
    """Return the wires by gauge, length and fuse, the metres of each gauge, and what was taken for granted.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    found = facts.wires
    if not isinstance(found, WireList):
        return (Note(("Wires: ", found)),)
    groups: dict[tuple[object, ...], list[WireRun]] = {}
    for run in found.runs:
        rating = None if run.fuse is None else run.fuse.rating
        key = (run.place.kind, run.wire.gauge, run.wire.length, rating, run.wanted_connector, run.enough)
        groups.setdefault(key, []).append(run)
    rows = [_row(runs) for runs in groups.values()]
    if len(rows) > MOST_ROWS:
        more = f"and {len(rows) - MOST_ROWS + 1} more kinds: inrush wires lists them"
        rows = [*rows[: MOST_ROWS - 1], (more, "", "", "", "", "")]
    heads = ("wire", "one way", "gauge needed", "carries up to", "fuse at its head", "connector")
    table = Table(heads, tuple(rows), "Wires, supply and return alike", (1, 2, 3))
    return (table, Note(_metres(found)), *_taken(facts), Note(_rated(found)))


def feed_labels(facts: SheetFacts) -> dict[int, str]:
    """Return gauge, length and fuse of the feed to each section, for the drawing.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    if not isinstance(facts.wires, WireList):
        return {}
    labels: dict[int, str] = {}
    for run in facts.wires.runs:
        if run.place.kind is PlaceKind.FEED and run.place.index is not None:
            fuse = ""
            if run.fuse is not None and run.fuse.outcome is FuseOutcome.FITS:
                fuse = f", fuse {format_quantity(run.fuse.rating or 0.0, 'A')}"
            labels[run.place.index] = f"{_awg(run.wire.gauge)}, {format_quantity(run.wire.length, 'm')}{fuse}"
    return labels


def feeds_fused(facts: SheetFacts) -> bool:
    """Say whether a feed needs a fuse, or nobody knows.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    if not isinstance(facts.wires, WireList):
        return True
    feeds = [run.fuse for run in facts.wires.runs if run.place.kind is PlaceKind.FEED]
    return any(fuse is None or fuse.outcome is not FuseOutcome.NOT_NEEDED for fuse in feeds)


def _row(runs: Sequence[WireRun]) -> tuple[Words, ...]:
    first = max(runs, key=lambda run: run.wire.carried)
    gauge = _awg(first.wire.gauge) + (" (there does)" if first.enough else "")
    return (
        _names(runs), Value(first.wire.length, "m", 0), gauge, Value(first.wire.carried, "A"), _fuse(first),
        first.wanted_connector or "bolt or solder it",
    )  # fmt: skip


def _names(runs: Sequence[WireRun]) -> str:
    kind = runs[0].place.kind
    if kind is PlaceKind.LEAD:
        return "lead"
    many, one = ("feeds to sections", "feed to section") if kind is PlaceKind.FEED else ("jumpers", "jumper")
    places = [
        f"{run.place.index}" if kind is PlaceKind.FEED else f"{run.place.index}-{(run.place.index or 0) + 1}"
        for run in runs
    ]
    if len(places) > MOST_NAMED:
        return f"{len(places)} {many} {places[0]} … {places[-1]}"
    return f"{one if len(places) == 1 else many} {', '.join(places)}"


def _awg(gauge: int) -> str:
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def _fuse(run: WireRun) -> Words:
    if run.fuse is None:
        return "that of the feeds"
    match run.fuse.outcome:
        case FuseOutcome.FITS:
            return Value(run.fuse.rating, "A", 0)
        case FuseOutcome.NOT_NEEDED:
            return "none needed"
    outcome: str = run.fuse.outcome.value
    return outcome


def _metres(found: WireList) -> Words:
    if not found.metres:
        return "Wire to buy: none, what is there does."
    pieces: list[Words] = ["Wire to buy, supply and return together, without waste: "]
    for number, (gauge, metres) in enumerate(found.metres.items()):
        pieces += [", " if number else "", Value(metres, "m", 0), f" of {_awg(gauge)}"]
    return (*pieces, ".")


def _taken(facts: SheetFacts) -> tuple[Note, ...]:
    taken = facts.lengths_taken
    if taken is None:
        return ()
    words = (
        "Lengths that the build does not say are taken as ", Value(taken.feed, "m", 0), " a feed and ",
        Value(taken.hop, "m", 0), " a jumper: put your own into [wiring].",
    )  # fmt: skip
    return (Note(words),)


def _rated(found: WireList) -> Words:
    table = found.runs[0].wire.table
    return (
        "For an adapter that gives up to ", Value(found.plan.largest_adapter, "A"),
        f"; rated for {AMPACITY_TABLES[table].holds_for}. Local codes decide.",
    )  # fmt: skip
