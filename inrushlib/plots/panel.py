"""The steady panel, pixel by pixel where the pixels sit, and the current along their chain.

``draw_voltage``, ``draw_brightness``
    in bands from dark to light with an edge between them and the lowest value of each section in words, so that
    they read in grey
``draw_chain_current``
    along the chain, feeds marked
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.patches import Rectangle
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel import PanelState
from inrushlib.panel.arrangement import Arrangement
from inrushlib.plots.narrow import columns, is_narrow, wrapped
from inrushlib.plots.scheme import Palette, Scheme
from inrushlib.plots.style import SMALL, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_BANDS, FEWEST_BANDS = 8, 3
MOST_DIGITS = {"V": 4, "%": 1}  # after the point
# Between two bands, which are as bright in either scheme.
EDGE_OF_BANDS: dict[str, Any] = {"colors": "#16201c", "linewidths": 0.9, "capstyle": "projecting", "zorder": 3}
LEAST_SPAN = {"V": 0.01, "%": 1.0}  # of the bands together: what is closer looks alike
FLATTEST, TALLEST = 0.05, 3.0  # height over width between which pixels are drawn square
MOST_NAMED_FEEDS = 9
LEAST_SPREAD = 1e-6  # [A] of a chain's currents
MOST_NAMED_ROWS, MOST_NAMED_COLUMNS = 22, 12  # names of sections that fit beside a display
MOST_ACROSS_WITH_VALUES = 9  # sections side by side into which a value fits
THIN = 24  # sections in a row or column from which their frames are drawn thin


def draw_voltage(
    state: PanelState, axes: Axes, arrangement: Arrangement | None = None, scheme: Scheme = Scheme.LIGHT
) -> Axes:
    """Draw each pixel's supply voltage [V].

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 inches or wider.
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    shown = _Shown(state.voltages, "V", "supply voltage of the pixel [V]", palette.volts)
    return _draw(state, shown, axes, arrangement, palette)


