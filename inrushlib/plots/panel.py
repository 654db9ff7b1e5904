"""The steady panel, pixel by pixel where the pixels sit.

``draw_voltage``, ``draw_brightness``
    in bands from dark to light with an edge between them and the lowest value of each section in words, so that
    they read in grey
``voltage_layers``, ``brightness_layers``
    the same in two layers, for a page
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colorbar import Colorbar, make_axes
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel import PanelState
from inrushlib.panel.arrangement import Arrangement
from inrushlib.plots.layers import draw_layers
from inrushlib.plots.marks import PixelMark, add_legend, draw_marks, label_look, marks_of
from inrushlib.plots.narrow import is_narrow, width_of, wrapped
from inrushlib.plots.scheme import Palette, Scheme
from inrushlib.plots.style import SMALL

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

MOST_BANDS, FEWEST_BANDS = 8, 3
MOST_DIGITS = {"V": 4, "%": 1}  # after the point
# Between two bands, which are as bright in either scheme.
EDGE_OF_BANDS: dict[str, Any] = {"colors": "#16201c", "linewidths": 0.9, "capstyle": "projecting", "zorder": 3}
LEAST_SPAN = {"V": 0.01, "%": 1.0}  # of the bands together: what is closer looks alike
FLATTEST, TALLEST = 0.05, 3.0  # height over width between which pixels are drawn square
MOST_NAMED_ROWS, MOST_NAMED_COLUMNS = 22, 12  # names of sections that fit beside a display
MOST_ACROSS_WITH_VALUES = 9  # sections side by side into which a value fits
AWAY = 3.5  # [pt], of names from the axes
LINE = 0.17  # [inch], of a name
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
    draw_layers(voltage_layers(state, arrangement), axes, scheme)
    return axes


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
    draw_layers(brightness_layers(state, arrangement), axes, scheme)
    return axes


def voltage_layers(state: PanelState, arrangement: Arrangement | None = None) -> PixelLayers:
    """Return what :func:`draw_voltage` draws.

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    """
    return PixelLayers(state, _seen(state, arrangement), Shown.VOLTAGE)


def brightness_layers(state: PanelState, arrangement: Arrangement | None = None) -> PixelLayers:
    """Return what :func:`draw_brightness` draws.

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    arrangement : Arrangement or None
        Where the pixels sit; None for one row for each section.
    """
    return PixelLayers(state, _seen(state, arrangement), Shown.LIGHT)


def _seen(state: PanelState, arrangement: Arrangement | None) -> Arrangement:
    return arrangement or Arrangement.of_rows(np.diff(state.section_starts).tolist())


class Shown(Enum):
    """What of each pixel is drawn."""

    VOLTAGE = "V"
    LIGHT = "%"

    def __init__(self, unit: str) -> None:
        self.unit = unit

    @property
    def words(self) -> str:
        """What it is, below the colour bar."""
        return _WORDS[self]

    def values(self, state: PanelState) -> FloatArray:
        """Of each pixel [unit].

        Parameters
        ----------
        state : PanelState
            The steady panel [SI].
        """
        return state.voltages if self is Shown.VOLTAGE else 100.0 * state.brightness

    def colours(self, palette: Palette) -> tuple[str, ...]:
        """From low to high.

        Parameters
        ----------
        palette : Palette
            Of the scheme.
        """
        return palette.volts if self is Shown.VOLTAGE else palette.light


_WORDS = {
    Shown.VOLTAGE: "supply voltage of the pixel [V]",
    Shown.LIGHT: "light against the best-fed pixel [%]",
}


@dataclass(frozen=True)
class PixelLayers:
    """One value of each pixel: the places and the colours' scale stand, what the pixels have moves.

    Attributes
    ----------
    state : PanelState
        The steady panel [SI].
    seen : Arrangement
        Where the pixels sit.
    shown : Shown
        What of them.
    """

    state: PanelState
    seen: Arrangement
    shown: Shown

    @cached_property
    def levels(self) -> FloatArray:
        """Bounds of the bands [unit]."""
        return band_levels(self.shown.values(self.state), LEAST_SPAN[self.shown.unit])

    @cached_property
    def _lowest(self) -> list[str]:
        """Of each section, in words."""
        parts = np.split(self.shown.values(self.state), self.state.section_starts[1:-1])
        return [self._said(part.min()) for part in parts]

    @property
    def laid_out_for(self) -> Hashable:
        """Places, and the room that words take beside them."""
        room = tuple(len(words) for words in self._lowest)
        return self.shown, self.seen, tuple(self.state.section_starts.tolist()), room

    @property
    def scaled_for(self) -> Hashable:
        """Bounds of the bands, and which pixels are named in the legend."""
        return tuple(self.levels.tolist()), self.state.best_pixel, self.state.worst_pixel

    @property
    def _complete(self) -> bool:
        """Whether every place has its pixel."""
        rows, columns = self.seen.shape
        return len(self.state.voltages) == rows * columns

    def _marks(self, axes: Axes, palette: Palette) -> list[PixelMark]:
        values = self.shown.values(self.state)[[self.state.best_pixel, self.state.worst_pixel]]
        return marks_of(self.state, [self._said(value) for value in values], palette, narrow=is_narrow(axes))

    def _is_square(self, axes: Axes) -> bool:
        """Whether pixels are drawn as high as wide; strips below each other are higher, a line of words each."""
        rows, columns = self.seen.shape
        named_beside = len(self.seen.order[0]) == 1 and len(self.seen.order) > 1
        high = self.seen.rows * width_of(axes) / columns  # of a section with square pixels [inch]
        return FLATTEST <= rows / columns <= TALLEST and not (named_beside and high < LINE)

    def lay_out(self, axes: Axes, scheme: Scheme) -> Sequence[Axes]:
        """Draw the places; returns their axes and those of the colour bar.

        Parameters
        ----------
        axes : Axes
            Empty axes.
        scheme : Scheme
            Light or dark.
        """
        palette, (rows, columns) = scheme.palette, self.seen.shape
        axes.set_facecolor(palette.sheet)
        # Places without a pixel show the hatch behind the image.
        axes.add_patch(
            Rectangle(
                (-0.5, -0.5), columns, rows, facecolor=palette.sheet, edgecolor=palette.ink_3, hatch="xxxx",
                linewidth=0.0, zorder=0,
            )
        )  # fmt: skip
        axes.set(xticks=[], yticks=[], aspect="equal" if self._is_square(axes) else "auto")
        axes.spines[:].set_visible(False)
        axes.set_xlim(-0.7, columns - 0.3)
        axes.set_ylim(rows - 0.3, -0.7)
        shape: dict[str, Any] = (
            {"shrink": 0.95, "aspect": 30, "pad": 0.06}
            if is_narrow(axes)
            else {"shrink": 0.7, "aspect": 45, "pad": 0.03}
        )
        bar, _ = make_axes(axes, orientation="horizontal", **shape)
        return axes, bar

    def scale(self, places: Sequence[Axes]) -> None:
        """Set nothing: the places stand, whatever the pixels have.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        """

    def furnish(self, places: Sequence[Axes], scheme: Scheme) -> None:
        """Draw the colours' scale, and the legend where it has no values.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """
        (axes, below), palette, ink = places, scheme.palette, scheme.palette.ink
        narrow = is_narrow(axes)
        below.clear()
        # On a narrow picture there is room for every other bound.
        ticks = self.levels[:: 2 if narrow and len(self.levels) > 5 else 1]
        bar = Colorbar(below, ScalarMappable(**self._colours(palette)), orientation="horizontal", ticks=ticks.tolist())
        below.tick_params(labelsize=8.5, colors=ink)
        bar.outline.set_edgecolor(palette.edge)
        words = f"{self.shown.words}; beside each section its lowest"
        bar.set_label(wrapped(axes, words, 9), fontsize=9, color=ink)
        for level in self.levels[1:-1]:
            below.axvline(level, color=ink, linewidth=0.8)
        if not narrow:
            add_legend(self._marks(axes, palette), axes, palette, complete=self._complete)

    def _colours(self, palette: Palette) -> dict[str, Any]:
        shades = LinearSegmentedColormap.from_list("panel", self.shown.colours(palette), N=256)
        return {"cmap": shades, "norm": BoundaryNorm(self.levels, 256)}

    def move(self, places: Sequence[Axes], scheme: Scheme) -> list[Artist]:
        """Draw the pixels, what is lowest of each section, the marks.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """
        axes, palette, state = places[0], scheme.palette, self.state
        values, at = self.shown.values(state), self.seen.places(np.diff(state.section_starts).tolist())
        grid = np.full(self.seen.shape, np.nan)
        grid[at[:, 0], at[:, 1]] = values
        image = axes.imshow(
            np.ma.masked_invalid(grid), interpolation="nearest", aspect=axes.get_aspect(), zorder=1,
            **self._colours(palette),
        )  # fmt: skip
        lines = _edges(np.digitize(grid, self.levels[1:-1]), np.isfinite(grid))
        bounds = axes.add_collection(LineCollection(lines, **EDGE_OF_BANDS), autolim=False)
        marks = self._marks(axes, palette)
        found = [image, bounds, *_frame(self.seen, len(self._lowest), axes, palette)]
        found += [*_name(self.seen, self._lowest, axes, palette), *draw_marks(marks, at, axes, palette)]
        if is_narrow(axes):  # there it has the values
            found.append(add_legend(marks, axes, palette, complete=self._complete))
        return found

    def _said(self, value: float) -> str:
        return value_words(float(value), self.levels, self.shown.unit)


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


