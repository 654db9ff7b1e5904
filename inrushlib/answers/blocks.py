"""What an answer is made of, whatever it is shown on: a terminal, a page, or a file.

An answer is made once, as blocks of words and values. A renderer (:mod:`~inrushlib.answers.terminal`,
:mod:`~inrushlib.answers.html`) says how each block looks on its medium; it neither computes nor words anything.

``Answer``      a title, whether it is good news, and its blocks
``Verdict``     the answer in a line, and the sentences that go with it
``Facts``       names and values
``Table``       a table with a caption
``Listing``     sentences one below the other
``Findings``    findings, worst first: sentences where there is little room, else a table
``Code``        steps of a program, a line each
``Note``        small print; ``Caution`` what has to be heeded
``Picture``     a drawing
``Chart``       a map in letters, where the medium has no drawing
``Ruler``       stretches of a value on a scale by factors, with marks
``Beside``      blocks side by side where there is room

The words in them are those of :mod:`~inrushlib.answers.words`, to be had from here too.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from inrushlib.answers.columns import even_rows
from inrushlib.answers.words import (
    Beyond,
    Key,
    Lines,
    Piece,
    Strong,
    Temperature,
    Value,
    Words,
    plain,
    sentence,
)
from inrushlib.severity import Severity

__all__ = [
    "Answer",
    "Beside",
    "Beyond",
    "Block",
    "Caution",
    "Chart",
    "Code",
    "Facts",
    "FindingRow",
    "Findings",
    "Key",
    "Lines",
    "Listing",
    "Mark",
    "Note",
    "Picture",
    "Piece",
    "Ruler",
    "Scale",
    "Strong",
    "Table",
    "Temperature",
    "Value",
    "Verdict",
    "Words",
    "plain",
    "sentence",
]


@dataclass(frozen=True)
class Verdict:
    """The answer itself.

    Attributes
    ----------
    headline : Words
        The answer in a few words.
    sentences : tuple of Words
        What goes with it: why, and what to do.
    good : bool or None
        Whether it is what the builder hoped for; None where there is nothing to hope.
    hangs : bool
        Whether a value that was assumed could turn it: neither a plain yes nor a plain no.
    """

    headline: Words
    sentences: tuple[Words, ...] = ()
    good: bool | None = None
    hangs: bool = False


@dataclass(frozen=True)
class Facts:
    """Names and values, one below the other; those of one unit get as many digits behind the point.

    Attributes
    ----------
    rows : tuple of (str, Words)
        Name and value.
    caption : str
        What they are about; empty for none.
    """

    rows: tuple[tuple[str, Words], ...]
    caption: str = ""

    def __post_init__(self) -> None:
        values = even_rows([(value,) for _, value in self.rows], ())
        rows = tuple((name, value) for (name, _), (value,) in zip(self.rows, values, strict=True))
        object.__setattr__(self, "rows", rows)


@dataclass(frozen=True)
class Table:
    """A table; values of one unit in a column get as many digits behind the point.

    Attributes
    ----------
    heads : tuple of str
        Of the columns.
    rows : tuple of tuple of Words
        The first cell names the row.
    caption : str
        What it shows.
    numbers : tuple of int
        Columns of numbers [1], set to the right where the medium can.
    chosen : int or None
        The row that is pointed out [1].
    wide : bool
        Whether a row is longer than a line of text: then each row is a paragraph where the medium has only lines.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]
    caption: str = ""
    numbers: tuple[int, ...] = ()
    chosen: int | None = None
    wide: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "rows", even_rows(self.rows, self.numbers))


@dataclass(frozen=True)
class Listing:
    """Sentences one below the other.

    Attributes
    ----------
    items : tuple of Words
        The sentences.
    caption : str
        What they are about; empty for none.
    """

    items: tuple[Words, ...]
    caption: str = ""


@dataclass(frozen=True, kw_only=True)
class FindingRow:
    """One finding.

    Attributes
    ----------
    severity : Severity
        How bad it is.
    what : str
        What was looked at.
    value, limit : Words
        What was found, and what it is held against.
    remedy : Words
        What to do; empty where there is nothing.
    source : str
        Where the limit comes from.
    sentence : str
        All of it in a sentence.
    """

    severity: Severity
    what: str
    value: Words
    limit: Words
    remedy: Words
    source: str
    sentence: str


