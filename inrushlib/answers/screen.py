"""Pictures for a page: drawn in its scheme, as wide as its room, at its screen's ratio.

``Screen``      where a page's pictures are shown
``Kept``        pictures of an answer that may stay a moment longer than its words
``picture``     a picture as HTML, its data within
"""

from __future__ import annotations

import base64
import io
import math
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from inrushlib.answers.blocks import Picture
from inrushlib.text import for_html

if TYPE_CHECKING:
    from inrushlib.plots import Scheme
    from inrushlib.plots.layers import Repainted

DPI = 100  # an inch of a picture is so many pixels of the page
HIGHEST_RATIO = 2.0
WIDER = 1.4  # times a picture's own width [1], where a page has room for that
MORE = 0.6  # [inch] of height for the lines that a narrow picture's words take
COLOURS = 256  # in the PNG; more take three times as long to encode
DRAWING = threading.Lock()
"""The drawing library keeps caches that two threads must not share."""


@dataclass(frozen=True)
class Screen:
    """Where a page's pictures are shown.

    Attributes
    ----------
    width : float
        Room for a picture [px of the style sheet]; the picture is up to ``WIDER`` times its own width.
    ratio : float
        Pixels of the screen for each of those [1].
    height : float
        Room for a picture that may be drawn lower [px of the style sheet], so that it is seen at once.
    dark : bool
        Whether the reader's system asks for dark.
    kept : Kept or None
        Pictures of the answer before, shown again where that is wanted; None draws each.
    known : bool
        Whether the page has told these yet; until then its pictures are left out, for they would be drawn twice.
    paper : bool
        Whether what is around a picture is white.
    """

    width: float = 1000.0
    ratio: float = 1.5
    dark: bool = False
    height: float = math.inf
    kept: Kept | None = None
    known: bool = True
    paper: bool = False


@dataclass
class Kept:
    """Pictures of an answer, in their order: under a moving slider words come first and pictures follow one by one.

    Attributes
    ----------
    images : list of str
        As HTML, of the newest answer or of one before.
    fresh : int
        How many of them, from the first, are of the newest answer [1].
    """

    images: list[str] = field(default_factory=list)
    fresh: int = 0
    _wanted: float = math.inf
    _next: int = 0
    _canvases: list[Repainted] = field(default_factory=list)
    _took: dict[int, float] = field(default_factory=dict)

    @property
    def whole(self) -> bool:
        """Whether all are of the newest answer."""
        return self.fresh >= len(self.images)

    @property
    def took(self) -> float:
        """Processor time that all of them took when each was drawn last [s]."""
        return sum(self._took.get(place, 0.0) for place in range(len(self.images)))

    def renew(self) -> None:
        """There is another answer, or another screen to show it on: no picture is of it yet."""
        self.fresh = 0

    def begin(self, wanted: int | None = None) -> None:
        """Begin with an answer's first picture.

        Parameters
        ----------
        wanted : int or None
            How many, from the first, are to be of the newest answer [1], the others staying as they were; None for
            all. One that the answer before did not have is drawn in any case.
        """
        del self.images[self._next :]  # the answer before had fewer than those before it
        self._wanted, self._next = math.inf if wanted is None else wanted, 0

    def show(self, draw: Callable[[Repainted], str]) -> str:
        """Return the next picture: what was kept, or what is drawn now.

        Parameters
        ----------
        draw : callable
            Takes the canvas that is kept for this place; returns the picture as HTML.
        """
        from inrushlib.plots.layers import Repainted

        place, self._next = self._next, self._next + 1
        there = place < len(self.images)
        if there and (place < self.fresh or place >= self._wanted):
            return self.images[place]
        while len(self._canvases) <= place:
            self._canvases.append(Repainted())
        begun = time.thread_time()
        self.images[place : place + 1] = [draw(self._canvases[place])]
        self._took[place] = time.thread_time() - begun
        if place == self.fresh:
            self.fresh += 1
        return self.images[place]


def picture(block: Picture, screen: Screen) -> str:
    """Return a picture as HTML, its data within.

    Parameters
    ----------
    block : Picture
        What to draw.
    screen : Screen
        Where it is shown.
    """
    if not screen.known:
        return ""
    if screen.kept is not None:
        return screen.kept.show(lambda canvas: _image(block, screen, canvas))
    return _image(block, screen)


def _image(block: Picture, screen: Screen, kept: Repainted | None = None) -> str:
    width = round(DPI * min(WIDER * block.width, max(screen.width / DPI, block.least)))
    data = base64.b64encode(png(block, width, screen, kept)).decode("ascii")
    source = f'src="data:image/png;base64,{data}"'
    look = f"width: 100%; max-width: {width}px; min-width: {min(width, round(DPI * block.least))}px"
    image = f'<img class="wb-plot" decoding="sync" style="{look}" alt="{for_html(block.about)}" {source}>'
    caption = f'<div class="wb-heading">{for_html(block.caption)}</div>' if block.caption else ""
    return f'{caption}<div class="wb-scroll">{image}</div>'


def png(block: Picture, width: int, screen: Screen, kept: Repainted | None = None) -> bytes:
    """Return a picture as PNG.

    Parameters
    ----------
    block : Picture
        What to draw.
    width : int
        How wide [px of the style sheet].
    screen : Screen
        Its ratio and scheme.
    kept : Repainted or None
        What the picture in its place before was drawn on; None for nothing.
    """
    from PIL import Image  # long to import, as what draws is, and a terminal shows no picture

    from inrushlib.plots import Scheme
    from inrushlib.plots.layers import Repainted
    from inrushlib.plots.narrow import NARROW

    scheme = Scheme.DARK if screen.dark else Scheme.LIGHT
    ratio = min(max(screen.ratio, 1.0), HIGHEST_RATIO)
    height = block.height_at(width / DPI, screen.height / DPI) + (MORE if width < DPI * NARROW else 0.0)
    size = (width / DPI, height)
    with DRAWING:
        if block.layers is None:
            canvas = _drawn(block, size, DPI * ratio, scheme, "white" if screen.paper else scheme.palette.sheet)
        else:
            canvas = (kept or Repainted()).paint(block.layers(), size, DPI * ratio, scheme)
        pixels = Image.frombytes("RGB", canvas.get_width_height(), canvas.buffer_rgba(), "raw", "RGBX", 0, 1)
    buffer = io.BytesIO()
    pixels.quantize(COLOURS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()


def _drawn(block: Picture, size: tuple[float, float], dpi: float, scheme: Scheme, around: str) -> Any:
    """A canvas with a picture that is drawn anew each time."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=size, dpi=dpi, layout="constrained", facecolor=around)
    block.draw(figure.add_subplot(), scheme)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    return canvas
