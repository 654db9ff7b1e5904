"""The steady panel, pixel by pixel where the pixels sit, and the current along their chain.

``draw_voltage``, ``draw_brightness``
    in bands from dark to light with an edge between them, so that they read in grey
``draw_chain_current``
    along the chain, feeds marked
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from inrushlib.panel import PanelState
from inrushlib.panel.arrangement import Arrangement
from inrushlib.panel.laws import FloatArray
from inrushlib.plots.style import EDGE, FAINT, INK, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_BANDS = 8
VOLTS = ("#4a1d0c", "#a8480f", "#e8a65a", "#fff6e6")
LIGHT = ("#10202d", "#14507a", "#7fa9c4", "#f4fafd")
LABEL = {"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": INK, "linewidth": 0.9}
FLATTEST, TALLEST = 0.05, 3.0  # height over width between which pixels are drawn square
MOST_NAMED_FEEDS = 9
LEAST_SPREAD = 1e-6


def draw_voltage(state: PanelState, axes: Axes, arrangement: Arrangement | None = None) -> Axes:
    """Draw each pixel's supply voltage [V].

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 inches or wider.
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    """
    return _draw(state, state.voltages, "V", "supply voltage of the pixel [V]", VOLTS, axes, arrangement)


def draw_brightness(state: PanelState, axes: Axes, arrangement: Arrangement | None = None) -> Axes:
    """Draw each pixel's light against that of the best-fed pixel [%].

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 inches or wider.
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    """
    words = "light against the best-fed pixel [%]"
    return _draw(state, 100.0 * state.brightness, "%", words, LIGHT, axes, arrangement)


def draw_chain_current(state: PanelState, axes: Axes) -> Axes:
    """Draw the current from each pixel to the next [A], positive away from pixel 0, with the feeds.

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 by 2.5 inches or larger.
    """
    plain(axes)
    count = len(state.voltages)
    between = np.arange(count - 1) + 0.5
    axes.axhline(0.0, color=EDGE, linewidth=0.8)
    for start in state.section_starts[1:-1]:
        axes.axvline(start - 0.5, color=FAINT, linewidth=0.9, linestyle=(0, (1, 2)))
    axes.plot(between, state.segment_currents, color=INK, linewidth=1.6, drawstyle="steps-mid")
    ends = (state.segment_currents.min(initial=0.0), state.segment_currents.max(initial=0.0))
    room = max(ends[1] - ends[0], LEAST_SPREAD)
    axes.set_ylim(ends[0] - 0.08 * room, ends[1] + 0.3 * room)
    top = ends[1] + 0.1 * room
    named = len(state.feed_pixels) <= MOST_NAMED_FEEDS
    for pixel, current in zip(state.feed_pixels, state.feed_currents, strict=True):
        axes.plot([pixel, pixel], [0.0, top], color=INK, linewidth=0.8, linestyle=(0, (4, 2)))
        if named:
            axes.annotate(
                f"{current:.3g} A",
                (pixel, top),
                (0, 7),
                textcoords="offset points",
                ha="center",
                fontsize=8.5,
                color=INK,
            )
    axes.plot(state.feed_pixels, np.full(len(state.feed_pixels), top), label="feed, with its current", **_feed_look())
    axes.set_xlim(-1, count)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True, nbins=9))
    axes.set_xlabel("pixel, counted along the chain (dotted: joint between sections)", fontsize=9, color=INK)
    axes.set_ylabel("current to the next pixel [A]", fontsize=9, color=INK)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), frameon=False, fontsize=8.5)
    return axes


def _feed_look() -> dict[str, Any]:
    return {
        "marker": "v", "markersize": 10, "markerfacecolor": "white", "markeredgecolor": INK, "markeredgewidth": 1.4,
        "linestyle": "",
    }  # fmt: skip


def _draw(
    state: PanelState, values: FloatArray, unit: str, words: str, colours: tuple[str, ...], axes: Axes,
    arrangement: Arrangement | None,
) -> Axes:  # fmt: skip
    pixels = np.diff(state.section_starts).tolist()
    seen = arrangement or Arrangement.of_rows(pixels)
    places = seen.places(pixels)
    grid = np.full(seen.shape, np.nan)
    grid[places[:, 0], places[:, 1]] = values
    levels = _levels(values)
    shades = LinearSegmentedColormap.from_list("panel", colours, N=256)
    ratio = seen.shape[0] / seen.shape[1]
    image = axes.imshow(
        np.ma.masked_invalid(grid), cmap=shades, norm=BoundaryNorm(levels, 256), interpolation="nearest",
        aspect="equal" if FLATTEST <= ratio <= TALLEST else "auto",
    )  # fmt: skip
    axes.add_collection(LineCollection(_edges(np.digitize(grid, levels[1:-1]), np.isfinite(grid)), **_edge_look()))
    _outline(seen, len(pixels), axes)
    _mark(state, values, unit, places, axes)
    bar = axes.figure.colorbar(image, ax=axes, orientation="horizontal", shrink=0.7, aspect=45, ticks=levels, pad=0.03)
    bar.ax.tick_params(labelsize=8.5, colors=INK)
    bar.set_label(words, fontsize=9, color=INK)
    for level in levels[1:-1]:
        bar.ax.axvline(level, color=INK, linewidth=0.8)
    return axes


def _edge_look() -> dict[str, Any]:
    return {"colors": INK, "linewidths": 0.9, "capstyle": "projecting", "zorder": 2}


def _levels(values: FloatArray) -> FloatArray:
    """Round bounds of the bands that hold all values."""
    low, high = float(values.min()), float(values.max())
    if high - low < LEAST_SPREAD * max(abs(high), 1.0):
        low -= 0.01 * max(abs(low), 1.0)
    found = np.asarray(MaxNLocator(nbins=MOST_BANDS, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high))
    return found[max(0, np.searchsorted(found, low, "right") - 1) : np.searchsorted(found, high, "left") + 1]


def _edges(bands: Any, there: Any) -> list[list[tuple[float, float]]]:
    """Lines between neighbouring pixels of different bands."""
    lines = []
    for row, column in zip(*np.nonzero((bands[:, 1:] != bands[:, :-1]) & there[:, 1:] & there[:, :-1]), strict=True):
        lines.append([(column + 0.5, row - 0.5), (column + 0.5, row + 0.5)])
    for row, column in zip(*np.nonzero((bands[1:] != bands[:-1]) & there[1:] & there[:-1]), strict=True):
        lines.append([(column - 0.5, row + 0.5), (column + 0.5, row + 0.5)])
    return lines


def _outline(seen: Arrangement, sections: int, axes: Axes) -> None:
    """Frame and name the sections: beside a single row or column of them, else in their corners."""
    one_row, one_column = len(seen.order) == 1, len(seen.order[0]) == 1
    for section in range(sections):
        row, column = seen.corner(section)
        frame = Rectangle(
            (column - 0.5, row - 0.5), seen.columns, seen.rows, fill=False, edgecolor="white", linewidth=3.2
        )
        axes.add_patch(frame)
        axes.add_patch(
            Rectangle((column - 0.5, row - 0.5), seen.columns, seen.rows, fill=False, edgecolor=INK, linewidth=1.2)
        )
        if not one_row and not one_column:
            axes.text(column, row, str(section), va="top", fontsize=8, color=INK, bbox=LABEL | {"linewidth": 0.5})
    axes.set_xticks([])
    axes.set_yticks([])
    names = [f"section {section}" if sections <= 8 else str(section) for section in np.ravel(seen.order)]
    if one_row:
        axes.set_xticks((np.arange(sections) + 0.5) * seen.columns - 0.5, names, fontsize=8.5, color=INK)
    elif one_column:
        axes.set_yticks((np.arange(sections) + 0.5) * seen.rows - 0.5, names, fontsize=8.5, color=INK)
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    axes.set_xlim(-0.7, seen.shape[1] - 0.3)
    axes.set_ylim(seen.shape[0] - 0.3, -0.7)


def _mark(state: PanelState, values: FloatArray, unit: str, places: Any, axes: Axes) -> None:
    """Mark feeds, and the best and the worst pixel with their values."""
    feeds = places[state.feed_pixels]
    axes.plot(feeds[:, 1], feeds[:, 0], label="feed", zorder=4, clip_on=False, **_feed_look())
    height, width = axes.get_ylim()[0], axes.get_xlim()[1]
    marked = (("best", state.best_pixel, "o", 18), ("worst", state.worst_pixel, "X", -18))
    for name, pixel, marker, up in marked:
        row, column = (int(place) for place in places[pixel])
        axes.plot(
            [column], [row], marker=marker, markersize=6, markerfacecolor="white", markeredgecolor=INK, linestyle="",
            markeredgewidth=1.1, zorder=5, clip_on=False, label=f"{name}-fed pixel (number {pixel})",
        )  # fmt: skip
        # Towards the middle of the display, so that nothing is cut off; best and worst go different ways else.
        up = -abs(up) if row < 0.2 * height else abs(up) if row > 0.8 * height else up
        across = 14 if column < 0.5 * width else -14
        axes.annotate(
            f"{name} {values[pixel]:.4g} {unit}", (column, row), (across, up), textcoords="offset points", zorder=6,
            ha="left" if across > 0 else "right", va="center", fontsize=8.5, color=INK, bbox=LABEL,
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.9},
        )  # fmt: skip
    axes.legend(
        loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=3, frameon=False, fontsize=8.5, handletextpad=0.3,
        borderpad=0.1, borderaxespad=0.9,
    )  # fmt: skip
