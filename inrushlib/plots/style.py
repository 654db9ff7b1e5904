"""One look for all pictures: line styles and fills that read in grey, plain axes."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any

from inrushlib.startup import State

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INK = "#1f2a33"
FAINT = "#8a949c"
GRID = "#d9dde0"
EDGE = "#5b656d"
LEVEL = "#3f464c"


class Line(StrEnum):
    """A line of a start-up picture; its value names it in the legend."""

    ADAPTER = "adapter"
    BUS = "bus"
    PANEL = "panel"
    LOWEST_SECTION = "lowest section"
    RESERVOIR = "reservoir"
    RAIL = "rail"
    GATE = "gate"
    LEAD_CURRENT = "lead current"
    MEASURED = "measured"


# Colour, line style and width of each curve: no two differ by colour alone.
CURVES: dict[Line, dict[str, Any]] = {
    Line.ADAPTER: {"color": "#7c8794", "linestyle": "-", "linewidth": 1.1},
    Line.BUS: {"color": "#14507a", "linestyle": "-", "linewidth": 1.9},
    Line.PANEL: {"color": "#c2571a", "linestyle": (0, (5, 1.5)), "linewidth": 1.5},
    Line.LOWEST_SECTION: {"color": "#c2571a", "linestyle": (0, (1, 1.2)), "linewidth": 1.6},
    Line.RESERVOIR: {"color": "#8a2d5b", "linestyle": (0, (3, 1.2, 1, 1.2, 1, 1.2)), "linewidth": 1.4},
    Line.RAIL: {"color": "#2b7a3d", "linestyle": (0, (7, 1.5, 1.5, 1.5)), "linewidth": 1.7},
    Line.GATE: {"color": "#6a5a8c", "linestyle": (0, (9, 3)), "linewidth": 1.2},
    Line.LEAD_CURRENT: {"color": "#14507a", "linestyle": "-", "linewidth": 1.9},
    Line.MEASURED: {"color": "#a9afb4", "linestyle": "-", "linewidth": 3.4},
}

# Fill and hatch of each state in the strip: from empty to full as more is going on.
STATES: dict[State, tuple[str, str]] = {
    State.OFF: ("#ffffff", ""),
    State.IDLE: ("#ffffff", ""),
    State.RESET: ("#ffffff", ".."),
    State.BOOT: ("#dfe6ea", "//"),
    State.RUN: ("#9fc4a8", ""),
    State.ON: ("#dfe6ea", ""),
    State.LIMITING: ("#f0c39a", "xx"),
    State.TRIPPED: ("#6b6f73", ""),
    State.NO_MAINS: ("#b9bdc1", "\\\\"),
    State.FIRST_FRAME: ("#7d97ab", ""),
    State.CONTENT: ("#9fc4a8", ""),
    State.POWER_ON_COLOUR: ("#f6df9c", "||"),
    State.PARTLY_WRITTEN: ("#cfd9c0", "//"),
    State.SHOWING_DATA: ("#9fc4a8", ""),
}
UNKNOWN_STATE = ("#7d97ab", "||")


def colours() -> list[str]:
    """Return every colour that a picture may use.

    Examples
    --------
    >>> INK in colours(), len(colours()) < 31
    (True, True)
    """
    lines = [style["color"] for style in CURVES.values()]
    fills = [fill for fill, _ in (*STATES.values(), UNKNOWN_STATE)]
    return list(dict.fromkeys(["#ffffff", INK, FAINT, GRID, EDGE, LEVEL, *lines, *fills]))


def plain(axes: Axes) -> Axes:
    """Give axes the common look: no box, a faint grid.

    Parameters
    ----------
    axes : Axes
        To change.
    """
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(FAINT)
    axes.tick_params(colors=INK, labelsize=9)
    axes.grid(color=GRID, linewidth=0.6)
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
