"""Names of curves and levels at the right end of their axes, spread apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inrushlib.plots.scheme import Line, Palette
from inrushlib.plots.style import spread_apart

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

GAP = 0.13  # [inch], between two names
LEAD, ROOM = 0.07, 0.10  # [inch], from the axes to the leader's end and to the name
MOST = 10
MAIN = (Line.BUS, Line.LEAD_CURRENT)
End = tuple[float, str, Line | None]
"""Value, words, and which curve; None for a level."""


class EndLabels:
    """A name with a leader for each end; ``show`` moves them.

    Parameters
    ----------
    axes : Axes
        Whose right end it is.
    palette : Palette
        Its colours.
    """

    def __init__(self, axes: Axes, palette: Palette) -> None:
        self.axes, self.palette = axes, palette
        # In inches of the figure, so that they stay in place at any resolution.
        inches = axes.figure.dpi_scale_trans
        self.texts = [
            axes.text(0, 0, "", va="center", fontsize=7.9, animated=True, transform=inches) for _ in range(MOST)
        ]
        self.leaders = [
            axes.plot([], [], linewidth=0.8, animated=True, transform=inches, clip_on=False)[0] for _ in range(MOST)
        ]
        for artist in (*self.texts, *self.leaders):
            artist.set_visible(False)

    @property
    def artists(self) -> list[Artist]:
        """All that may be drawn."""
        return [*self.leaders, *self.texts]

    def show(self, ends: Sequence[End]) -> None:
        """Name these ends.

        Parameters
        ----------
        ends : sequence of (float, str, Line or None)
            Value [unit of the axes], words, which curve; None for a level.
        """
        box = self.axes.get_window_extent()
        y0, x1, y1 = (float(pixels) / self.axes.figure.dpi for pixels in (box.y0, box.x1, box.y1))
        low, high = self.axes.get_ylim()
        at = [y0 + (min(max(value, low), high) - low) / (high - low) * (y1 - y0) for value, _, _ in ends]
        places = spread_apart(at, GAP, y0 + 0.04, y1)
        for artist in (*self.texts[len(ends) :], *self.leaders[len(ends) :]):
            artist.set_visible(False)
        for (_, words, line), text, leader, own, place in zip(ends, self.texts, self.leaders, at, places, strict=False):
            colour = self.palette.ink_3 if line is None else self.palette.curves[line]
            text.set(visible=True, position=(x1 + ROOM, place), text=words, color=colour)
            text.set_fontweight("bold" if line in MAIN else "normal")
            leader.set(visible=True, color=colour)
            leader.set_data([x1, x1 + LEAD], [own, place])
