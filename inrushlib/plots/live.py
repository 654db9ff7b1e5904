"""The picture for the screen: repaints only what moved, and encodes it quickly.

``LivePicture``   a start-up picture that is redrawn often
``encode``        pixels to PNG over the palette of the pictures' own colours
"""

from __future__ import annotations

import io
from collections.abc import Hashable
from functools import cache
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from PIL import Image

from inrushlib.plots.scheme import Scheme
from inrushlib.plots.startup import StartupPicture, View
from inrushlib.startup import Startup

Pixels = NDArray[np.uint8]

WIDTH, DPI = 840, 100  # [px]
NARROWEST, WIDEST = 320, 1600  # [px]
LOWEST, HIGHEST = 330, 760  # [px]
SHAPE = 0.66  # height over width, where nothing says how high
SHADES = 8  # of each colour, towards white
APART = 8  # [0..255], least difference of two shades
MOST_LABELS = 300


class LivePicture:
    """A start-up picture that is redrawn often.

    The axes with their ticks and labels are drawn only when a limit changes; otherwise the last drawing of them is
    put back and the lines are drawn over it. Words are drawn once and then copied.
    """

    def __init__(self) -> None:
        self.scheme = Scheme.LIGHT
        self.full_draws = 0
        self._labels: dict[Hashable, tuple[Pixels, int, int]] = {}
        self._begin()
        self.resize(WIDTH, 1.0)

    def _begin(self) -> None:
        """Begin with an empty figure."""
        self.figure = Figure(dpi=DPI)
        self.canvas: Any = FigureCanvasAgg(self.figure)
        self.picture = StartupPicture(self.figure, self.scheme)
        self.background: object | None = None
        self._labels.clear()

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
        self._labels.clear()

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
                self._copy_label(artist)
            else:
                axes.draw_artist(artist)
        return encode(np.asarray(self.canvas.buffer_rgba()), self.scheme)

    def _copy_label(self, text: Text) -> None:
        """Copy a label to its place; a new one is drawn apart first."""
        patch = text.get_bbox_patch()
        key = (text.get_text(), text.get_color(), text.get_verticalalignment(), patch and patch.get_facecolor())
        if key not in self._labels:
            if len(self._labels) >= MOST_LABELS:
                self._labels.clear()
            self._labels[key] = self._draw_label(text)
        pixels, right, up = self._labels[key]
        page = np.asarray(self.canvas.buffer_rgba())
        x, y = text.get_transform().transform(text.get_position())
        left, top = round(float(x)) + right, page.shape[0] - round(float(y)) - up
        place = page[top : top + pixels.shape[0], left : left + pixels.shape[1], :3]
        if top < 0 or left < 0 or place.shape[:2] != pixels.shape[:2]:
            return  # partly off the page
        share = pixels[..., 3:] / np.float32(255)
        place[...] = (pixels[..., :3] * share + place * (1 - share)).astype(np.uint8)

    def _draw_label(self, text: Text) -> tuple[Pixels, int, int]:
        """Pixels of a label, and where their upper left corner is from its point [px right, px up]."""
        height = self.canvas.buffer_rgba().shape[0]
        apart: Any = RendererAgg(self.canvas.buffer_rgba().shape[1], height, self.figure.dpi)  # type: ignore[no-untyped-call]
        clipped = text.get_clip_on()
        text.set_clip_on(False)
        text.draw(apart)
        text.set_clip_on(clipped)
        all_pixels: Pixels = np.asarray(apart.buffer_rgba())
        rows, columns = (np.flatnonzero(all_pixels[..., 3].any(axis=axis)) for axis in (1, 0))
        if not len(rows):
            return np.zeros((1, 1, 4), np.uint8), 0, 0
        x, y = text.get_transform().transform(text.get_position())
        top, left = int(rows[0]), int(columns[0])
        pixels = all_pixels[top : int(rows[-1]) + 1, left : int(columns[-1]) + 1].copy()
        return pixels, left - round(float(x)), height - round(float(y)) - top


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
    image = Image.fromarray(pixels).convert("RGB").quantize(palette=_palette(scheme), dither=Image.Dither.NONE)
    image.save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
