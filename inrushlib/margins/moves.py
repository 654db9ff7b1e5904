"""Keys of a build that can be moved, each alone, and the build packed for the compiled run at any value of one.

``movable_keys``   numbers that a start depends on
``Move``           one of them over its range

Most keys are one number of the record that the compiled run takes: those are put into a copy of it. What other values
follow from, and what makes up the panel's lumps, is packed anew.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.document import as_written
from inrushlib.errors import BuildError
from inrushlib.model import layout as at
from inrushlib.parts import TABLES
from inrushlib.parts.part import ValueKind
from inrushlib.startup import Packed, pack

FACTOR = 3.0  # either way, where no range is given
FROM_ZERO = 1e-3  # of a key's upper bound, for a value that is zero and has no other default
TRIALS = 12  # halvings of a range towards the own value, until a build may have it

_DESIGN = ("run", "tolerance")  # tables of what is chosen, not of what a part turns out to be
_KINDS = (ValueKind.NUMBER, ValueKind.LIST, ValueKind.GAUGE)

Range = tuple[float, float]


def movable_keys(build: Build) -> tuple[str, ...]:
    """Return the keys of a build that have a number, or several, which can be moved: no counts, choices, duties.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> keys = movable_keys(build)
    >>> "adapter.limit_current" in keys, "wiring.sections" in keys, "switch.on_resistance" in keys
    (True, False, False)
    """
    return tuple(
        key
        for key, info in build_keys().items()
        if info.kind in _KINDS and info.unit and info.table not in _DESIGN and _numbers(build, key)
    )


def _numbers(build: Build, key: str) -> tuple[float, ...]:
    """The numbers of a key; empty where it has none."""
    value = build.get(key)
    if isinstance(value, str) or value is None:
        return ()
    return tuple(map(float, value)) if isinstance(value, tuple) else (float(value),)


class Move:
    """One key of a build and the values that it is moved to.

    Parameters
    ----------
    build : Build
        The build, its lumps held.
    packed : Packed
        The same, packed.
    key : str
        One of its movable keys.
    ranges : mapping of str to (float, float)
        From and to [unit of the key], of keys whose range is known; others are moved by a factor of 3 either way
        within their bounds.

    Attributes
    ----------
    own : float
        The present value [unit of the key]; of a list the largest, and all entries keep their ratios.
    low, high : float
        The range [unit of the key], own within it; cut where a build cannot have more.
    """

    def __init__(self, build: Build, packed: Packed, key: str, ranges: Mapping[str, Range]) -> None:
        self.build, self.packed, self.key = build, packed, key
        self.entries = _numbers(build, key)
        self.own = max(self.entries)
        self._made: dict[float, Build] = {}
        low, high = _range(build, key, self.own, ranges)
        self.low, self.high = self._allowed(low), self._allowed(high)
        self._field = self._only_field()

    def values_at(self, value: float) -> Any:
        """The value of the key as a build takes it: a number, or a list in the ratios that it has.

        Parameters
        ----------
        value : float
            The number, or the largest of the list [unit of the key].
        """
        if build_keys()[self.key].kind is ValueKind.GAUGE:
            table, _, name = self.key.partition(".")
            return as_written(TABLES[table].about[name], value)
        if not isinstance(self.build.get(self.key), tuple):
            return value
        if self.own == 0.0:
            return [value] * len(self.entries)
        return [entry * (value / self.own) for entry in self.entries]

    def at(self, value: float) -> Packed:
        """The build with the key at a value, packed.

        Parameters
        ----------
        value : float
            Within the range [unit of the key].
        """
        if self._field is None:
            return pack(self._with(value))
        parts = self.packed.parts.copy()
        parts[self._field] = self.values_at(value)
        return Packed(parts, self.packed.lumps, self.packed.interruptions)

    def _with(self, value: float) -> Build:
        """The build with the key at a value; those at the ends of the range are asked for several times."""
        made = self._made.get(value)
        return self.build.with_values({self.key: self.values_at(value)}) if made is None else made

    def _allowed(self, value: float) -> float:
        """The value nearest to ``value`` that the build may have, as far as some halvings tell."""
        for _ in range(TRIALS):
            try:
                self._made[value] = self._with(value)
            except BuildError:
                value = 0.5 * (value + self.own)
            else:
                return value
        return self.own

    def _only_field(self) -> str | None:
        """The field of the record that is the key, where nothing else depends on it."""
        field = self.key.replace(".", "_")
        value = self.high if self.high > self.own else self.low
        if field not in (at.PARTS.names or ()) or value == self.own:
            return None
        moved = pack(self._with(value))
        put = self.packed.parts.copy()
        put[field] = self.values_at(value)
        same = moved.parts.tobytes() == put.tobytes() and np.array_equal(moved.lumps, self.packed.lumps)
        return field if same else None


def _range(build: Build, key: str, own: float, ranges: Mapping[str, Range]) -> Range:
    info = build_keys()[key]
    if key in ranges:
        low, high = ranges[key]
        return min(low, own), max(high, own)
    if own == 0.0:
        return 0.0, FROM_ZERO * info.high
    low, high = sorted((own / FACTOR, own * FACTOR))
    return max(low, info.low), min(high, info.high if math.isfinite(info.high) else high)
