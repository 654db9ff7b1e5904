"""Blocks cut into strips that are set one below the other on paper.

``Strips``      cuts blocks into strips of one width
``Strip``       what is kept together: a height, and texts, lines and pictures within
``Text``, ``Rule``, ``Drawn``
                what is in a strip
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from inrushlib.answers.blocks import (
    Beside,
    Block,
    Caution,
    Chart,
    Code,
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
    sentence,
)
from inrushlib.quantities import with_signs
from inrushlib.text import one_line

BODY: Final = 8.2  # [pt]
HEAD: Final = 9.2  # [pt]
LOUD: Final = 11.5  # [pt]
TITLE: Final = 13.0  # [pt]
LEADING: Final = 1.2
POINT: Final = 25.4 / 72  # [mm]
GAP: Final = 2.6  # [mm] between columns
BETWEEN: Final = 1.5  # [mm] between blocks
COLUMN: Final = 14.0  # [mm] that a column keeps at least where a table is too wide

Measure = Callable[[str, float, bool], float]
"""Width [mm] of a text at a size [pt], bold or not."""


@dataclass(frozen=True)
class Text:
    """One line of text.

    Attributes
    ----------
    x, y : float
        Upper left corner from that of the strip [mm].
    words : str
        The text.
    size : float
        [pt]
    bold : bool
        Whether it is bold.
    """

    x: float
    y: float
    words: str
    size: float = BODY
    bold: bool = False


@dataclass(frozen=True)
class Rule:
    """A line across.

    Attributes
    ----------
    x, y, width : float
        Its left end, from the upper left corner of the strip, and its length [mm].
    weight : float
        [mm]
    """

    x: float
    y: float
    width: float
    weight: float = 0.1


@dataclass(frozen=True)
class Drawn:
    """A picture.

    Attributes
    ----------
    x, y : float
        Upper left corner from that of the strip [mm].
    picture : Picture
        What to draw.
    """

    x: float
    y: float
    picture: Picture


@dataclass(frozen=True)
class Strip:
    """What is kept together on a page.

    Attributes
    ----------
    height : float
        [mm]
    items : tuple of Text, Rule or Drawn
        What is in it.
    """

    height: float
    items: tuple[Text | Rule | Drawn, ...]

    def moved(self, x: float, y: float) -> tuple[Text | Rule | Drawn, ...]:
        """Return the items moved by ``x`` and ``y`` [mm]."""
        from dataclasses import replace

        return tuple(replace(item, x=item.x + x, y=item.y + y) for item in self.items)


def line_height(size: float = BODY) -> float:
    """Return the height of a line of text of a ``size`` [pt], in mm."""
    return size * POINT * LEADING


def words_on_paper(words: Words) -> str:
    """Return ``words`` as one line for paper."""
    return one_line(with_signs(plain(words, _number, _celsius)))


def _number(value: Value) -> str:
    return value.text or "–"


def _celsius(value: Temperature) -> str:
    return "–" if value.value is None else f"{value.value:.0f} °C"


class Strips:
    """Cuts blocks into strips of one width.

    Parameters
    ----------
    width : float
        [mm]
    measure : callable
        Width of a text.
    """

    def __init__(self, width: float, measure: Measure) -> None:
        self.width, self.measure = width, measure

    def of(self, block: Block) -> list[Strip]:
        """Return the strips of a ``block``, a gap after the last."""
        strips = self._of(block)
        if strips:
            last = strips[-1]
            strips[-1] = Strip(last.height + BETWEEN, last.items)
        return strips

    def title(self, words: str) -> Strip:
        """Return the title, ``words``, at most two lines."""
        lines = self.wrapped(words, self.width, TITLE, True)
        if len(lines) > 2:
            lines = [lines[0], lines[1][:-1] + "…"]
        return self._text(lines, TITLE, True)

    def _of(self, block: Block) -> list[Strip]:
        match block:
            case Verdict():
                return self._verdict(block)
            case Facts():
                return self._table(block.caption, (), block.rows, ())
            case Table():
                return self._table(block.caption, block.heads, block.rows, block.numbers)
            case Findings():
                return self._lines(block.caption, [row.sentence for row in block.rows], "• ")
            case Listing():
                return self._lines(block.caption, block.items, "• ")
            case Code():
                return self._lines(block.caption, block.lines, "")
            case Note():
                return self._lines("", [block.words], "")
            case Caution():
                return self._lines("", [block.words], "▲ ")
            case Picture():
                return self._picture(block)
            case Beside():
                return [self._beside(block)]
            case Chart() | Ruler():
                return []

    def wrapped(self, words: str, width: float, size: float = BODY, bold: bool = False) -> list[str]:
        """Return ``words`` as lines no wider than ``width`` [mm], at a ``size`` [pt], ``bold`` or not."""
        lines: list[str] = []
        line = ""
        for word in words.split(" "):
            longer = f"{line} {word}" if line else word
            if self.measure(longer, size, bold) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            while self.measure(word, size, bold) > width and len(word) > 1:  # a word wider than the line
                fits = next(
                    n for n in range(len(word) - 1, 0, -1) if n == 1 or self.measure(word[:n], size, bold) <= width
                )
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        return [*lines, line]

    def _text(self, lines: Sequence[str], size: float = BODY, bold: bool = False, x: float = 0.0) -> Strip:
        high = line_height(size)
        return Strip(high * len(lines), tuple(Text(x, i * high, line, size, bold) for i, line in enumerate(lines)))

    def _caption(self, caption: str) -> list[Strip]:
        return [self._text(self.wrapped(caption, self.width, HEAD, True), HEAD, True)] if caption else []

    def _verdict(self, block: Verdict) -> list[Strip]:
        head = words_on_paper(block.headline)
        head = f"{head[:1].upper()}{head[1:]}."
        body = " ".join(words_on_paper(sentence(words)) for words in block.sentences)
        loud = self._text(self.wrapped(head, self.width - 4, LOUD, True), LOUD, True, 2.0)
        soft = self._text(self.wrapped(body, self.width - 4), x=2.0)
        height = loud.height + soft.height + 2.0
        frame = (Rule(0, 0, self.width, 0.4), Rule(0, height, self.width, 0.4))
        return [Strip(height + 0.6, (*frame, *loud.moved(0, 0.9), *soft.moved(0, 0.9 + loud.height)))]

    def _lines(self, caption: str, items: Sequence[Words], mark: str) -> list[Strip]:
        strips = []
        for item in items:
            text = words_on_paper(item)
            indent = 2.5 if text.startswith("  ") else 0.0
            lines = self.wrapped(mark + text.strip(), self.width - indent)
            strips.append(self._text(lines, x=indent))
        return _joined(self._caption(caption), strips)

    def _picture(self, block: Picture) -> list[Strip]:
        caption = self._caption(block.caption)
        top = sum(strip.height for strip in caption)
        height = top + block.height * 25.4
        texts = caption[0].items if caption else ()
        return [Strip(height, (*texts, Drawn(0.0, top, block)))]

    def _beside(self, block: Beside) -> Strip:
        space = 5.0
        each = (self.width - space * (len(block.blocks) - 1)) / len(block.blocks)
        items: list[Text | Rule | Drawn] = []
        height = 0.0
        for number, inner in enumerate(block.blocks):
            y = 0.0
            for strip in Strips(each, self.measure)._of(inner):
                items += strip.moved(number * (each + space), y)
                y += strip.height
            height = max(height, y)
        return Strip(height, tuple(items))

    def _table(
        self, caption: str, heads: Sequence[str], rows: Sequence[Sequence[Words]], numbers: Sequence[int]
    ) -> list[Strip]:
        texts = [[words_on_paper(cell) for cell in row] for row in rows]
        if not texts:
            return []
        headed = [list(heads)] if any(heads) else []
        widths = self._widths([*headed, *texts])
        strips = [
            self._row(row, widths, numbers, 0.3 if i < len(headed) else 0.1) for i, row in enumerate([*headed, *texts])
        ]
        top = self._caption(caption)
        if headed:
            return _joined(_joined(top, strips[:1]), strips[1:])
        return _joined(top, strips)

    def _widths(self, rows: Sequence[Sequence[str]]) -> list[float]:
        """Columns as wide as their texts where there is room; else the widest give way."""
        count = len(rows[0])
        room = self.width - GAP * (count - 1)
        widths = [max(self.measure(row[i], BODY, False) for row in rows) + 0.2 for i in range(count)]
        while sum(widths) > room + 1e-6:
            most = max(widths)
            widest = [i for i, width in enumerate(widths) if width >= most - 1e-6]
            below = max([width for width in widths if width < most - 1e-6], default=COLUMN)
            less = min((sum(widths) - room) / len(widest), most - min(below, most - 0.5))
            widths = [width - less if i in widest else width for i, width in enumerate(widths)]
        return widths

    def _row(self, row: Sequence[str], widths: Sequence[float], numbers: Sequence[int], weight: float) -> Strip:
        items: list[Text | Rule | Drawn] = []
        x = height = 0.0
        for i, (cell, width) in enumerate(zip(row, widths, strict=True)):
            for number, line in enumerate(self.wrapped(cell, width)):
                left = x + width - self.measure(line, BODY, False) if i in numbers else x
                items.append(Text(left, number * line_height() + 0.2, line))
                height = max(height, (number + 1) * line_height())
            x += width + GAP
        return Strip(height + 0.5, (*items, Rule(0.0, height + 0.4, self.width, weight)))


def _joined(first: Sequence[Strip], then: Sequence[Strip]) -> list[Strip]:
    """Strips, with what stands first kept together with the first of the others."""
    if not then:
        return []
    items: tuple[Any, ...] = ()
    height = 0.0
    for strip in (*first, then[0]):
        items += strip.moved(0.0, height)
        height += strip.height
    return [Strip(height, items), *then[1:]]
