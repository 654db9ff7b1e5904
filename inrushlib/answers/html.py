"""An answer as HTML, for the workbook's pages.

The classes that it names are those of the workbook's style sheet.
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Beyond,
    Block,
    Caution,
    Chart,
    Code,
    Facts,
    FindingRow,
    Findings,
    Key,
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
    sentence,
)
from inrushlib.answers.ruler import draw_ruler
from inrushlib.answers.screen import Screen, picture
from inrushlib.parts import key_words, keys_in_words
from inrushlib.quantities import with_signs
from inrushlib.severity import Severity
from inrushlib.text import for_html

GRID = "wb-grid"
# With spaces that do not break.
MARKS = {
    Severity.DANGER: "✗\u00a0danger",
    Severity.CAUTION: "▲\u00a0caution",
    Severity.NOTE: "•\u00a0note",
    Severity.FINE: "✓\u00a0fine",
}


def render(answer: Answer, screen: Screen | None = None) -> str:
    """Return the blocks of an answer as HTML; the page has the title already.

    Parameters
    ----------
    answer : Answer
        The answer.
    screen : Screen or None
        Where its pictures are shown; None for one that is light and wide.

    Returns
    -------
    str
        HTML; what a builder wrote is escaped.

    Examples
    --------
    >>> render(Answer("six tiles", True, (Verdict("take 3 A"),)))
    '<div class="wb-answer" role="status"><b>Take 3 A</b>.</div>'
    """
    return "".join(render_block(block, screen) for block in answer.blocks)


def html_of(words: Words) -> str:
    """Return words as HTML.

    Parameters
    ----------
    words : Words
        The words; what a builder wrote in them is escaped.
    """
    match words:
        case str():
            return _said(words)
        case Value():
            return for_html(_number(words))
        case Temperature():
            return "–" if words.value is None else f"{words.value:.0f} °C"
        case Key():
            return for_html(key_words(words.dotted))
        case Strong():
            return f"<b>{html_of(words.words)}</b>"
        case Beyond():
            return f"▲ {html_of(words.words)}"
        case Lines():
            return "<br>".join(html_of(item) for item in words.items) or "–"
    return "".join(html_of(piece) for piece in words)


def _said(text: str) -> str:
    """A sentence with signs and words for what a file spells out."""
    return for_html(with_signs(keys_in_words(text)))


def _number(value: Value) -> str:
    said = with_signs(value.text or "–")
    return f"−{said[1:]}" if said.startswith("-") else said


def render_block(block: Block, screen: Screen | None = None) -> str:
    """Return one block as HTML, for a page that is put together by itself.

    Parameters
    ----------
    block : Block
        The block; what a builder wrote in it is escaped.
    screen : Screen or None
        Where its pictures are shown; None for one that is light and wide.

    Returns
    -------
    str
        HTML.
    """
    match block:
        case Verdict():
            return _verdict(block)
        case Facts():
            return facts(block)
        case Table():
            look = f"{GRID} wb-wide" if block.wide else GRID
            return _scrolled(_table(block.caption, block.heads, block.rows, block.numbers, block.chosen, look))
        case Listing():
            items = "".join(f"<li>{html_of(item)}</li>" for item in block.items)
            caption = f'<div class="wb-caption">{_said(block.caption)}</div>' if block.caption else ""
            return f'{caption}<ul class="wb-list">{items}</ul>' if items else ""
        case Findings():
            heads = ("", "what", "value", "limit", "what to do", "limit from")
            rows = [_finding(row) for row in block.rows]
            return _scrolled(_table(block.caption, heads, rows, (2, 3), look=f"{GRID} wb-wide"))
        case Code():
            lines = "\n".join(html_of(line) for line in block.lines)
            return f'<div class="wb-caption">{for_html(block.caption)}</div><pre class="wb-code">{lines}</pre>'
        case Note():
            return f'<div class="wb-small">{html_of(block.words)}</div>'
        case Caution():
            return f'<div class="wb-small">▲ {html_of(block.words)}</div>'
        case Picture():
            return picture(block, screen or Screen())
        case Chart():
            return ""
        case Ruler():
            return draw_ruler(block, (screen or Screen()).width)
        case Beside():
            parts = "".join(
                f"<div>{part}</div>" for part in (render_block(each, screen) for each in block.blocks) if part
            )
            return f'<div class="wb-beside">{parts}</div>'


def _scrolled(table: str) -> str:
    """A table that is wider than the page scrolls by itself."""
    return f'<div class="wb-scroll">{table}</div>'


def facts(block: Facts, look: str = GRID) -> str:
    """Return names and values as a table.

    Parameters
    ----------
    block : Facts
        The rows.
    look : str
        The style sheet's class for the table.
    """
    rows = [(name, value) for name, value in block.rows]
    return _table(block.caption, (), rows, numbers=(1,), look=f"{look} wb-facts")


def _finding(row: FindingRow) -> tuple[Words, ...]:
    return MARKS[row.severity], row.what, row.value, row.limit, row.remedy or "–", row.source


def _verdict(block: Verdict) -> str:
    head = html_of(_unstressed(block.headline))
    sentences = "".join(f" {html_of(sentence(words))}" for words in block.sentences)
    kind = "wb-answer wb-hangs" if block.hangs else "wb-answer"
    return f'<div class="{kind}" role="status"><b>{head[:1].upper()}{head[1:]}</b>.{sentences}</div>'


def _unstressed(words: Words) -> Words:
    """Words without emphasis, since all of them are going to have it."""
    if isinstance(words, Strong):
        return _unstressed(words.words)
    return tuple(_unstressed(piece) for piece in words) if isinstance(words, tuple) else words


def _table(
    caption: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[Words]],
    numbers: Sequence[int] = (),
    chosen: int | None = None,
    look: str = GRID,
) -> str:
    wide = "wb-wide" in look.split()

    def cell(tag: str, content: str, column: int, scope: str = "") -> str:
        number = ' class="wb-number"' if column in numbers else ""
        # Where a row of a wide table becomes a paragraph, each cell stands behind its head.
        head = f' data-head="{for_html(heads[column])}"' if wide and tag == "td" and column < len(heads) else ""
        return f"<{tag}{number}{head}{scope}>{content}</{tag}>"

    top = "".join(cell("th", for_html(head), i, ' scope="col"') for i, head in enumerate(heads))
    body = ""
    for number, row in enumerate(rows):
        cells = cell("th", html_of(row[0]), 0, ' scope="row"')
        cells += "".join(cell("td", html_of(words), i) for i, words in enumerate(row[1:], 1))
        body += f'<tr class="wb-chosen">{cells}</tr>' if number == chosen else f"<tr>{cells}</tr>"
    head = f"<thead><tr>{top}</tr></thead>" if any(heads) else ""
    return f'<table class="{look}"><caption>{_said(caption)}</caption>{head}<tbody>{body}</tbody></table>'
