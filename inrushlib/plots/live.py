"""The picture for the screen: repaints only what moved, and encodes it quickly.

``LivePicture``   a start-up picture that is redrawn often
``encode``        pixels to PNG over the palette of the pictures' own colours
"""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from PIL import Image

from inrushlib.plots.copied import Copied, Pixels
from inrushlib.plots.scheme import Scheme
from inrushlib.plots.startup import StartupPicture, View
from inrushlib.startup import Startup

WIDTH, DPI = 840, 100  # [px]
NARROWEST, WIDEST = 320, 1600  # [px]
LOWEST, HIGHEST = 330, 760  # [px]
SHAPE = 0.66  # height over width, where nothing says how high
SHADES = 8  # of each colour, towards white
APART = 8  # [0..255], least difference of two shades


class LivePicture:
    """A start-up picture that is redrawn often.

    The axes with their ticks and labels are drawn only when a limit changes; otherwise the last drawing of them is
    put back and the lines are drawn over it. Words and fills are drawn once and then copied.
    """

    def __init__(self) -> None:
        self.scheme = Scheme.LIGHT
        self.full_draws = 0
        self._begin()
        self.resize(WIDTH, 1.0)

    def _begin(self) -> None:
        """Begin with an empty figure."""
        self.figure = Figure(dpi=DPI)
        self.canvas: Any = FigureCanvasAgg(self.figure)
        self.picture = StartupPicture(self.figure, self.scheme)
        self.background: object | None = None
        self.copied = Copied(self.canvas)

    def paint(self, scheme: Scheme) -> None:
        """Draw in other colours from now on; :meth:`resize` has to follow.

        Parameters
        ----------
        scheme : Scheme
            Light or dark.
        """
        if scheme is not self.scheme:
            self.scheme = scheme
            self._begin()

    def resize(self, width: float, ratio: float, height: float | None = None) -> None:
        """Draw at another size from now on.

        Parameters
        ----------
        width : float
            Of the place on the page [px of the style sheet]; kept within 320 to 1600.
        ratio : float
            Pixels of the screen for each of those [1]; kept within 1 to 2.
        height : float or None
            Of the place on the page [px of the style sheet]; None for what suits the width.
        """
        width = min(max(width, NARROWEST), WIDEST)
        height = min(max(SHAPE * width if height is None else height, LOWEST), HIGHEST)
        self.figure.set_dpi(DPI * min(max(ratio, 1.0), 2.0))
        self.figure.set_size_inches(round(width) / DPI, round(height) / DPI)
        self.picture.fit()
        self.background = None
        self.copied.clear()

    def png(self, start: Startup, view: View | None = None) -> bytes:
        """Return the picture of a start as PNG.

        Parameters
        ----------
        start : Startup
            What to show.
        view : View or None
            Which part of it; None for all.
        """
        if self.picture.show(start, view) or self.background is None:
            self.canvas.draw()
            self.background = self.canvas.copy_from_bbox(self.figure.bbox)
            self.full_draws += 1
        else:
            self.canvas.restore_region(self.background)
        for axes, artist in self.picture.moving:
            if isinstance(artist, Text):
                self.copied.label(artist)
            elif isinstance(artist, PolyCollection) and artist is not self.picture.strip.edges:
                self.copied.fill(axes, artist)
            else:
                axes.draw_artist(artist)
        return encode(np.asarray(self.canvas.buffer_rgba()), self.scheme)


@cache
def _palette(scheme: Scheme) -> Image.Image:
    """Every colour of a scheme in shades towards its page, as an image that carries them as its palette."""
    found: list[NDArray[np.float64]] = []
    page = 255 * np.array(to_rgb(scheme.palette.sheet))
    for shade in range(SHADES, 0, -1):
        for colour in scheme.palette.colours:
            wanted = page + shade / SHADES * (255 * np.array(to_rgb(colour)) - page)
            # Shades too close to tell apart would only take the place of others.
            if all(np.abs(wanted - there).max() >= APART for there in found):
                found.append(wanted)
    image = Image.new("P", (1, 1))
    image.putpalette(np.rint(found[:256]).astype(int).ravel().tolist())
    return image


def encode(pixels: Pixels, scheme: Scheme = Scheme.LIGHT) -> bytes:
    """Return pixels as PNG, each in the nearest shade of the pictures' colours: a third of the time of full colour.

    Parameters
    ----------
    pixels : (height, width, 4) array
        Red, green, blue and opacity [0..255].
    scheme : Scheme
        Whose colours.
    """
    buffer = io.BytesIO()
    height, width = pixels.shape[:2]
    opaque = Image.frombytes("RGB", (width, height), np.ascontiguousarray(pixels), "raw", "RGBX", 0, 1)
    image = opaque.quantize(palette=_palette(scheme), dither=Image.Dither.NONE)
    image.save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