def draw_brightness(
    state: PanelState, axes: Axes, arrangement: Arrangement | None = None, scheme: Scheme = Scheme.LIGHT
) -> Axes:
    """Draw each pixel's light against that of the best-fed pixel [%].

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 inches or wider.
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    shown = _Shown(100.0 * state.brightness, "%", "light against the best-fed pixel [%]", palette.light)
    return _draw(state, shown, axes, arrangement, palette)


def draw_chain_current(state: PanelState, axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw the current from each pixel to the next [A], positive away from pixel 0, with the feeds.

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 by 2.5 inches or larger.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    ink = palette.ink
    plain(axes, palette)
    count = len(state.voltages)
    between = np.arange(count - 1) + 0.5
    axes.axhline(0.0, color=palette.edge, linewidth=0.8)
    for start in state.section_starts[1:-1]:
        axes.axvline(start - 0.5, color=palette.ink_3, linewidth=0.9, linestyle=(0, (1, 2)))
    axes.plot(between, state.segment_currents, color=ink, linewidth=1.6, drawstyle="steps-mid")
    ends = (state.segment_currents.min(initial=0.0), state.segment_currents.max(initial=0.0))
    room = max(ends[1] - ends[0], LEAST_SPREAD)
    axes.set_ylim(ends[0] - 0.08 * room, ends[1] + 0.3 * room)
    top = ends[1] + 0.1 * room
    named = len(state.feed_pixels) <= MOST_NAMED_FEEDS
    for pixel, current in zip(state.feed_pixels, state.feed_currents, strict=True):
        axes.plot([pixel, pixel], [0.0, top], color=ink, linewidth=0.8, linestyle=(0, (4, 2)))
        if named:
            axes.annotate(
                f"{current:.3g} A",
                (pixel, top),
                (0, 7),
                textcoords="offset points",
                ha="center",
                fontsize=8.5,
                color=ink,
            )
    feeds = np.full(len(state.feed_pixels), top)
    axes.plot(state.feed_pixels, feeds, label="feed, with its current", **_feed_look(palette))
    axes.set_xlim(-1, count)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True, nbins=9))
    words = wrapped(axes, "pixel, counted along the chain (dotted: joint between sections)", 9)
    axes.set_xlabel(words, fontsize=9, color=ink)
    axes.set_ylabel("current to the next pixel [A]", fontsize=9, color=ink)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), frameon=False, fontsize=8.5, labelcolor=ink)
    return axes


def _feed_look(palette: Palette) -> dict[str, Any]:
    return {
        "marker": "v", "markersize": 10, "markerfacecolor": palette.sheet, "markeredgecolor": palette.ink,
        "markeredgewidth": 1.4, "linestyle": "",
    }  # fmt: skip


def _label_look(palette: Palette) -> dict[str, Any]:
    return {"boxstyle": "round,pad=0.25", "facecolor": palette.sheet, "edgecolor": palette.ink, "linewidth": 0.9}


@dataclass(frozen=True)
class _Shown:
    """What of each pixel is drawn: values, their unit and words, colours from low to high."""

    values: FloatArray
    unit: str
    words: str
    colours: tuple[str, ...]


def _draw(state: PanelState, shown: _Shown, axes: Axes, arrangement: Arrangement | None, palette: Palette) -> Axes:
    values, unit, ink = shown.values, shown.unit, palette.ink
    pixels = np.diff(state.section_starts).tolist()
    seen = arrangement or Arrangement.of_rows(pixels)
    places = seen.places(pixels)
    grid = np.full(seen.shape, np.nan)
    grid[places[:, 0], places[:, 1]] = values
    levels = band_levels(values, LEAST_SPAN[unit])
    shades = LinearSegmentedColormap.from_list("panel", shown.colours, N=256)
    ratio = seen.shape[0] / seen.shape[1]
    # Places without a pixel show the hatch behind the image.
    axes.add_patch(
        Rectangle(
            (-0.5, -0.5), seen.shape[1], seen.shape[0], facecolor=palette.sheet, edgecolor=palette.ink_3, hatch="xxxx",
            linewidth=0.0, zorder=0, label="no pixel",
        )
    )  # fmt: skip
    image = axes.imshow(
        np.ma.masked_invalid(grid), cmap=shades, norm=BoundaryNorm(levels, 256), interpolation="nearest",
        aspect="equal" if FLATTEST <= ratio <= TALLEST else "auto", zorder=1,
    )  # fmt: skip
    bounds = _edges(np.digitize(grid, levels[1:-1]), np.isfinite(grid))
    axes.add_collection(LineCollection(bounds, **EDGE_OF_BANDS))

    def said(value: float) -> str:
        return value_words(value, levels, unit)

    _frame(seen, len(pixels), axes, palette)
    _name(seen, [said(float(part.min())) for part in np.split(values, state.section_starts[1:-1])], axes, palette)
    marked = [said(float(value)) for value in values[[state.best_pixel, state.worst_pixel]]]
    _mark(state, marked, places, axes, palette, complete=bool(np.isfinite(grid).all()))
    # On a narrow picture there is room for every other bound.
    narrow = is_narrow(axes)
    shape: dict[str, Any] = (
        {"shrink": 0.95, "aspect": 30, "pad": 0.06} if narrow else {"shrink": 0.7, "aspect": 45, "pad": 0.03}
    )
    ticks = levels[:: 2 if narrow and len(levels) > 5 else 1]
    bar = axes.figure.colorbar(image, ax=axes, orientation="horizontal", ticks=ticks, **shape)
    bar.ax.tick_params(labelsize=8.5, colors=ink)
    bar.outline.set_edgecolor(palette.edge)
    bar.set_label(wrapped(axes, f"{shown.words}; beside each section its lowest", 9), fontsize=9, color=ink)
    for level in levels[1:-1]:
        bar.ax.axvline(level, color=ink, linewidth=0.8)
    return axes


def band_levels(values: FloatArray, least_span: float) -> FloatArray:
    """Round bounds of the bands that hold all values.

    Parameters
    ----------
    values : array
        What is drawn [any unit].
    least_span : float
        Least difference between the outer bounds [unit of values], above 0.

    Examples
    --------
    >>> band_levels(np.array([99.97, 100.0]), 1.0).tolist()
    [99.0, 99.5, 100.0]
    """
    low, high = float(values.min()), float(values.max())
    # The top is where the best one is; below it there is room.
    bands = MOST_BANDS if high - low > least_span else FEWEST_BANDS
    low = min(low, high - least_span)
    found = np.asarray(MaxNLocator(nbins=bands, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high))
    return found[max(0, np.searchsorted(found, low, "right") - 1) : np.searchsorted(found, high, "left") + 1]


def value_words(value: float, levels: FloatArray, unit: str) -> str:
    """A value with one digit more than its bands' bounds have.

    Parameters
    ----------
    value : float
        [unit].
    levels : array
        Bounds of the bands [unit].
    unit : str
        "V" or "%".

    Examples
    --------
    >>> value_words(2.0738, np.array([2.0, 2.1, 2.2]), "V"), value_words(4e-8, np.array([0.0, 20.0, 40.0]), "%")
    ('2.07 V', 'under 0.1 %')
    """
    if unit == "%" and value < 0.1:
        return "under 0.1 %"
    digits = min(max(0, 1 - int(np.floor(np.log10(levels[1] - levels[0]) + 1e-9))), MOST_DIGITS[unit])
    return f"{value:.{digits}f} {unit}"


def _edges(bands: Any, there: Any) -> list[list[tuple[float, float]]]:
    """Lines between neighbouring pixels of different bands."""
    lines = []
    for row, column in zip(*np.nonzero((bands[:, 1:] != bands[:, :-1]) & there[:, 1:] & there[:, :-1]), strict=True):
        lines.append([(column + 0.5, row - 0.5), (column + 0.5, row + 0.5)])
    for row, column in zip(*np.nonzero((bands[1:] != bands[:-1]) & there[1:] & there[:-1]), strict=True):
        lines.append([(column - 0.5, row + 0.5), (column + 0.5, row + 0.5)])
    return lines


def _frame(seen: Arrangement, sections: int, axes: Axes, palette: Palette) -> None:
    """Frame the sections: first all in the page's colour, so that no frame hides its neighbour's dark line."""
    thin = max(len(seen.order), len(seen.order[0])) > THIN
    for colour, width in ((palette.sheet, 1.4 if thin else 3.2), (palette.ink, 0.5 if thin else 1.2)):
        for section in range(sections):
            row, column = seen.corner(section)
            axes.add_patch(
                Rectangle(
                    (column - 0.5, row - 0.5), seen.columns, seen.rows, fill=False, edgecolor=colour, linewidth=width,
                    zorder=2,
                )
            )  # fmt: skip


def _name(seen: Arrangement, lowest: list[str], axes: Axes, palette: Palette) -> None:
    """Name the sections with their lowest values: beside a single row or column of them, else inside."""
    sections, across, narrow = len(lowest), len(seen.order[0]), is_narrow(axes)
    axes.set_xticks([])
    axes.set_yticks([])
    word = "section " if sections <= (4 if narrow else 8) and not (narrow and across == 1) else ""
    if across == 1:
        shown = range(0, sections, -(-sections // (MOST_NAMED_ROWS // 3 if narrow else MOST_NAMED_ROWS)))
        names = [f"{word}{seen.order[k][0]}: {lowest[seen.order[k][0]]}" for k in shown]
        axes.set_yticks([(k + 0.5) * seen.rows - 0.5 for k in shown], names, fontsize=8.5, color=palette.ink)
    elif len(seen.order) == 1:
        shown = range(0, sections, -(-sections // (MOST_NAMED_COLUMNS // 2 if narrow else MOST_NAMED_COLUMNS)))
        between = "\n" if sections > 4 or narrow else ": "
        names = [f"{word}{seen.order[0][k]}{between}{lowest[seen.order[0][k]]}" for k in shown]
        axes.set_xticks([(k + 0.5) * seen.columns - 0.5 for k in shown], names, fontsize=8.5, color=palette.ink)
    else:
        for section in range(sections):
            row, column = seen.corner(section)
            name = f"{section}: {lowest[section]}" if across <= MOST_ACROSS_WITH_VALUES else str(section)
            # At the top and in the middle: feeds land in the middle, a chain begins and ends in a corner.
            axes.text(
                column + 0.5 * seen.columns - 0.5, row - 0.5, name, va="top", ha="center", fontsize=SMALL,
                color=palette.ink, zorder=4,
                bbox=_label_look(palette) | {"linewidth": 0.5, "boxstyle": "square,pad=0.15"},
            )  # fmt: skip
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    axes.set_xlim(-0.7, seen.shape[1] - 0.3)
    axes.set_ylim(seen.shape[0] - 0.3, -0.7)


def _mark(state: PanelState, said: list[str], places: Any, axes: Axes, palette: Palette, *, complete: bool) -> None:
    """Mark where the chain begins, the feeds, and the best and the worst pixel with their values."""
    feeds, ink, sheet = places[state.feed_pixels], palette.ink, palette.sheet
    axes.plot(
        places[:1, 1], places[:1, 0], label="pixel 0", marker="s", markersize=5, markerfacecolor=ink,
        markeredgecolor=sheet, linestyle="", zorder=5, clip_on=False,
    )  # fmt: skip
    axes.plot(feeds[:, 1], feeds[:, 0], label="feed", zorder=5, clip_on=False, **_feed_look(palette))
    # Where there is no room for values beside their pixels, they stand in the legend.
    height, width, narrow = axes.get_ylim()[0], axes.get_xlim()[1], is_narrow(axes)
    marked = [("best", state.best_pixel, "o", 18, said[0]), ("worst", state.worst_pixel, "X", -18, said[1])]
    if state.best_pixel == state.worst_pixel:
        marked = [("every pixel", state.best_pixel, "o", 18, said[0])]
    for name, pixel, marker, up, value in marked:
        row, column = (int(place) for place in places[pixel])
        label = f"{name}: pixel {pixel}" + (f", {value}" if narrow else "")
        axes.plot(
            [column], [row], marker=marker, markersize=6, markerfacecolor=sheet, markeredgecolor=ink, linestyle="",
            markeredgewidth=1.1, zorder=6, clip_on=False, label=label,
        )  # fmt: skip
        if narrow:
            continue
        # Towards the middle of the display, so that nothing is cut off; best and worst go different ways else.
        up = -abs(up) if row < 0.2 * height else abs(up) if row > 0.8 * height else up
        across = 14 if column < 0.5 * width else -14
        axes.annotate(
            f"{name} {value}", (column, row), (across, up), textcoords="offset points", zorder=7,
            ha="left" if across > 0 else "right", va="center", fontsize=8.5, color=ink,
            bbox=_label_look(palette),
            arrowprops={
                "arrowstyle": "-", "color": ink, "linewidth": 1.0,
                "path_effects": [withStroke(linewidth=3.0, foreground=sheet)],
            },
        )  # fmt: skip
    handles, labels = axes.get_legend_handles_labels()
    if complete:
        handles, labels = handles[1:], labels[1:]  # every place has its pixel
    axes.legend(
        handles, labels, loc="lower left", bbox_to_anchor=(0.0, 1.0), frameon=False, fontsize=8.5,
        ncols=columns(axes, labels, 8.5, 5),
        labelcolor=ink, handletextpad=0.3, columnspacing=1.4, borderpad=0.1, borderaxespad=0.9,
    )  # fmt: skip
