"""A sheet on paper: PDF with its font within.

``write_pdf``     writes it
``paper_of``      the bytes, and where each text went (``Placed``)
"""

from __future__ import annotations

import io
import threading
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from inrushlib.answers.blocks import Answer, Picture
from inrushlib.files import write_safely
from inrushlib.sheet.layout import BETWEEN, BODY, POINT, Drawn, Rule, Strip, Strips, Text
from inrushlib.sheet.size import Paper
from inrushlib.text import LONGEST, one_line

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN: Final = 10.0  # [mm]
FOOT: Final = 5.0  # [mm]
MOST_PAGES: Final = 2
SHORT: Final = 0.3  # of a page, up to which a block is not cut
GREY: Final = 150  # of 255
FONT: Final = "sheet"
FOOTER: Final = "A model, not an approval."
_DRAWING = threading.Lock()  # the drawing library keeps caches that two threads must not share


@dataclass(frozen=True)
class Placed:
    """A text or a picture on a page.

    Attributes
    ----------
    page : int
        From 1 [1].
    x, y, width, height : float
        Upper left corner, size [mm].
    words : str
        The text; empty for a picture.
    size : float
        Of the text [pt].
    """

    page: int
    x: float
    y: float
    width: float
    height: float
    words: str
    size: float


def write_pdf(answer: Answer, path: Path, paper: Paper = Paper.A4) -> None:
    """Write a sheet as PDF.

    Parameters
    ----------
    answer : Answer
        The sheet.
    path : Path
        The file.
    paper : Paper
        Its size.

    Raises
    ------
    BuildError
        Where the file cannot be written.
    """
    write_safely(paper_of(answer, paper)[0], path)


def paper_of(answer: Answer, paper: Paper = Paper.A4) -> tuple[bytes, tuple[Placed, ...]]:
    """Return a sheet as PDF, and where each text and picture went.

    Parameters
    ----------
    answer : Answer
        The sheet.
    paper : Paper
        Its size.
    """
    press = _printed(answer, paper, SHORT)
    if press.pdf.page > MOST_PAGES:
        press = _printed(answer, paper, 0.0)
    return press.finish(), tuple(press.placed)


def _printed(answer: Answer, paper: Paper, short: float) -> _Press:
    """Set all blocks; those up to a share of a page are not cut."""
    press = _Press(paper)
    strips = Strips(press.width, press.measure)
    title = strips.title(press.known(one_line(answer.title, LONGEST)))
    press.set(Strip(title.height + BETWEEN, title.items))
    for block in answer.blocks:
        cut = strips.of(block)
        press.keep_together(sum(strip.height for strip in cut), short)
        for strip in cut:
            press.set(strip)
    return press


class _Press:
    """Sets strips on pages, one below the other."""

    def __init__(self, paper: Paper) -> None:
        from fpdf import FPDF

        self.pdf: FPDF = FPDF(format=paper.value, unit="mm")
        self.pdf.set_auto_page_break(False)
        self.pdf.set_creator("inrush sheet")
        for style, file in _fonts().items():
            self.pdf.add_font(FONT, style, file)
        self.glyphs = _glyphs()
        self.width = self.pdf.w - 2 * MARGIN
        self.placed: list[Placed] = []
        self._new_page()

    def measure(self, words: str, size: float, bold: bool) -> float:
        """Width of a text [mm]."""
        self.pdf.set_font(FONT, "B" if bold else "", size)
        return float(self.pdf.get_string_width(self.known(words)))

    def known(self, words: str) -> str:
        """Words with what the font does not have written out."""
        return "".join(c if ord(c) in self.glyphs else c.encode("unicode_escape").decode("ascii") for c in words)

    def keep_together(self, height: float, short: float) -> None:
        """Begin a new page for a block of a ``height`` [mm], ``short`` of a page at most, that would be cut."""
        page = self.pdf.h - 2 * MARGIN - FOOT
        if height < short * page and self.y + height - BETWEEN > MARGIN + page:
            self._new_page()

    def set(self, strip: Strip) -> None:
        """Set a strip below the last one, on a new page where it does not fit."""
        if self.y + strip.height - BETWEEN > self.pdf.h - MARGIN - FOOT:
            self._new_page()
        for item in strip.moved(MARGIN, self.y):
            match item:
                case Text():
                    self._text(item)
                case Rule():
                    self.pdf.set_line_width(item.weight)
                    self.pdf.set_draw_color(GREY if item.weight < 0.2 else 0)
                    self.pdf.line(item.x, item.y, item.x + item.width, item.y)
                case Drawn():
                    self._picture(item)
        self.y += strip.height

    def finish(self) -> bytes:
        """Number the pages and return the file."""
        pages = self.pdf.page
        for page in range(1, pages + 1):
            self.pdf.page = page
            self._text(Text(MARGIN, self.pdf.h - MARGIN - 3.5, f"{FOOTER}  Page {page} of {pages}."))
        return bytes(self.pdf.output())

    def _new_page(self) -> None:
        self.pdf.add_page()
        self.y = MARGIN

    def _text(self, text: Text) -> None:
        words = self.known(text.words)
        width = self.measure(words, text.size, text.bold)
        height = text.size * POINT
        self.placed.append(Placed(self.pdf.page, text.x, text.y, width, height, words, text.size))
        if words:
            self.pdf.text(text.x, text.y + 0.92 * height, words)

    def _picture(self, drawn: Drawn) -> None:
        width, height = drawn.picture.width * 25.4, drawn.picture.height * 25.4
        x = drawn.x + max(self.width - width, 0.0) / 2
        self.placed.append(Placed(self.pdf.page, x, drawn.y, width, height, "", BODY))
        self.pdf.image(io.BytesIO(_vector(drawn.picture)), x=x, y=drawn.y, w=width, h=height)


def _vector(picture: Picture) -> bytes:
    """A picture as SVG, its letters as outlines."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    from inrushlib.plots import Scheme

    buffer = io.BytesIO()
    with _DRAWING, rc_context({"svg.fonttype": "path"}):
        figure = Figure(figsize=(picture.width, picture.height), facecolor="white")
        picture.draw(figure.add_axes((0.0, 0.0, 1.0, 1.0)), Scheme.LIGHT)
        nothing = dict.fromkeys(("Creator", "Date", "Format", "Type"))
        figure.savefig(buffer, format="svg", metadata=nothing)
    return buffer.getvalue()


@cache
def _fonts() -> dict[str, Path]:
    """The fonts that come with the drawing library, so that they are wherever it is."""
    import matplotlib

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return {"": folder / "DejaVuSans.ttf", "B": folder / "DejaVuSans-Bold.ttf"}


@cache
def _glyphs() -> frozenset[int]:
    """Characters that both fonts have."""
    from matplotlib.ft2font import FT2Font

    regular, bold = (set(FT2Font(str(file)).get_charmap()) for file in _fonts().values())
    return frozenset(regular & bold)
