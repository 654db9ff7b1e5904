"""Words and fills that are drawn once, apart, and then copied to where they belong.

``Copied``   draws on a canvas, and keeps what it drew
"""

from __future__ import annotations

from collections.abc import Hashable
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.text import Annotation, Text
from matplotlib.transforms import IdentityTransform
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.collections import PolyCollection

Pixels = NDArray[np.uint8]

MOST_LABELS = 300
PHASES = 4  # of a pixel: words stand that near to their place


class Copied:
    """Draws words and fills on a canvas, each look of them only once.

    Parameters
    ----------
    canvas : FigureCanvasAgg
        What to draw on; after it changed its size, ``clear`` has to follow.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._labels: dict[Hashable, tuple[Pixels, int, int]] = {}
        self._fills: dict[Hashable, Pixels] = {}

    def clear(self) -> None:
        """Forget what was drawn at another size."""
        self._labels.clear()
        self._fills.clear()

    def label(self, text: Text) -> None:
        """Draw words, with their box and arrow where they have one.

        Parameters
        ----------
        text : Text
            The words.
        """
        if isinstance(text, Annotation):
            renderer = self._canvas.get_renderer()
            text.update_positions(renderer)
            if text.arrow_patch is not None:
                text.arrow_patch.draw(renderer)
        x, y = (PHASES * np.array(text.get_transform().transform(text.get_position()))).round().astype(int).tolist()
        key = (x % PHASES, y % PHASES, *_look_of(text))
        if key not in self._labels:
            if len(self._labels) >= MOST_LABELS:
                self._labels.clear()
            self._labels[key] = self._draw_label(text, (x % PHASES) / PHASES, (y % PHASES) / PHASES)
        pixels, right, up = self._labels[key]
        page = self._page
        left, top = x // PHASES + right, page.shape[0] - y // PHASES - up
        pixels = pixels[max(0, -top) :, max(0, -left) :]  # what is off the page
        top, left = max(0, top), max(0, left)
        place = page[top : top + pixels.shape[0], left : left + pixels.shape[1], :3]
        pixels = pixels[: place.shape[0], : place.shape[1]]
        share = pixels[..., 3:] / np.float32(255)
        place[...] = (pixels[..., :3] * share + place * (1 - share) + 0.5).astype(np.uint8)

    def fill(self, axes: Axes, rectangles: PolyCollection) -> None:
        """Draw rectangles without an edge, all filled and hatched alike.

        Parameters
        ----------
        axes : Axes
            Their axes.
        rectangles : PolyCollection
            The rectangles; two opposite corners of each are its first and third.
        """
        box = tuple(np.rint(axes.bbox.extents).astype(int))
        key = (id(rectangles), *box)
        if key not in self._fills:
            self._fills[key] = self._draw_fill(axes, rectangles)
        pixels, page = self._fills[key], self._page
        corners = np.array([np.asarray(path.vertices)[[0, 2]] for path in rectangles.get_paths()]).reshape(-1, 2)
        placed = np.floor(axes.transData.transform(corners) + 0.5).astype(int)
        x = np.clip(placed[:, 0], box[0], box[2]).reshape(-1, 2)
        y = page.shape[0] - np.clip(placed[:, 1], box[1], box[3]).reshape(-1, 2)
        for (left, right), (top, bottom) in zip(np.sort(x).tolist(), np.sort(y).tolist(), strict=True):
            page[top:bottom, left:right] = pixels[top:bottom, left:right]

    @property
    def _page(self) -> Pixels:
        found: Pixels = np.asarray(self._canvas.buffer_rgba())
        return found

    def _apart(self) -> Any:
        height, width = self._page.shape[:2]
        return RendererAgg(width, height, self._canvas.figure.dpi)  # type: ignore[no-untyped-call]

    def _draw_fill(self, axes: Axes, rectangles: PolyCollection) -> Pixels:
        """Pixels of a page whose axes are filled all over."""
        apart, before = self._apart(), [np.asarray(path.vertices) for path in rectangles.get_paths()]
        (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
        rectangles.set_verts([[(x0, y0), (x0, y1), (x1, y1), (x1, y0)]])
        rectangles.draw(apart)
        rectangles.set_verts(before, closed=False)
        return np.asarray(apart.buffer_rgba())

    def _draw_label(self, text: Text, right: float, up: float) -> tuple[Pixels, int, int]:
        """Pixels of a label whose point is so far within its pixel; their upper left corner from there [px]."""
        apart, clipped, place, transform = self._apart(), text.get_clip_on(), text.get_position(), text.get_transform()
        height, width = self._page.shape[:2]
        x, y = width // 2, height // 2
        text.set(clip_on=False, position=(x + right, y + up), transform=IdentityTransform())
        Text.draw(text, apart)  # without the arrow of an annotation
        text.set(clip_on=clipped, position=place, transform=transform)
        all_pixels: Pixels = np.asarray(apart.buffer_rgba())
        rows, columns = (np.flatnonzero(all_pixels[..., 3].any(axis=axis)) for axis in (1, 0))
        if not len(rows):
            return np.zeros((1, 1, 4), np.uint8), 0, 0
        top, left = int(rows[0]), int(columns[0])
        return all_pixels[top : int(rows[-1]) + 1, left : int(columns[-1]) + 1].copy(), left - x, height - y - top


def _look_of(text: Text) -> tuple[Hashable, ...]:
    """What the pixels of a label depend on."""
    box = text.get_bbox_patch()
    around = None if box is None else (box.get_facecolor(), box.get_edgecolor(), box.get_linewidth())
    return (
        text.get_text(), text.get_color(), hash(text.get_fontproperties()), text.get_rotation(),
        text.get_horizontalalignment(), text.get_verticalalignment(), around,
    )  # fmt: skip
