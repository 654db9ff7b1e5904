"""Yes/no maps: the verdict over two keys of a build.

``verdict_map``   verdicts on a grid, the boundary of what boots followed between its points
``VerdictMap``    the map

Not every point of the grid is run. Every fourth is; then every second; then all. At each of the two finer
levels a point is run where the coarser points around it disagree, and filled in with their verdict where
they all agree. Wherever a point that was run differs from one beside it that was filled in, that one is run
too, and so on. So a point beside a different verdict has always been run; what can be missed is a spot of
another verdict that lies wholly between four agreeing points of the coarsest grid. ``ran`` tells which
points were run.

Where it starts, what it overstresses is found likewise: on every fourth point, and on those between
fourths that do not agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.search.axis import Array, Axis, check_axes
from inrushlib.search.boundary import Followed, Points, follow
from inrushlib.search.islands import Asked, Flags, Progress, overstressed_in, which_boot
from inrushlib.startup import Overstress, Verdict, hold_lumps, screen_many

COARSEST = 4  # every so many points are run first
FINENESS = 1 / 8  # of a cell, to which the boundary is followed
UNKNOWN = -1
BOOTS = list(Verdict).index(Verdict.BOOTS)
STARTS = [number for number, verdict in enumerate(Verdict) if verdict.starts]

# Share of the work when each level and the boundary are done, for the progress.
_DONE_AT = (0.0, 0.3, 0.5, 0.75, 1.0)

Verdicts = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class VerdictMap:
    """The verdict over two keys of a build.

    Attributes
    ----------
    build : Build
        What was mapped.
    x, y : Axis
        The keys and their ranges.
    x_values, y_values : (nx,), (ny,) array
        Values [unit of the key, SI].
    verdicts : (ny, nx) array of int
        Places in :class:`~inrushlib.startup.Verdict`.
    ran : (ny, nx) array of bool
        Which points were run; the others have the verdict that all points around them share.
    boundaries : tuple of (n, 2) array
        Lines between what boots and what does not, x and y [units of the keys], found by bisection to
        ``fineness`` of the distance between neighbouring points.
    edge_areas : tuple of (n, 2) array
        What boots within each square of four neighbouring points that do not agree, as polygons, x and y [units of the
        keys].
    fineness : float
        As asked for [1]; along a key of whole numbers the line runs halfway instead.
    own : pair of float or None
        The build's own values [units of the keys]; None where it has none.
    overstressed : (ny, nx) array of bool
        Where it starts, but a part sees more than it stands: no answer, whatever the verdict.
    overstress : tuple of Overstress
        What is overstressed there, one for each part, the worst that was seen.
    notes : tuple of str
        What to know before reading the map.
    runs : int
        Starts run in all [1].
    """

    build: Build
    x: Axis
    y: Axis
    x_values: Array
    y_values: Array
    verdicts: Verdicts
    ran: Flags
    boundaries: tuple[Array, ...]
    edge_areas: tuple[Array, ...]
    fineness: float
    own: tuple[float, float] | None
    overstressed: Flags
    overstress: tuple[Overstress, ...]
    notes: tuple[str, ...]
    runs: int

    @property
    def good(self) -> Flags:
        """Where it boots at the first try and overstresses nothing, shape (ny, nx)."""
        found: Flags = self.boots & ~self.overstressed
        return found

    @property
    def boots(self) -> Flags:
        """Where it boots at the first try, whatever it does to its parts, shape (ny, nx)."""
        found: Flags = self.verdicts == BOOTS
        return found

    def verdict(self, row: int, column: int) -> Verdict:
        """Return the verdict at a point of the grid.

        Parameters
        ----------
        row, column : int
            Place of the y value, and of the x value [1], 0 for the first.
        """
        return list(Verdict)[int(self.verdicts[row, column])]


class _Grid:
    """The grid while it is being filled."""

    def __init__(self, build: Build, x: Axis, y: Axis, progress: Progress | None, cancelled: Asked | None) -> None:
        self.build, self.x, self.y = build, x, y
        self.x_values, self.y_values = x.values, y.values
        self.verdicts: Verdicts = np.full((len(self.y_values), len(self.x_values)), UNKNOWN)
        self.ran: Flags = np.zeros(self.verdicts.shape, dtype=bool)
        self.progress, self.cancelled = progress, cancelled
        self.runs = 0

    def at(self, column: float, row: float) -> Build:
        """The build at fractional places of the grid."""
        x, y = self.x.between(np.array(column)), self.y.between(np.array(row))
        return self.build.with_values({self.x.key: self.x.given(float(x)), self.y.key: self.y.given(float(y))})

    def tell(self, level: int, share: float) -> None:
        """Report that a share of a level is done."""
        if self.progress is not None:
            self.progress(_DONE_AT[level] + share * (_DONE_AT[level + 1] - _DONE_AT[level]))

    def run(self, rows: NDArray[np.intp], columns: NDArray[np.intp], level: int) -> None:
        """Run these points."""
        builds = [
            self.build.with_values({self.x.key: self.x.given(x), self.y.key: self.y.given(y)})
            for x, y in zip(self.x_values[columns], self.y_values[rows], strict=True)
        ]
        found = screen_many(builds, progress=lambda share: self.tell(level, share), cancelled=self.cancelled)
        self.verdicts[rows, columns] = found.verdicts
        self.ran[rows, columns] = True
        self.runs += len(builds)


def verdict_map(
    build: Build,
    x: Axis,
    y: Axis,
    *,
    fineness: float = FINENESS,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
) -> VerdictMap:
    """Return the verdict over two keys of a build.

    Each point is what the build file would give with these two values put in; what follows from them follows.

    Parameters
    ----------
    build : Build
        The build.
    x, y : Axis
        Two different keys of it.
    fineness : float
        To what part of the distance between neighbouring points the boundary is followed [1], above 0, up to 1.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked now and then; true stops the work.

    Raises
    ------
    UsageError
        For a key that is not there or has no number, an empty or reversed range, values out of bounds.
    SolverError
        Where a start hits a bound.
    inrushlib.startup.Cancelled
        Where the caller asked to stop.
    """
    build = hold_lumps(build)
    check_axes(build, x, y)
    if not 0 < fineness <= 1:
        raise UsageError(f"fineness: value {fineness:g}; accepted: above 0, up to 1 (of the distance between points)")
    grid = _Grid(build, x, y, progress, cancelled)
    _fill(grid)
    followed = _follow(grid, fineness)
    grid.tell(3, 1.0)
    overstressed, overstress, more = _overstressed(grid)

    def in_units(places: tuple[Array, ...]) -> tuple[Array, ...]:
        return tuple(np.column_stack((x.between(one[:, 0]), y.between(one[:, 1]))) for one in places)

    mine = (x.own(build), y.own(build))
    return VerdictMap(
        build=build,
        x=x,
        y=y,
        x_values=grid.x_values,
        y_values=grid.y_values,
        verdicts=grid.verdicts,
        ran=grid.ran,
        boundaries=in_units(followed.lines),
        edge_areas=in_units(followed.areas),
        fineness=fineness,
        own=None if mine[0] is None or mine[1] is None else (mine[0], mine[1]),
        overstressed=overstressed,
        overstress=overstress,
        notes=_notes(build, x, y),
        runs=grid.runs + followed.asked + more,
    )


def _overstressed(grid: _Grid) -> tuple[Flags, tuple[Overstress, ...], int]:
    """Return where it starts but overstresses a part, the worst of each part, and the starts run for it."""
    starts = np.isin(grid.verdicts, STARTS)
    rows, columns = (_places(count, COARSEST) for count in starts.shape)
    coarse = np.zeros_like(starts)
    coarse[np.ix_(rows, columns)] = True
    found: list[tuple[Overstress, ...]] = []
    asked: Flags = np.zeros_like(starts)
    flags: Flags = np.zeros_like(starts)

    def ask(points: Flags) -> None:
        places = np.argwhere(points & ~asked)
        answers = overstressed_in([grid.at(column, row) for row, column in places], grid.cancelled)
        found.extend(answers)
        for (row, column), parts in zip(places, answers, strict=True):
            flags[row, column] = bool(parts)
        asked[points] = True

    ask(starts & coarse)
    yes, no = (_near_coarse(asked & flags, rows, columns), _near_coarse(asked & ~flags, rows, columns))
    ask(starts & (yes == no))
    flags |= starts & ~asked & yes
    worst = {each.part: each for each in sorted((each for parts in found for each in parts), key=lambda e: e.seen)}
    return flags, tuple(worst.values()), int(asked.sum())


def _near_coarse(flags: Flags, rows: Points, columns: Points) -> Flags:
    """Return for every point whether one of the coarse points around it is flagged."""
    ny, nx = flags.shape
    near: Flags = np.zeros_like(flags)
    for r in (_coarse_at(rows, ny, "right") - 1, _coarse_at(rows, ny, "left")):
        for c in (_coarse_at(columns, nx, "right") - 1, _coarse_at(columns, nx, "left")):
            near |= flags[np.ix_(rows[r], columns[c])]
    return near


def _coarse_at(coarse: Points, count: int, side: Literal["left", "right"]) -> Points:
    """Return for every place the number of the coarse place at or after it, or one more than that at or before it."""
    return np.searchsorted(coarse, np.arange(count), side=side)


def _notes(build: Build, x: Axis, y: Axis) -> tuple[str, ...]:
    notes = []
    if "adapter.limit_current" in build.given and "adapter.rated_current" in (x.key, y.key):
        other = x.key if y.key == "adapter.rated_current" else y.key
        if other != "adapter.limit_current":
            notes.append(
                "adapter.rated_current alone changes nothing here: the build gives adapter.limit_current, which"
                " stays as it is"
            )
    return tuple(notes)


def _places(count: int, step: int) -> NDArray[np.intp]:
    """Return every so many places, and the last one."""
    return np.unique(np.append(np.arange(0, count, step), count - 1))


def _fill(grid: _Grid) -> None:
    """Run or fill in all points, from the coarsest grid to the finest."""
    ny, nx = grid.verdicts.shape
    rows, columns = _places(ny, COARSEST), _places(nx, COARSEST)
    grid.run(np.repeat(rows, len(columns)), np.tile(columns, len(rows)), 0)
    step, level = COARSEST, 1
    while step > 1:
        coarse_rows, coarse_columns = rows, columns
        step //= 2
        rows, columns = _places(ny, step), _places(nx, step)
        _fill_agreed(grid, coarse_rows, coarse_columns, rows, columns)
        _run_unknown(grid, rows, columns, level)
        while _doubt(grid, rows, columns):
            _run_unknown(grid, rows, columns, level)
        grid.tell(level, 1.0)
        level += 1


def _fill_agreed(grid: _Grid, coarse_rows: Points, coarse_columns: Points, rows: Points, columns: Points) -> None:
    """Fill in the new points that lie in blocks whose four corners agree."""
    corners = grid.verdicts[np.ix_(coarse_rows, coarse_columns)]
    agree = (
        (corners[:-1, :-1] == corners[1:, :-1])
        & (corners[:-1, :-1] == corners[:-1, 1:])
        & (corners[:-1, :-1] == corners[1:, 1:])
    )
    low_rows, high_rows = _blocks(coarse_rows, rows)
    low_columns, high_columns = _blocks(coarse_columns, columns)
    all_agree = np.ones((len(rows), len(columns)), dtype=bool)
    for r in (low_rows, high_rows):
        for c in (low_columns, high_columns):
            all_agree &= agree[np.ix_(r, c)]
    shared = corners[np.ix_(high_rows, high_columns)]
    now = grid.verdicts[np.ix_(rows, columns)]
    grid.verdicts[np.ix_(rows, columns)] = np.where((now == UNKNOWN) & all_agree, shared, now)


def _blocks(coarse: Points, fine: Points) -> tuple[Points, Points]:
    """Return the first and last block of the coarse grid that each fine place touches."""
    last = len(coarse) - 2
    low = np.maximum(np.searchsorted(coarse, fine, "left") - 1, 0)
    high = np.minimum(np.searchsorted(coarse, fine, "right") - 1, last)
    return low, high


def _run_unknown(grid: _Grid, rows: Points, columns: Points, level: int) -> None:
    r, c = np.nonzero(grid.verdicts[np.ix_(rows, columns)] == UNKNOWN)
    if len(r):
        grid.run(rows[r], columns[c], level)


def _doubt(grid: _Grid, rows: Points, columns: Points) -> bool:
    """Forget the filled-in points beside a different one that was run; returns whether there were any."""
    place = np.ix_(rows, columns)
    verdicts, ran = grid.verdicts[place], grid.ran[place]
    known = np.pad(np.where(ran, verdicts, UNKNOWN), 1, constant_values=UNKNOWN)
    doubtful = np.zeros(ran.shape, dtype=bool)
    for i in range(3):
        for j in range(3):
            beside = known[i : i + ran.shape[0], j : j + ran.shape[1]]
            doubtful |= ~ran & (beside != UNKNOWN) & (beside != verdicts)
    grid.verdicts[place] = np.where(doubtful, UNKNOWN, verdicts)
    return bool(doubtful.any())


def _follow(grid: _Grid, fineness: float) -> Followed:
    """Return the lines around what boots, as places of the grid."""

    def boots(points: Array) -> Flags:
        return which_boot([grid.at(column, row) for column, row in points], None, grid.cancelled)

    return follow(
        grid.verdicts == BOOTS, boots, fineness, (grid.x.whole, grid.y.whole), lambda share: grid.tell(3, share)
    )