@dataclass(frozen=True)
class Findings:
    """Findings, worst first.

    Attributes
    ----------
    rows : tuple of FindingRow
        The findings.
    caption : str
        What they are about.
    """

    rows: tuple[FindingRow, ...]
    caption: str


@dataclass(frozen=True)
class Code:
    """Steps of a program, a line each, spaces at their beginning kept.

    Attributes
    ----------
    lines : tuple of Words
        The steps.
    caption : str
        What they do.
    """

    lines: tuple[Words, ...]
    caption: str


@dataclass(frozen=True)
class Note:
    """Small print.

    Attributes
    ----------
    words : Words
        The words.
    """

    words: Words


@dataclass(frozen=True)
class Caution:
    """What has to be heeded.

    Attributes
    ----------
    words : Words
        The words.
    """

    words: Words


@dataclass(frozen=True)
class Picture:
    """A drawing; left out where the medium has none.

    Attributes
    ----------
    about : str
        What it shows, for who cannot see it.
    draw : callable
        Draws into empty axes, in a :class:`~inrushlib.plots.Scheme`.
    width, height : float
        [inch], of which a page has 100 pixels each; a narrower page draws it narrower.
    caption : str
        Above it; empty for none.
    least : float
        Width [inch] below which it scrolls instead of being drawn narrower.
    tall : callable or None
        Height [inch] at another width [inch]; None: always the same.
    lowest : float
        Height [inch] down to which it may be drawn lower, so that it is seen at once in a low window; 0: it may not.
    layers : callable or None
        Makes the same as :class:`~inrushlib.plots.layers.Layers`, for a page that draws it often; None where it is
        drawn anew each time.
    """

    about: str
    draw: Callable[[Any, Any], object]
    width: float
    height: float
    caption: str = ""
    least: float = 3.3
    tall: Callable[[float], float] | None = None
    lowest: float = 0.0
    layers: Callable[[], Any] | None = None

    def height_at(self, width: float, room: float = math.inf) -> float:
        """Return the height where it is drawn so wide [inch].

        Parameters
        ----------
        width : float
            Its width [inch].
        room : float
            Height that there is for it [inch].
        """
        height = self.height if self.tall is None else self.tall(width)
        return min(height, max(room, self.lowest)) if self.lowest else height


@dataclass(frozen=True)
class Scale:
    """One side of a chart.

    Attributes
    ----------
    name : str
        What runs along it.
    ticks : tuple of (int, str)
        Place of a character, from the left or from below [1], and the value there.
    spacing : str
        How the values follow each other.
    """

    name: str
    ticks: tuple[tuple[int, str], ...]
    spacing: str


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A map in letters; left out where the medium can draw.

    Attributes
    ----------
    rows : tuple of str
        A letter a point, the uppermost row first.
    x, y : Scale
        Its sides.
    legend : tuple of (str, str)
        Letters and what they stand for.
    """

    rows: tuple[str, ...]
    x: Scale
    y: Scale
    legend: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Mark:
    """A value pointed out on a ruler.

    Attributes
    ----------
    name : str
        What it is.
    value : float
        Where it is [unit of the ruler].
    above : bool
        Whether its name stands above the scale, and the mark is drawn solid.
    """

    name: str
    value: float
    above: bool


@dataclass(frozen=True)
class Ruler:
    """Stretches of a value on a scale by factors; left out where the medium cannot draw.

    Attributes
    ----------
    about : str
        What it shows, for who cannot see it.
    unit : str
        Of the values.
    stretches : tuple of (float, float or None)
        From and to [unit]; None for no end.
    marks : tuple of Mark
        Values pointed out.
    """

    about: str
    unit: str
    stretches: tuple[tuple[float, float | None], ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Beside:
    """Blocks side by side where there is room, else one below the other.

    Attributes
    ----------
    blocks : tuple of Block
        The blocks.
    """

    blocks: tuple[Block, ...]


Block = Verdict | Facts | Table | Listing | Findings | Code | Note | Caution | Picture | Chart | Ruler | Beside


@dataclass(frozen=True)
class Answer:
    """The answer to one question.

    Attributes
    ----------
    title : str
        The build's, as its builder wrote it.
    good : bool
        Whether it is a yes: the command's exit status.
    blocks : tuple of Block
        In the order in which they are read.
    """

    title: str
    good: bool
    blocks: tuple[Block, ...]
