"""From points of the unit cube to values of a build's keys, and to the compiled model's arrays.

``Draw``  what is drawn, one dimension a key or a group of keys

Values are drawn in the order of the format. Of two keys of which one has to be below the other, the later one is drawn
over the part of its range that the earlier one leaves, so that every point is a valid build. All entries of a list are
of one kind, and move together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.document import as_written
from inrushlib.model import layout as at
from inrushlib.odds.key_ranges import KeyRange, Shape
from inrushlib.odds.normal import at_share, share_below
from inrushlib.odds.orders import APART, above_of, below_of, follows
from inrushlib.odds.posterior import mixing_of
from inrushlib.parts import TABLES
from inrushlib.parts.ranges import From
from inrushlib.startup import hold_lumps, lump_counts
from inrushlib.startup.pack import pack
from inrushlib.startup.pack_columns import PackedColumns, pack_columns, takes_column

Array = NDArray[np.float64]

LEAST_SHARE = 1e-12
"""How near to its ends a point of a measured value may be [1]."""


class Draw:
    """What is drawn of a build.

    Parameters
    ----------
    build : Build
        The build whose values are spread.
    ranges : sequence of KeyRange
        Of the keys that are; all others keep their values.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.odds import Which, key_ranges
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8, "tolerance.bus.ceramic": {"relative": 0.5}})
    >>> draw = Draw(build, key_ranges(build, Which.STATED))
    >>> draw.columns(np.array([[0.25], [0.75]]))["bus.ceramic"].tolist()
    [7.5e-07, 1.25e-06]
    """

    def __init__(self, build: Build, ranges: Sequence[KeyRange]) -> None:
        self.build = hold_lumps(build)
        self.ranges = tuple(ranges)

    @cached_property
    def dimensions(self) -> tuple[str, ...]:
        """Names of what is drawn, in order: keys, and groups of keys."""
        return tuple(dict.fromkeys(each.dimension for each in self.ranges))

    def keys_of(self, dimension: str) -> tuple[str, ...]:
        """Return the dotted keys of a dimension.

        Parameters
        ----------
        dimension : str
            One of :attr:`dimensions`.
        """
        return tuple(each.key for each in self.ranges if each.dimension == dimension)

    @cached_property
    def units(self) -> tuple[tuple[str, ...], ...]:
        """Dimensions in order, those together that a capture tied."""
        units: list[list[str]] = []
        linked = {name: {name} for name in self.dimensions}
        for i, one in enumerate(self._measured):
            for j in np.flatnonzero(self._correlation[i]):
                linked[one].add(self._measured[j])
        for name in self.dimensions:
            touched = [unit for unit in units if any(each in linked[name] for each in unit)]
            units = [unit for unit in units if unit not in touched]
            units.append([*(each for unit in touched for each in unit), name])
        return tuple(map(tuple, units))

    @cached_property
    def _measured(self) -> tuple[str, ...]:
        return tuple(each.key for each in self.ranges if each.posterior is not None)

    @cached_property
    def _correlation(self) -> Array:
        return self.build.measured.correlation(self._measured)

    @cached_property
    def _mixing(self) -> Array | None:
        """From independent normal numbers to those of the measured keys; None where each stands alone."""
        alone = np.array_equal(self._correlation, np.eye(len(self._measured)))
        return None if alone else mixing_of(self._correlation)

    def tied(self, points: Array) -> Array:
        """Return independent points as points in which measured values go together as their capture said.

        Each column stays even from 0 to 1 (a Gaussian copula).

        Parameters
        ----------
        points : (n, d) array
            Independent points of the unit cube [1], a column for each of :attr:`dimensions`.

        Returns
        -------
        (n, d) array
            Points of the unit cube [1], for :meth:`columns` and all that follows.
        """
        if self._mixing is None:
            return points
        columns = [self.dimensions.index(key) for key in self._measured]
        tied = points.copy()
        normal = at_share(np.clip(points[:, columns], LEAST_SHARE, 1 - LEAST_SHARE))
        tied[:, columns] = share_below(normal @ self._mixing.T)
        return tied

    def columns(self, points: Array) -> dict[str, Array]:
        """Return values by dotted key: those drawn, and those that follow from them by default.

        Parameters
        ----------
        points : (n, d) array
            Points of the unit cube [1], a column for each of :attr:`dimensions`, as :meth:`tied` returns them.
        """
        place = {name: i for i, name in enumerate(self.dimensions)}
        ranges = {each.key: each for each in self.ranges}
        columns: dict[str, Array] = {}
        for table, part in TABLES.items():
            if getattr(self.build, table) is None:
                continue
            for name, about in part.about.items():
                key = f"{table}.{name}"
                base = self.build.get(key)
                if about.derive is not None and key not in self.build.given:
                    base = about.derive(_Values(self.build, table, columns))
                    if isinstance(base, tuple) and any(isinstance(entry, np.ndarray) for entry in base):
                        base = np.array(base).reshape(len(points), -1)
                if key in ranges:
                    each = ranges[key]
                    drawn = self._draw(each, points[:, place[each.dimension]], base, columns)
                    columns[key] = _whole(drawn, each) if about.kind.is_whole else drawn
                elif isinstance(base, np.ndarray):
                    columns[key] = base
        return columns

    def _draw(self, each: KeyRange, points: Array, base: Any, columns: Mapping[str, Array]) -> Array:
        """Return a key's values [SI] around ``base``, its value or values."""
        table, _, name = each.key.partition(".")
        about = TABLES[table].about[name]
        # A list is a row, one for all runs; a column has an entry a run.
        base = np.array(base, dtype=float, ndmin=2 if isinstance(base, tuple) else 1)
        ends = each.range.around(base)
        low, high = np.broadcast_arrays(np.maximum(ends[0], about.low), np.minimum(ends[1], about.high), base)[:2]
        u = points[:, None] if low.ndim == 2 else points
        floor = self._limits(below_of(each.key), columns, np.max) * (1 + APART)
        cap = self._limits(above_of(each.key), columns, np.min) * (1 - APART)
        high = np.maximum(np.minimum(high, cap), floor)
        low = np.minimum(np.maximum(low, floor), high)
        match each.shape:
            case Shape.EVEN:
                return np.asarray(low + u * (high - low))
            case Shape.BY_FACTOR:
                return np.asarray(low * (high / low) ** u)
            case Shape.MEASURED:
                assert each.posterior is not None
                first, last = each.posterior.share(low), each.posterior.share(high)
                return np.asarray(np.clip(each.posterior.at(first + u * (last - first)), low, high))
        sigma = (each.range.high - each.range.low) / 6
        first, last = share_below((low - base) / sigma), share_below((high - base) / sigma)
        return np.asarray(np.clip(base + sigma * at_share(first + u * (last - first)), low, high))

    def _limits(self, keys: Sequence[str], columns: Mapping[str, Array], worst: Any) -> Any:
        """Return what a value has to stay on one side of: other keys that are drawn already, or are not drawn."""
        later = {each.key for each in self.ranges} - set(columns)
        found = [
            columns.get(key, self.build.get(key))
            for key in keys
            if key not in later and (key in columns or not follows(self.build, key))
        ]
        found = [value for value in found if value is not None]
        if not found:
            return -np.inf if worst is np.max else np.inf
        return worst(np.broadcast_arrays(*map(np.asarray, found)), axis=0)

    def pack(self, points: Array) -> list[PackedColumns]:
        """Return points as the compiled model takes them, in their order, in one piece or several.

        Parameters
        ----------
        points : (n, d) array
            Points of the unit cube [1].
        """
        if all(takes_column(each.key) for each in self.ranges):
            columns = self.columns(points)
            if not columns:
                columns = {"run.duration": np.full(len(points), self.build.run.duration)}
            return [pack_columns(self.build, columns)]
        packed = [pack(self.at(point)) for point in points]
        return [
            PackedColumns(np.array([each.parts], at.PARTS), each.lumps[None], each.interruptions) for each in packed
        ]

    def values(self, point: Array) -> dict[str, Any]:
        """Return the values of the drawn keys at one point, as a build takes them [SI].

        Parameters
        ----------
        point : (d,) array
            A point of the unit cube [1].
        """
        columns = self.columns(point[None, :])
        found: dict[str, Any] = {}
        for each in self.ranges:
            value = columns[each.key][0].tolist()
            table, _, name = each.key.partition(".")
            whole = TABLES[table].about[name].kind.is_whole
            found[each.key] = _int(value) if whole else value
        return found

    def at(self, point: Array) -> Build:
        """Return the build at one point.

        Parameters
        ----------
        point : (d,) array
            A point of the unit cube [1].
        """
        given = {}
        for key, value in self.values(point).items():
            table, _, name = key.partition(".")
            given[key] = as_written(TABLES[table].about[name], value)
        return self.build.with_values(given)

    def saved(self, point: Array) -> Build:
        """Return the build at one point so that a file of it starts the same: with its lumps written down.

        Parameters
        ----------
        point : (d,) array
            A point of the unit cube [1].
        """
        build = self.at(point)
        held = lump_counts(build)
        if held == lump_counts(build.with_lumps_held(None)):
            return build
        return build.with_values({"wiring.lumps": list(held)})


class _Values(Mapping[str, Any]):
    """A part's values as a default that follows from them sees them: columns where there are some."""

    def __init__(self, build: Build, table: str, columns: Mapping[str, Array]) -> None:
        self._build, self._table, self._columns = build, table, columns

    def __getitem__(self, name: str) -> Any:
        key = f"{self._table}.{name}"
        return self._columns[key] if key in self._columns else self._build.get(key)

    def __iter__(self) -> Any:
        return iter(TABLES[self._table].about)

    def __len__(self) -> int:
        return len(TABLES[self._table].about)


def _whole(drawn: Array, each: KeyRange) -> Array:
    # Half a unit beyond each end, so that the ends are as likely as what lies between.
    if each.range.counted is From.ZERO and each.high > each.low:
        share = (drawn - each.low) / (each.high - each.low)
        return np.asarray(np.minimum(np.floor(each.low + share * (each.high - each.low + 1)), each.high))
    return np.rint(drawn)


def _int(value: Any) -> Any:
    return [int(entry) for entry in value] if isinstance(value, list) else int(value)
