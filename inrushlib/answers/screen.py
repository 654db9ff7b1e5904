"""Pictures for a page: drawn in its scheme, as wide as its room, at its screen's ratio.

``Screen``      where a page's pictures are shown
``picture``     a picture as HTML, its data within
"""

from __future__ import annotations

import base64
import io
import threading
from dataclasses import dataclass
from typing import Any

from inrushlib.answers.blocks import Picture
from inrushlib.text import for_html

DPI = 100  # an inch of a picture is so many pixels of the page
HIGHEST_RATIO = 2.0
COLOURS = 256  # in the PNG; more take three times as long to encode
DRAWING = threading.Lock()
"""The drawing library keeps caches that two threads must not share."""


@dataclass(frozen=True)
class Screen:
    """Where a page's pictures are shown.

    Attributes
    ----------
    width : float
        Room for a picture [px of the style sheet]; the picture's own width where that is less.
    ratio : float
        Pixels of the screen for each of those [1].
    dark : bool
        Whether the reader's system asks for dark.
    """

    width: float = 1600.0
    ratio: float = 1.5
    dark: bool = False


def picture(block: Picture, screen: Screen) -> str:
    """Return a picture as HTML, its data within.

    Parameters
    ----------
    block : Picture
        What to draw.
    screen : Screen
        Where it is shown.
    """
    width = round(DPI * min(block.width, max(screen.width / DPI, block.least)))
    data = base64.b64encode(png(block, width, screen)).decode("ascii")
    look = f"width: 100%; max-width: {width}px; min-width: {min(width, round(DPI * block.least))}px"
    image = f'<img class="wb-plot" style="{look}" alt="{for_html(block.about)}" src="data:image/png;base64,{data}">'
    caption = f'<div class="wb-heading">{for_html(block.caption)}</div>' if block.caption else ""
    # What scrolls can be reached by keyboard.
    return f'{caption}<div class="wb-scroll" tabindex="0" role="group" aria-label="picture">{image}</div>'


def png(block: Picture, width: int, screen: Screen) -> bytes:
    """Return a picture as PNG.

    Parameters
    ----------
    block : Picture
        What to draw.
    width : int
        How wide [px of the style sheet].
    screen : Screen
        Its ratio and scheme.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # long to import, and a terminal shows no picture
    from matplotlib.figure import Figure
    from PIL import Image

    from inrushlib.plots import Scheme

    scheme = Scheme.DARK if screen.dark else Scheme.LIGHT
    ratio = min(max(screen.ratio, 1.0), HIGHEST_RATIO)
    with DRAWING:
        figure = Figure(
            figsize=(width / DPI, block.height), dpi=DPI * ratio, layout="constrained", facecolor=scheme.palette.sheet
        )
        block.draw(figure.add_subplot(), scheme)
        canvas: Any = FigureCanvasAgg(figure)
        canvas.draw()
        size = canvas.get_width_height()
        pixels = Image.frombuffer("RGBA", size, canvas.buffer_rgba(), "raw", "RGBA", 0, 1).convert("RGB")
    buffer = io.BytesIO()
    pixels.quantize(COLOURS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
