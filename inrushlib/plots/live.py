"""The picture for the screen: repaints only what moved, and encodes it quickly."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from inrushlib.plots.startup import Overlay, StartupPicture
from inrushlib.startup import Startup

WIDTH, HEIGHT, DPI = 9.6, 6.6, 100


class LivePicture:
    """A start-up picture that is redrawn often.

    The axes with their ticks and labels are drawn only when a limit changes; otherwise the last drawing
    of them is put back and the lines are drawn over it.
    """

    def __init__(self) -> None:
        self.figure = Figure(figsize=(WIDTH, HEIGHT), dpi=DPI, facecolor="white")
        self.canvas: Any = FigureCanvasAgg(self.figure)
        self.picture = StartupPicture(self.figure)
        self.background: object | None = None
        self.full_draws = 0

    def png(self, start: Startup, span: tuple[float, float] | None = None, overlays: Sequence[Overlay] = ()) -> bytes:
        """Return the picture of a start as PNG bytes."""
        if self.picture.show(start, span, overlays) or self.background is None:
            self.canvas.draw()
            self.background = self.canvas.copy_from_bbox(self.figure.bbox)
            self.full_draws += 1
        else:
            self.canvas.restore_region(self.background)
        for axes, artist in self.picture.moving:
            axes.draw_artist(artist)
        buffer = io.BytesIO()
        Image.fromarray(np.asarray(self.canvas.buffer_rgba())).convert("RGB").save(buffer, "PNG", compress_level=1)
        return buffer.getvalue()
