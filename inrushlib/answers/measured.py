"""What has been measured of a build: the odds before and after, and where the build has something else.

``narrowed_answer``  the page on the odds after having measured
``settled_in_words`` how much that settled, in a sentence
``measured_texts``   a measured value and the ends of its interval
``measured_table``   the rows, beside what the build has
``other_than_built`` a note on those where the build has something else; None where there are none
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from inrushlib.answers.blocks import Answer, Block, Note, Table, Verdict, Words
from inrushlib.answers.by_odds import between, percent
from inrushlib.answers.spread import spread_answer
from inrushlib.build import Build, build_keys
from inrushlib.measurements import Measurement
from inrushlib.odds import Doubt, Narrowed, differs
from inrushlib.parts import TABLES, ValueKind
from inrushlib.parts.tables import written
from inrushlib.quantities import format_between, format_gauge
from inrushlib.text import one_line


def narrowed_answer(found: Narrowed) -> Answer:
    """Return the page on the odds of a build after having measured, and before.

    Parameters
    ----------
    found : Narrowed
        The odds.
    """
    after = spread_answer(found.after)
    verdict, odds, *others = after.blocks
    assert isinstance(verdict, Verdict)
    blocks: list[Block] = [
        replace(verdict, sentences=(*verdict.sentences[:1], settled_in_words(found), *verdict.sentences[1:])),
        _before_and_after(found) if isinstance(odds, Table) else odds,
        measured_table(found.build, found.measured),
    ]
    if found.moved:
        names = ", ".join(row.key for row in found.moved)
        blocks.append(Note(f"The runs are around the measured values, not those of the build: {names}."))
    if found.elsewhere:
        names = ", ".join(found.elsewhere)
        blocks.append(Note(f"Measured, but of a part that this build does not have: {names}."))
    return Answer(after.title, after.good, (*blocks, *others))


def settled_in_words(found: Narrowed) -> str:
    """Return what the odds were before and how much of the doubt is gone, in a sentence.

    Parameters
    ----------
    found : Narrowed
        The odds.
    """
    before = f"Before the measurements it booted in {percent(found.before.boots.value)} ({between(found.before.boots)})"
    settled = found.settled
    if settled is None:
        return f"{before}: there was no doubt to settle."
    match found.doubt:
        case Doubt.LESS:
            return f"{before}; they settled {percent(settled.value)} of the doubt ({between(settled)})."
        case Doubt.MORE:
            return f"{before}; more is in doubt than before, for they put it nearer to where the verdict turns."
    return f"{before}; whether they settled some of the doubt these runs cannot tell."


def measured_table(build: Build, rows: Sequence[Measurement]) -> Table:
    """Return what was measured, beside what the build has.

    Parameters
    ----------
    build : Build
        As its file has it.
    rows : sequence of Measurement
        Of its keys.
    """
    return Table(
        ("", "the build has", "measured", "from", "to", "level", "source"), tuple(_row(build, row) for row in rows),
        "What was measured", (1, 2, 3, 4, 5),
    )  # fmt: skip


def other_than_built(build: Build) -> Note | None:
    """Return a note on values that were measured and are not what the build has; None where there are none.

    Parameters
    ----------
    build : Build
        With what has been measured of it.
    """
    rows = [row for key, row in build.measured.newest().items() if build.get(key) not in (None, ())]
    said = [
        f"{row.key} {_number(row.key, row.value)} ({_source(row)}; the build has {_of_build(build, row.key)})"
        for row in rows
        if differs(build, row)
    ]
    return Note(f"Measured, and not what the build has: {', '.join(said)}.") if said else None


def _before_and_after(found: Narrowed) -> Table:
    rows: list[tuple[Words, ...]] = []
    for verdict, after in found.after.odds.items():
        before = found.before.odds[verdict]
        rows.append((verdict.words, percent(before.value), between(before), percent(after.value), between(after)))
    if found.before.failed or found.after.failed:
        both = [(percent(each.failed / each.runs), f"{each.failed} runs") for each in (found.before, found.after)]
        rows.append(("could not be finished", *both[0], *both[1]))
    heads = ("ends as", "before", "interval at 95 %", "after", "interval at 95 %")
    return Table(heads, tuple(rows), "Odds before and after the measurements", (1, 2, 3, 4))


def measured_texts(row: Measurement) -> tuple[str, str | None, str | None]:
    """Return a measured value and the ends of its interval, to the place that the interval leaves open.

    Parameters
    ----------
    row : Measurement
        What was measured; an area of copper is told as its gauge.
    """
    info = build_keys()[row.key]
    if info.kind is ValueKind.GAUGE:
        low, high = (None if end is None else format_gauge(end) for end in (row.low, row.high))
        return format_gauge(row.value), low, high
    return format_between(row.value, row.low, row.high, info.unit)


def _row(build: Build, row: Measurement) -> tuple[Words, ...]:
    value, *ends = measured_texts(row)
    return (
        row.key,
        _of_build(build, row.key),
        value,
        *(end or "not told" for end in ends),
        f"{100 * row.level:g} %",
        _source(row),
    )


def _source(row: Measurement) -> str:
    return f"{one_line(row.source)}, {row.day.isoformat()}"


def _number(key: str, value: Any) -> str:
    info = build_keys()[key]
    if info.kind is ValueKind.GAUGE and isinstance(value, float):
        return format_gauge(value)
    return written(TABLES[info.table].about[info.key], value)


def _of_build(build: Build, key: str) -> str:
    value = build.get(key)
    return _number(key, value[0] if isinstance(value, tuple) and len(set(value)) == 1 else value)
