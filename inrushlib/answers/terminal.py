"""An answer as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Caution,
    Facts,
    Findings,
    Listing,
    Note,
    Picture,
    Ruler,
    Table,
    Temperature,
    Value,
    Verdict,
    Words,
    plain,
)
from inrushlib.quantities import format_result
from inrushlib.text import LONGEST, one_line

INDENT = "  "


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
    return "-" if value.value is None else format_result(value.value, value.unit, resolution=value.resolution)


def _celsius(value: Temperature) -> str:
    return "-" if value.value is None else f"{value.value:.0f} degrees C"


def _lines(block: Block) -> list[str]:
    match block:
        case Verdict():
            return _verdict(block)
        case Facts():
            rows = columns([(name, text_of(value)) for name, value in block.rows]) if block.rows else []
            return _captioned(block.caption, rows)
        case Table():
            cells = [tuple(text_of(cell) for cell in row) for row in block.rows]
            heads = [block.heads] if any(block.heads) else []
            return _captioned(block.caption, columns([*heads, *cells]) if cells else [])
        case Listing():
            return _captioned(block.caption, [text_of(item) for item in block.items])
        case Findings():
            return _captioned(block.caption, [row.sentence for row in block.rows])
        case Note() | Caution():
            return [INDENT + text_of(block.words)]
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


def _loud(words: Words) -> str:
    """Words in capitals; units keep their spelling."""
    if isinstance(words, str):
        return words.upper()
    if isinstance(words, tuple):
        return "".join(_loud(piece) for piece in words)
    return text_of(words)


def _captioned(caption: str, lines: list[str]) -> list[str]:
    if not lines:
        return []
    if not caption:
        return [INDENT + line for line in lines]
    return [f"{INDENT}{caption}:", *(2 * INDENT + line for line in lines)]
