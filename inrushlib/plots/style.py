"""One look for all pictures: plain axes, round ends, units once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inrushlib.plots.scheme import Palette, Scheme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PRINT = Scheme.LIGHT.palette
NAME_LINE = 0.16  # [inch], of its name
QUARTERS = 4  # of a step between two ticks
FIGURES = 0.44  # [inch], room of an upright axis' figures such as "-12.5"
SMALL = 8.0  # [pt], of the smallest words: 11 pixels of a page whose inch has 100


def plain(axes: Axes, palette: Palette = _PRINT) -> Axes:
    """Give axes the common look: no box, a faint grid.

    Parameters
    ----------
    axes : Axes
        To change.
    palette : Palette
        Its colours.
    """
    axes.set_facecolor(palette.sheet)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(palette.edge)
    axes.tick_params(colors=palette.edge, labelcolor=palette.ink_2, labelsize=8)
    axes.grid(color=palette.line, linewidth=0.5)
    axes.set_axisbelow(True)
    return axes


def ceiling(value: float) -> float:
    """Return a round number above ``value`` for the end of an axis.

    Parameters
    ----------
    value : float
        Largest value to show [V or A]; 1 is returned for what is not above zero.

    Examples
    --------
    >>> ceiling(6.2), ceiling(12.7), ceiling(0.31)
    (8.0, 15.0, 0.4)
    """
    if not value > 0:
        return 1.0
    size = 10.0
    while size > value:
        size /= 10
    while size * 10 <= value:
        size *= 10
    return next(
        float(f"{step * size:.6g}") for step in (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0) if step * size >= value
    )


@dataclass(frozen=True)
class Ticks:
    """An upright axis that stays as it is while its data move a little.

    Attributes
    ----------
    low, high : float
        Its ends, whole quarters of the step between two ticks [V or A].
    ticks : tuple of float
        From low to high [V or A].
    """

    low: float
    high: float
    ticks: tuple[float, ...]

    def set(self, axes: Axes) -> None:
        """Give axes these ends and ticks.

        Parameters
        ----------
        axes : Axes
            To change.
        """
        axes.set_ylim(self.low, self.high)
        axes.set_yticks(self.ticks)


def round_ticks(low: float, high: float, most: int) -> Ticks:
    """Return round ends and ticks.

    Parameters
    ----------
    low, high : float
        Smallest and largest value to show [V or A]; room is made where they are the same.
    most : int
        Stretches between ticks [1], about as many as there is room for.

    Examples
    --------
    >>> found = round_ticks(-0.13, 3.71, 5)
    >>> found.low, found.high, found.ticks
    (-0.25, 3.75, (0.0, 1.0, 2.0, 3.0))
    """
    from matplotlib.ticker import MaxNLocator

    if not high > low:
        room = 0.1 * abs(low) or 0.1
        low, high = low - room, high + room
    found = MaxNLocator(nbins=most, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    step = float(found[1] - found[0])
    first, last = math.floor(QUARTERS * low / step), math.ceil(QUARTERS * high / step)
    whole = range(-(-first // QUARTERS), last // QUARTERS + 1)
    quarter = step / QUARTERS
    return Ticks(quarter * first, quarter * last, tuple(quarter * (QUARTERS * number) for number in whole))


def name_upright(axes: Axes, words: str, palette: Palette) -> None:
    """Name the upright axis, as far from it as its widest figures need, so that the layout does not hang on them.

    Parameters
    ----------
    axes : Axes
        To change.
    words : str
        What runs along it; a line or more.
    palette : Palette
        Its colours.
    """
    from matplotlib.patches import Rectangle
    from matplotlib.transforms import ScaledTranslation

    inches: Any = axes.figure.dpi_scale_trans
    axes.set_ylabel(words, fontsize=9, color=palette.ink)
    away = axes.transAxes + ScaledTranslation(-FIGURES, 0.0, inches)
    axes.yaxis.set_label_coords(0.0, 0.5, transform=away)
    # What is laid out instead of the axis: a strut as wide as its figures and its name.
    axes.yaxis.set_in_layout(False)
    width = FIGURES + NAME_LINE * len(words.splitlines())
    at_its_left: Any = axes.transAxes
    middle = inches + ScaledTranslation(0.0, 0.5, at_its_left)
    strut = Rectangle((-width, 0.0), width, 0.01, fill=False, linewidth=0.0, clip_on=False, transform=middle)
    axes.add_patch(strut)


def spread_apart(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return places moved as little as it takes to be ``gap`` apart, in the same order, between two ends.

    Parameters
    ----------
    places : sequence of float
        Wanted places [px].
    gap : float
        Least distance [px].
    low, high : float
        Ends [px]; where there is no room for all, the last ones go beyond ``high``.

    Examples
    --------
    >>> spread_apart([10.0, 12.0, 50.0], 10.0, 0.0, 100.0)
    [6.0, 16.0, 50.0]
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    # Groups that touch move as one, to the mean of what their members wanted.
    groups: list[list[int]] = []
    for index in order:
        groups.append([index])
        while len(groups) > 1 and _begin(groups[-2], places, gap, low, high) + gap * len(groups[-2]) > _begin(
            groups[-1], places, gap, low, high
        ):
            last = groups.pop()
            groups[-1] += last
    found = [0.0] * len(places)
    for group in groups:
        begin = _begin(group, places, gap, low, high)
        for rank, index in enumerate(group):
            found[index] = begin + gap * rank
    return found


def _begin(group: Sequence[int], places: Sequence[float], gap: float, low: float, high: float) -> float:
    mean = sum(places[index] for index in group) / len(group)
    return max(low, min(mean - 0.5 * gap * (len(group) - 1), high - gap * (len(group) - 1)))
