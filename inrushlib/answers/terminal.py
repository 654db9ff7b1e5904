"""An answer as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Caution,
    Chart,
    Code,
    Facts,
    Findings,
    Lines,
    Listing,
    Note,
    Picture,
    Ruler,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
    Words,
    plain,
)
from inrushlib.text import LONGEST, one_line

INDENT = "  "
NONE = "-"  # where there is no value


def render(answer: Answer) -> str:
    """Return the answer as a page of text.

    Parameters
    ----------
    answer : Answer
        The answer.

    Returns
    -------
    str
        Lines without a last line break.

    Examples
    --------
    >>> print(render(Answer("six tiles", True, (Verdict("take 3 A", ("the start decides.",), True),))))
    six tiles
    <BLANKLINE>
      TAKE 3 A: the start decides.
    """
    parts = [one_line(answer.title, LONGEST)]
    for block in answer.blocks:
        lines = _lines(block)
        if lines:
            parts += ["", *lines]
    return "\n".join(parts)


def text_of(words: Words) -> str:
    """Return words as a terminal shows them.

    Parameters
    ----------
    words : Words
        The words.
    """
    return plain(words, _number, _celsius)


def columns(table: Sequence[Sequence[str]]) -> list[str]:
    """Return a table in aligned columns, a head being its first row.

    Parameters
    ----------
    table : sequence of sequence of str
        Rows of as many cells each.
    """
    widths = [max(len(row[i]) for row in table) for i in range(len(table[0]))]
    return ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in table]


def _number(value: Value) -> str:
    return value.text or NONE


def _celsius(value: Temperature) -> str:
    return NONE if value.value is None else f"{value.value:.0f} degrees C"


def _lines(block: Block) -> list[str]:
    match block:
        case Verdict():
            return _verdict(block)
        case Facts():
            rows = columns([(name, text_of(value)) for name, value in block.rows]) if block.rows else []
            return _captioned(block.caption, rows)
        case Table() if block.wide:
            return _paragraphs(block)
        case Table():
            cells = [tuple(text_of(cell) for cell in row) for row in block.rows]
            heads = [block.heads] if any(block.heads) else []
            return _captioned(block.caption, columns([*heads, *cells]) if cells else [])
        case Listing():
            return _captioned(block.caption, [text_of(item) for item in block.items])
        case Findings():
            return _captioned(block.caption, [row.sentence for row in block.rows])
        case Code():
            return _captioned(block.caption, [text_of(line) for line in block.lines])
        case Note() | Caution():
            return [INDENT + text_of(block.words)]
        case Chart():
            return _chart(block)
        case Picture() | Ruler():
            return []
        case Beside():
            parts = [lines for lines in map(_lines, block.blocks) if lines]
            return [line for i, lines in enumerate(parts) for line in ([""] if i else []) + lines]


def _verdict(block: Verdict) -> list[str]:
    """The headline in capitals with its first sentence beside it, the others below."""
    texts = [text_of(words) for words in block.sentences]
    head = _loud(block.headline)
    if not texts:
        return [f"{INDENT}{head}."]
    return [f"{INDENT}{head}: {texts[0]}", *(INDENT + text for text in texts[1:])]


def _paragraphs(table: Table) -> list[str]:
    """Each row as a paragraph: its first cell, then head and cell in a line each; empty cells are left out."""
    lines: list[str] = []
    for row in table.rows:
        pairs = [
            (head if i == 0 else "", text_of(item))
            for head, cell in zip(table.heads[1:], row[1:], strict=True)
            for i, item in enumerate(cell.items if isinstance(cell, Lines) else (cell,))
        ]
        kept = [pair for pair in pairs if pair[1] not in ("", NONE)]
        lines += [*([""] if lines else []), text_of(row[0]), *(INDENT + line for line in columns(kept))]
    return _captioned(table.caption, lines)


def _chart(chart: Chart) -> list[str]:
    """The letters with the values of both sides at their edges, and what the letters stand for."""
    height, at_left = len(chart.rows), dict(chart.y.ticks)
    margin = max(len(text) for text in at_left.values())
    lines = [f"{chart.y.name}, upwards {chart.y.spacing}", ""]
    for number, row in enumerate(chart.rows):
        label = at_left.get(height - 1 - number, "")
        lines.append(f"{label.rjust(margin)} {'-' if label else ' '} {row}")
    below = marks = ""
    for place, text in chart.x.ticks:
        if not below or place > len(below):
            below, marks = below.ljust(place) + text, marks.ljust(place) + "|"
    start = " " * (margin + 3)
    lines += [start + marks, start + below, f"{start}{chart.x.name}, to the right {chart.x.spacing}", ""]
    return [(INDENT + line).rstrip() for line in [*lines, *(f"{letter}  {words}" for letter, words in chart.legend)]]


def _loud(words: Words) -> str:
    """Words in capitals; units keep their spelling."""
    if isinstance(words, str):
        return words.upper()
    if isinstance(words, tuple):
        return "".join(_loud(piece) for piece in words)
    return _loud(words.words) if isinstance(words, Strong) else text_of(words)


def _captioned(caption: str, lines: list[str]) -> list[str]:
    if not lines:
        return []
    if not caption:
        return [(INDENT + line).rstrip() for line in lines]
    return [f"{INDENT}{caption}:", *((2 * INDENT + line).rstrip() for line in lines)]
