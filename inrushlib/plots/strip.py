"""The strip: over time, what each part is doing, by fill, hatch and words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from matplotlib.patches import Rectangle

from inrushlib.plots.style import FAINT, INK, STATES
from inrushlib.startup import Span

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

ROWS = ("adapter", "controller", "gate", "data line", "pixels")
HEIGHT = 0.72
CHARACTER_SHARE = 0.0102  # of the axes' width that one character of a label takes
NARROWEST = 0.0012  # of the axes' width; narrower spans are merged into "frames"


class Strip:
    """Rows of states under the curves.

    Parameters
    ----------
    axes : Axes
        Shares its time axis [ms] with the curves.
    """

    def __init__(self, axes: Axes) -> None:
        self.axes = axes
        self.artists: list[Artist] = []
        axes.set_ylim(len(ROWS) - 0.45, -0.55)
        axes.set_yticks(range(len(ROWS)), ROWS)
        axes.tick_params(colors=INK, labelsize=9, length=0)
        axes.tick_params(axis="x", length=3)
        for side in ("top", "right", "left"):
            axes.spines[side].set_visible(False)
        axes.spines["bottom"].set_color(FAINT)

    def show(self, spans: Mapping[str, Sequence[Span]], low: float, high: float) -> None:
        """Show the spans between two instants [ms]."""
        for artist in self.artists:
            artist.remove()
        self.artists = []
        for row, name in enumerate(ROWS):
            if name not in spans:
                self._write(0.5 * (low + high), row, "no switch: the panel hangs on the bus", FAINT)
                continue
            for start, end, state in _merged(spans[name], low, high):
                self._fill(start, end, row, state, high - low)

    def _fill(self, start: float, end: float, row: int, state: str, width: float) -> None:
        fill, hatch = STATES.get(state, ("#7d97ab", "||"))
        box = Rectangle(
            (start, row - HEIGHT / 2), end - start, HEIGHT,
            facecolor=fill, edgecolor="#5b656d", hatch=hatch, linewidth=0.6, animated=True,
        )  # fmt: skip
        box.set_hatch_linewidth(0.4)
        self.axes.add_artist(box)
        self.artists.append(box)
        if (end - start) / width > CHARACTER_SHARE * (len(state) + 1.5):
            self._write(0.5 * (start + end), row, state, "white" if state == "tripped" else INK, fill)

    def _write(self, x: float, row: int, words: str, colour: str, behind: str | None = None) -> None:
        box = None if behind is None else {"facecolor": behind, "edgecolor": "none", "pad": 1.2}
        text = self.axes.text(
            x, row, words, ha="center", va="center", fontsize=8.5, color=colour, bbox=box, animated=True, clip_on=True
        )
        self.artists.append(text)


def _merged(spans: Sequence[Span], low: float, high: float) -> list[tuple[float, float, str]]:
    """Clip to low..high [ms]; where frame follows frame too closely to see, one block says so."""
    found: list[tuple[float, float, str]] = []
    thin = NARROWEST * (high - low)
    for span in spans:
        start, end = max(span.start * 1e3, low), min(span.end * 1e3, high)
        if end <= start:
            continue
        before = found[-1] if found else None
        gap_is_thin = span.state == "idle" and end - start < 6 * thin and end < high
        if before is not None and (before[2] == span.state or gap_is_thin):
            found[-1] = (before[0], end, before[2])
        else:
            found.append((start, max(end, min(start + thin, high)), span.state))
    return found