def _frame(seen: Arrangement, sections: int, axes: Axes, palette: Palette) -> list[Artist]:
    """Frame the sections: first all in the page's colour, so that no frame hides its neighbour's dark line."""
    thin = max(len(seen.order), len(seen.order[0])) > THIN
    corners = [seen.corner(section) for section in range(sections)]
    outlines = [
        [(x - 0.5, y - 0.5), (x + seen.columns - 0.5, y - 0.5), (x + seen.columns - 0.5, y + seen.rows - 0.5),
         (x - 0.5, y + seen.rows - 0.5)]
        for y, x in corners
    ]  # fmt: skip
    return [
        axes.add_collection(
            PolyCollection(
                outlines, facecolors="none", edgecolors=colour, linewidths=width, joinstyle="miter", zorder=2
            ),
            autolim=False,
        )
        for colour, width in ((palette.sheet, 1.4 if thin else 3.2), (palette.ink, 0.5 if thin else 1.2))
    ]


def _name(seen: Arrangement, lowest: list[str], axes: Axes, palette: Palette) -> list[Artist]:
    """Name the sections with their lowest values: beside a single row or column of them, else inside."""
    sections, across, narrow = len(lowest), len(seen.order[0]), is_narrow(axes)
    word = "section " if sections <= (4 if narrow else 8) and not (narrow and across == 1) else ""
    look: dict[str, Any] = {"fontsize": 8.5, "color": palette.ink, "textcoords": "offset points"}
    if across == 1:
        beside = axes.get_yaxis_transform()
        return [
            axes.annotate(
                f"{word}{seen.order[k][0]}: {lowest[seen.order[k][0]]}", (0.0, (k + 0.5) * seen.rows - 0.5),
                (-AWAY, 0), xycoords=beside, ha="right", va="center_baseline", **look,
            )
            for k in range(0, sections, -(-sections // (MOST_NAMED_ROWS // 3 if narrow else MOST_NAMED_ROWS)))
        ]  # fmt: skip
    if len(seen.order) == 1:
        below, between = axes.get_xaxis_transform(), "\n" if sections > 4 or narrow else ": "
        return [
            axes.annotate(
                f"{word}{seen.order[0][k]}{between}{lowest[seen.order[0][k]]}", ((k + 0.5) * seen.columns - 0.5, 0.0),
                (0, -AWAY), xycoords=below, ha="center", va="top", **look,
            )
            for k in range(0, sections, -(-sections // (MOST_NAMED_COLUMNS // 2 if narrow else MOST_NAMED_COLUMNS)))
        ]  # fmt: skip
    # At the top and in the middle: feeds land in the middle, a chain begins and ends in a corner.
    box = label_look(palette) | {"linewidth": 0.5, "boxstyle": "square,pad=0.15"}
    found: list[Artist] = []
    for section in range(sections):
        row, column = seen.corner(section)
        name = f"{section}: {lowest[section]}" if across <= MOST_ACROSS_WITH_VALUES else str(section)
        place = (column + 0.5 * seen.columns - 0.5, row - 0.5)
        found.append(
            axes.text(*place, name, va="top", ha="center", fontsize=SMALL, color=palette.ink, zorder=4, bbox=box)
        )
    return found
