"""The display from the front: sections in their place, the way of the data, where the feeds land.

``draw_tiles``   on empty axes that fill a figure of ``tiles_size`` [inch]; every text is ``TEXT`` points high
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from inrushlib.build import Build
from inrushlib.panel.arrangement import Arrangement
from inrushlib.startup.lumps import lanes_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDTH: Final = 7.4  # [inch]
HEIGHTS: Final = (0.9, 2.3)  # [inch], least and most
TEXT: Final = 8.5  # [pt]
EDGE: Final = 0.35  # [inch] around the sections
JOINT: Final = 0.06  # [inch] between sections
ROOM: Final = (0.30, 0.28)  # [inch] wide and high that a section has to be for its number
LETTER: Final = 0.078  # [inch], a letter of a label with some room
BARE: Final = {"facecolor": "white", "edgecolor": "none", "pad": 0.6}  # behind a number that an arrow passes
INK: Final = "black"
DATA: Final = "0.45"

Rectangle = tuple[float, float, float, float]  # left, bottom, width, height [inch]


def tiles_size(build: Build) -> tuple[float, float]:
    """Return width and height [inch] of a figure for the sections of a build.

    Parameters
    ----------
    build : Build
        The build [SI].

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> tiles_size(new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                       "wiring.pixels_per_section": 8}))[0]
    7.4
    """
    rows, columns = Arrangement.of_build(build).shape
    lines = len(Arrangement.of_build(build).order)
    height = max((WIDTH - 2 * EDGE) * rows / columns, (ROOM[1] + JOINT) * lines) + 2 * EDGE
    return WIDTH, min(max(height, HEIGHTS[0]), HEIGHTS[1])


def section_rectangles(build: Build) -> list[Rectangle]:
    """Return where each section is drawn [inch], in the order of the chain.

    Proportions are kept as far as the figure's shape allows; a single line of pixels is drawn as a band.

    Parameters
    ----------
    build : Build
        The build [SI].
    """
    order = Arrangement.of_build(build).order
    rows, columns = Arrangement.of_build(build).shape
    width, height = tiles_size(build)
    high = height - 2 * EDGE
    wide = width - 2 * EDGE
    if rows / columns > high / wide:  # taller than the figure: narrower, but wide enough for its numbers
        wide = min(wide, max(high * columns / rows, 3 * ROOM[0] * len(order[0])))
    each = (wide / len(order[0]), high / len(order))
    left = (width - wide) / 2
    found: dict[int, Rectangle] = {}
    for line, sections in enumerate(order):
        for place, section in enumerate(sections):
            bottom = height - EDGE - (line + 1) * each[1]
            gap = min(JOINT, 0.2 * min(each))
            found[section] = (
                left + place * each[0] + gap / 2, bottom + gap / 2, each[0] - gap, each[1] - gap
            )  # fmt: skip
    return [found[section] for section in range(len(found))]


def draw_tiles(build: Build, axes: Axes, labels: Mapping[int, str] | None = None) -> Axes:
    """Draw the sections of a build from the front, and return the axes.

    Parameters
    ----------
    build : Build
        The build [SI].
    axes : Axes
        Empty; filling a figure of ``tiles_size``.
    labels : mapping of int to str, or None
        What to say of the feed to each section [1]; left out where there is no room for one of them.
    """
    from matplotlib.patches import Rectangle as Box

    width, height = tiles_size(build)
    boxes = section_rectangles(build)
    for left, bottom, wide, high in boxes:
        axes.add_patch(Box((left, bottom), wide, high, fill=False, edgecolor=INK, linewidth=1.0))
    numbered = all(box[2] >= ROOM[0] and box[3] >= ROOM[1] for box in boxes)
    _data(build, axes, boxes)
    _feeds(build, axes, boxes, labels or {})
    if numbered:
        for section, (left, bottom, _, high) in enumerate(boxes):
            axes.text(
                left + 0.04,
                bottom + high - 0.03,
                f"{section}",
                ha="left",
                va="top",
                fontsize=TEXT,
                color=INK,
                bbox=BARE,
            )
    else:  # beside the first and the last line
        order = Arrangement.of_build(build).order
        for section in (order[0][0], order[-1][0]):
            left, bottom, _, high = boxes[section]
            axes.text(left - 0.04, bottom + high / 2, f"{section}", ha="right", va="center", fontsize=TEXT, color=INK)
    axes.set_xlim(0.0, width)
    axes.set_ylim(0.0, height)
    axes.set_aspect("equal")
    axes.axis("off")
    return axes


def _middle(box: Rectangle) -> tuple[float, float]:
    return box[0] + box[2] / 2, box[1] + box[3] * 0.35


def _data(build: Build, axes: Axes, boxes: list[Rectangle]) -> None:
    """Arrows from section to section; each data line begins with an open ring at its first section."""
    lanes = lanes_of(build.wiring.sections, build.wiring.lanes)
    style = {"arrowstyle": "-|>", "color": DATA, "lw": 1.1, "shrinkA": 2, "shrinkB": 2, "mutation_scale": 8}
    for section, box in enumerate(boxes):
        if section == 0 or lanes[section] != lanes[section - 1]:
            x, y = _middle(box)
            start = min(0.25, box[2] * 0.3)
            axes.annotate("", (x, y), (box[0] + box[2] / 2 - start - 0.05, y), arrowprops=style)
            axes.plot([x - start - 0.05], [y], "o", ms=5, mfc="white", mec=DATA, mew=1.2)
        if section + 1 < len(boxes) and lanes[section + 1] == lanes[section]:
            axes.annotate("", _middle(boxes[section + 1]), _middle(box), arrowprops=style)


def _feeds(build: Build, axes: Axes, boxes: list[Rectangle], labels: Mapping[int, str]) -> None:
    """A filled square where each feed lands in its section, and its wire where there is room to say it."""
    wiring = build.wiring
    bottom_line = Arrangement.of_build(build).order[-1]
    shown = all(boxes[section][2] >= LETTER * len(labels.get(section, "")) for section in wiring.feeds)
    for section, pixel in zip(wiring.feeds, wiring.feed_pixels, strict=True):
        left, bottom, wide, high = boxes[section]
        x = left + wide * min(max((pixel + 0.5) / wiring.pixels_per_section[section], 0.15), 0.85)
        y = bottom + high * 0.12
        axes.plot([x], [y], "s", ms=5.5, color=INK)
        if section in bottom_line:
            axes.plot([x, x], [y, bottom - 0.08], "-", color=INK, lw=2.0, solid_capstyle="butt")
            if shown:
                middle = left + wide / 2
                words = labels.get(section, "")
                axes.text(middle, bottom - 0.1, words, ha="center", va="top", fontsize=TEXT, color=INK)
