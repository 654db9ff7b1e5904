"""Marks on the pixels of a panel: where the chain begins, where it is fed, the best and the worst pixel.

``marks_of``     what is marked
``draw_marks``   marks with their values
``add_legend``   what they mean
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke

from inrushlib.panel import PanelState
from inrushlib.plots.narrow import columns
from inrushlib.plots.scheme import Palette

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.legend import Legend

UP, ACROSS = 18, 14  # [pt], of a value from its pixel


@dataclass(frozen=True)
class PixelMark:
    """A mark on one pixel or more.

    Attributes
    ----------
    label : str
        What it means.
    pixels : tuple of int
        Which are marked [1].
    look : dict of str to any
        For the drawing library.
    words : str
        Beside it; empty for none.
    up : float
        Where these stand [pt]; upwards above 0.
    """

    label: str
    pixels: tuple[int, ...]
    look: dict[str, Any]
    words: str = ""
    up: float = 0.0


def feed_look(palette: Palette) -> dict[str, Any]:
    """How a feed is marked, for the drawing library.

    Parameters
    ----------
    palette : Palette
        Its colours.
    """
    return {
        "marker": "v", "markersize": 10, "markerfacecolor": palette.sheet, "markeredgecolor": palette.ink,
        "markeredgewidth": 1.4, "linestyle": "",
    }  # fmt: skip


def label_look(palette: Palette) -> dict[str, Any]:
    """How the box around a label looks, for the drawing library.

    Parameters
    ----------
    palette : Palette
        Its colours.
    """
    return {"boxstyle": "round,pad=0.25", "facecolor": palette.sheet, "edgecolor": palette.ink, "linewidth": 0.9}


def marks_of(state: PanelState, said: Sequence[str], palette: Palette, *, narrow: bool) -> list[PixelMark]:
    """Return what is marked, in drawing order.

    Parameters
    ----------
    state : PanelState
        The steady panel.
    said : sequence of str
        Values of the best and of the worst pixel, in words.
    palette : Palette
        Colours.
    narrow : bool
        Whether there is no room for values beside their pixels; then they stand in the legend.
    """
    ink, sheet = palette.ink, palette.sheet
    begin = {"marker": "s", "markersize": 5, "markerfacecolor": ink, "markeredgecolor": sheet, "linestyle": ""}
    end: dict[str, Any] = {
        "markersize": 6, "markerfacecolor": sheet, "markeredgecolor": ink, "markeredgewidth": 1.1, "linestyle": "",
    }  # fmt: skip
    ends = [("best", state.best_pixel, "o", UP, said[0]), ("worst", state.worst_pixel, "X", -UP, said[1])]
    if state.best_pixel == state.worst_pixel:
        ends = [("every pixel", state.best_pixel, "o", UP, said[0])]
    found = [
        PixelMark("pixel 0", (0,), begin | {"zorder": 5}),
        PixelMark("feed", tuple(int(pixel) for pixel in state.feed_pixels), feed_look(palette) | {"zorder": 5}),
    ]
    for name, pixel, marker, up, value in ends:
        label = f"{name}: pixel {pixel}" + (f", {value}" if narrow else "")
        words = "" if narrow else f"{name} {value}"
        found.append(PixelMark(label, (int(pixel),), end | {"marker": marker, "zorder": 6}, words, up))
    return found


def draw_marks(marks: Sequence[PixelMark], places: Any, axes: Axes, palette: Palette) -> list[Artist]:
    """Draw marks and the words beside them; returns what was drawn, the hindmost first.

    Parameters
    ----------
    marks : sequence of PixelMark
        From :func:`marks_of`.
    places : (n, 2) array of int
        Row and column of each pixel [1].
    axes : Axes
        Those of the panel, a unit a pixel.
    palette : Palette
        Colours.
    """
    found: list[Artist] = []
    for mark in marks:
        at = places[list(mark.pixels)]
        # Not by plot: to find limits that stand anyway takes three times as long.
        found.append(axes.add_artist(Line2D(at[:, 1], at[:, 0], label=mark.label, clip_on=False, **mark.look)))
    return [*found, *(_say(mark, places, axes, palette) for mark in marks if mark.words)]


def _say(mark: PixelMark, places: Any, axes: Axes, palette: Palette) -> Artist:
    row, column = (int(place) for place in places[mark.pixels[0]])
    # Towards the middle of the display, so that nothing is cut off; best and worst go different ways else.
    height, width = axes.get_ylim()[0], axes.get_xlim()[1]
    up = -abs(mark.up) if row < 0.2 * height else abs(mark.up) if row > 0.8 * height else mark.up
    across = ACROSS if column < 0.5 * width else -ACROSS
    return axes.annotate(
        mark.words, (column, row), (across, up), textcoords="offset points", zorder=7,
        ha="left" if across > 0 else "right", va="center", fontsize=8.5, color=palette.ink,
        bbox=label_look(palette),
        # From its middle, since the box lies over it: an end that is found on the box's edge takes four times as long.
        arrowprops={
            "arrowstyle": "-", "color": palette.ink, "linewidth": 1.0, "patchA": None,
            "path_effects": [withStroke(linewidth=3.0, foreground=palette.sheet)],
        },
    )  # fmt: skip


def add_legend(marks: Sequence[PixelMark], axes: Axes, palette: Palette, *, complete: bool) -> Legend:
    """Say above some axes what the marks mean; returns the legend.

    Parameters
    ----------
    marks : sequence of PixelMark
        From :func:`marks_of`.
    axes : Axes
        Those of the panel.
    palette : Palette
        Colours.
    complete : bool
        Whether every place has its pixel.
    """
    handles: list[Artist] = [Line2D([], [], label=mark.label, **mark.look) for mark in marks]
    if not complete:
        empty = Patch(facecolor=palette.sheet, edgecolor=palette.ink_3, hatch="xxxx", linewidth=0.0, label="no pixel")
        handles.insert(0, empty)
    beside = columns(axes, [str(each.get_label()) for each in handles], 8.5, 5)
    return axes.legend(
        handles=handles, loc="lower left", bbox_to_anchor=(0.0, 1.0), frameon=False, fontsize=8.5,
        ncols=beside, labelcolor=palette.ink, handletextpad=0.3, columnspacing=1.4, borderpad=0.1,
        borderaxespad=0.9,
    )  # fmt: skip
