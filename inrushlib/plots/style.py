"""One look for all pictures: plain axes, round ends, units once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inrushlib.plots.scheme import Palette, Scheme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PRINT = Scheme.LIGHT.palette
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
