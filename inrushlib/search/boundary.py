"""The boundary of a yes/no map: followed between the points of a grid by bisection, joined to lines.

``follow``     lines between yes and no on a grid, and the areas of yes beside them
``Followed``   both

Between two neighbouring points of the grid that differ, the change is narrowed by bisection. Within each
square of four points the changes on its sides are joined; where all four sides have one, the middle of
the square is asked which pairs belong together. Places are (column, row), fractional.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Points = NDArray[np.intp]

Side = tuple[int, int, int]  # column, row of its first point; 0 along x, 1 along y
Square = tuple[int, int]  # column, row of its first point
Ask = Callable[[Array], Flags]


@dataclass(frozen=True)
class Followed:
    """Lines and areas in places of the grid, (column, row).

    Attributes
    ----------
    lines : tuple of (n, 2) array
        Between yes and no [1]; closed ones have their first place repeated.
    areas : tuple of (n, 2) array
        Yes within each square of four points that do not agree [1], one polygon or more, all in the same sense.
    asked : int
        Points asked [1].
    """

    lines: tuple[Array, ...]
    areas: tuple[Array, ...]
    asked: int


def follow(
    yes: Flags,
    ask: Ask,
    fineness: float,
    fixed: tuple[bool, bool] = (False, False),
    progress: Callable[[float], None] | None = None,
) -> Followed:
    """Return the lines between yes and no.

    Parameters
    ----------
    yes : (ny, nx) array of bool
        The grid.
    ask : callable
        From (n, 2) places to (n,) yes or no.
    fineness : float
        The change on a side is narrowed to this part of the side [1], above 0, up to 1; its middle is taken.
    fixed : pair of bool
        Whether there is nothing between the grid's points along x, along y; the change is then put halfway.
    progress : callable or None
        Called with the share of the rounds done.

    Examples
    --------
    >>> grid = np.array([[False, True], [False, True]])
    >>> found = follow(grid, lambda places: places[:, 0] > 0.3, 0.01)
    >>> found.lines[0].round(2).tolist(), found.asked
    ([[0.3, 0.0], [0.3, 1.0]], 14)
    """
    sides = _sides(yes)
    if not sides:
        return Followed((), (), 0)
    places, asked = _narrow(yes, sides, ask, fineness, fixed, progress)
    where = {side: places[i] for i, side in enumerate(sides)}
    squares, saddles = _squares(yes, where)
    joined = ask(np.array(saddles, dtype=float) + 0.5) if saddles else np.empty(0, dtype=bool)
    middle = dict(zip(saddles, (bool(each) for each in joined), strict=True))
    pieces = [piece for square in squares for piece in _pieces(yes, where, square, middle.get(square))]
    areas = [area for square in squares for area in _areas(yes, where, square, middle.get(square))]
    lines = tuple(np.array([where[side] for side in line]) for line in _join(pieces))
    return Followed(lines, tuple(areas), asked + len(saddles))


def _sides(yes: Flags) -> list[Side]:
    """Return the sides of the grid whose two points differ."""
    rows, columns = np.nonzero(yes[:, :-1] != yes[:, 1:])
    found = [(int(c), int(r), 0) for r, c in zip(rows, columns, strict=True)]
    rows, columns = np.nonzero(yes[:-1, :] != yes[1:, :])
    return found + [(int(c), int(r), 1) for r, c in zip(rows, columns, strict=True)]


def _narrow(
    yes: Flags,
    sides: list[Side],
    ask: Ask,
    fineness: float,
    fixed: tuple[bool, bool],
    progress: Callable[[float], None] | None,
) -> tuple[Array, int]:
    """Bisect all sides together; returns the places of the changes and how many points were asked."""
    start = np.array([side[:2] for side in sides], dtype=float)
    along = np.array([(side[2] == 0, side[2] == 1) for side in sides], dtype=float)
    first_yes = np.array([yes[r, c] for c, r, _ in sides])
    low, high = np.zeros(len(sides)), np.ones(len(sides))
    free = np.flatnonzero([not fixed[side[2]] for side in sides])
    rounds = max(0, math.ceil(math.log2(1.0 / fineness) - 1e-9)) if len(free) else 0
    for done in range(rounds):
        middle = 0.5 * (low[free] + high[free])
        same = ask(start[free] + middle[:, None] * along[free]) == first_yes[free]
        low[free] = np.where(same, middle, low[free])
        high[free] = np.where(same, high[free], middle)
        if progress is not None:
            progress((done + 1) / (rounds + 1))
    return start + 0.5 * (low + high)[:, None] * along, rounds * len(free)


def _squares(yes: Flags, where: dict[Side, Array]) -> tuple[list[Square], list[Square]]:
    """Return the squares that have a change on a side, and those that have one on each."""
    squares = {
        (c - dc, r - dr)
        for c, r, axis in where
        for dc, dr in (((0, 0), (0, 1)) if axis == 0 else ((0, 0), (1, 0)))
        if 0 <= c - dc < yes.shape[1] - 1 and 0 <= r - dr < yes.shape[0] - 1
    }
    saddles = [square for square in squares if all(side in where for side in _around(*square))]
    return sorted(squares), sorted(saddles)


def _pieces(yes: Flags, where: dict[Side, Array], square: Square, middle: bool | None) -> list[tuple[Side, Side]]:
    """Return the pairs of sides that are joined within a square."""
    bottom, right, top, left = _around(*square)
    if middle is None:
        one, other = [side for side in (bottom, right, top, left) if side in where]
        return [(one, other)]
    # The corner at the square's first point is cut off where the middle differs from it.
    if middle != bool(yes[square[1], square[0]]):
        return [(bottom, left), (top, right)]
    return [(bottom, right), (top, left)]


def _areas(yes: Flags, where: dict[Side, Array], square: Square, middle: bool | None) -> list[Array]:
    """Return the polygons of yes within a square."""
    c, r = square
    corners = ((c, r), (c + 1, r), (c + 1, r + 1), (c, r + 1))
    sides = _around(c, r)
    if middle is False:
        # Two corners apart: each with the changes on the sides that meet there.
        return [
            np.array([where[sides[i - 1]], corner, where[sides[i]]])
            for i, corner in enumerate(corners)
            if yes[corner[1], corner[0]]
        ]
    outline: list[Array] = []
    for corner, side in zip(corners, sides, strict=True):
        if yes[corner[1], corner[0]]:
            outline.append(np.array(corner, dtype=float))
        if side in where:
            outline.append(where[side])
    return [np.array(outline)]


def _around(c: int, r: int) -> tuple[Side, Side, Side, Side]:
    """Return the sides of a square: first row, last column, last row, first column."""
    return (c, r, 0), (c + 1, r, 1), (c, r + 1, 0), (c, r, 1)


def _join(pieces: list[tuple[Side, Side]]) -> list[list[Side]]:
    """Join pieces end to end, open lines first."""
    beside: dict[Side, list[Side]] = {}
    for a, b in pieces:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    ends = [side for side, others in beside.items() if len(others) == 1]
    lines = []
    for start in (*ends, *beside):
        if not beside[start]:
            continue
        line = [start]
        while beside[line[-1]]:
            following = beside[line[-1]].pop()
            beside[following].remove(line[-1])
            line.append(following)
        lines.append(line)
    return lines
