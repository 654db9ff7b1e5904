"""One look for all pictures: line styles that read in grey, plain axes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INK = "#1f2a33"
FAINT = "#8a949c"
LEVEL = "#9b4a1a"

# Colour, line style and width of each curve: no two differ by colour alone.
CURVES: dict[str, dict[str, Any]] = {
    "bus": {"color": "#14507a", "linestyle": "-", "linewidth": 1.8},
    "panel": {"color": "#c2571a", "linestyle": (0, (5, 1.5)), "linewidth": 1.5},
    "lowest section": {"color": "#c2571a", "linestyle": (0, (1, 1.2)), "linewidth": 1.5},
    "rail": {"color": "#2b7a3d", "linestyle": (0, (7, 1.5, 1.5, 1.5)), "linewidth": 1.6},
    "gate": {"color": "#6a5a8c", "linestyle": (0, (3, 1, 1, 1, 1, 1)), "linewidth": 1.2},
    "lead current": {"color": "#14507a", "linestyle": "-", "linewidth": 1.8},
    "measured": {"color": "#555555", "linestyle": "-", "linewidth": 0.7},
}

# Fill and hatch of each state in the strip: from empty to full as more is going on.
STATES: dict[str, tuple[str, str]] = {
    "off": ("#ffffff", ""),
    "idle": ("#ffffff", ""),
    "reset": ("#ffffff", ".."),
    "boot": ("#dfe6ea", "//"),
    "run": ("#9fc4a8", ""),
    "on": ("#dfe6ea", ""),
    "limiting": ("#f0c39a", "xx"),
    "tripped": ("#6b6f73", ""),
    "no mains": ("#b9bdc1", "\\\\"),
    "first frame": ("#7d97ab", ""),
    "content": ("#9fc4a8", ""),
    "power-on colour": ("#f6df9c", "||"),
    "partly written": ("#cfd9c0", "//"),
    "showing data": ("#9fc4a8", ""),
}


def plain(axes: Axes) -> Axes:
    """Give axes the common look: no box, a faint grid."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(FAINT)
    axes.tick_params(colors=INK, labelsize=9)
    axes.grid(color="#d9dde0", linewidth=0.6)
    axes.set_axisbelow(True)
    return axes


def ceiling(value: float) -> float:
    """Return a round number above ``value`` for the end of an axis.

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
