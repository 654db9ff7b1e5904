"""One axis of a map: a numeric key of a build over a range.

``Axis``          key, range, number of values, linear or logarithmic
``check_axes``    whether a build can be mapped over two of them, with one message where it cannot
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError, UsageError
from inrushlib.parts.part import KeySpec, Refused, ValueKind
from inrushlib.parts.problems import unknown_key
from inrushlib.parts.tables import TABLES
from inrushlib.quantities import format_quantity, shown

Array = NDArray[np.float64]
MOST_VALUES = 500


@dataclass(frozen=True)
class Axis:
    """A numeric key of a build over a range.

    Parameters
    ----------
    key : str
        Dotted key of one number, or of a list that may be given as one number for all.
    low, high : float
        First and last value [unit of the key, SI]; ``low`` below ``high``, above zero where ``log``.
    count : int
        Values [1], 2 to 500. Of a key of whole numbers there are fewer where the range has fewer.
    log : bool
        Whether the values are evenly spaced by factor instead of by difference.

    Examples
    --------
    >>> Axis("bus.bulk", 1e-4, 1e-2, 3, log=True).values
    array([0.0001, 0.001 , 0.01  ])
    """

    key: str
    low: float
    high: float
    count: int = 60
    log: bool = False

    @property
    def unit(self) -> str:
        """Unit of the key, SI; empty for a pure number."""
        return build_keys()[self.key].unit

    @property
    def whole(self) -> bool:
        """Whether the key takes whole numbers only."""
        return build_keys()[self.key].kind.is_whole

    @property
    def values(self) -> Array:
        """Values [unit of the key], rising."""
        spaced = np.geomspace if self.log else np.linspace
        values = spaced(float(self.low), float(self.high), self.count)
        return np.unique(np.round(values)) if self.whole else values

    def between(self, place: Array) -> Array:
        """Values [unit of the key] at fractional places among :attr:`values`.

        Parameters
        ----------
        place : array
            Places [1], 0 for the first value; beyond the ends the end's value is returned.
        """
        values = self.values
        if not self.log:
            return np.interp(place, np.arange(len(values)), values)
        result: Array = np.exp(np.interp(place, np.arange(len(values)), np.log(values)))
        return result

    def given(self, value: float) -> float | int:
        """A value as a build takes it.

        Parameters
        ----------
        value : float
            Value of the key [unit of the key]; rounded where the key takes whole numbers only.
        """
        return round(value) if self.whole else float(value)

    def own(self, build: Build) -> float | None:
        """Return the build's own value; None where it has none, or a list of different ones.

        Parameters
        ----------
        build : Build
            Build whose value of the key is asked for.
        """
        value = build.get(self.key)
        if isinstance(value, tuple):
            value = value[0] if len(set(value)) == 1 else None
        return None if value is None else float(value)


def check_axes(build: Build, *axes: Axis) -> None:
    """Raise one message where a build cannot be mapped over these axes.

    Parameters
    ----------
    build : Build
        The build.
    *axes : Axis
        One or more.

    Raises
    ------
    UsageError
        Naming key, value and what is accepted.
    """
    for axis in axes:
        _check(build, axis)
    keys = [axis.key for axis in axes]
    if len(set(keys)) < len(keys):
        raise UsageError(f"{keys[0]}: on both axes; accepted: two different keys", build.title)
    _check_corners(build, axes)


def _check(build: Build, axis: Axis) -> None:
    if axis.key not in build_keys():
        raise UsageError(unknown_key(axis.key) if isinstance(axis.key, str) else f"{shown(axis.key)}: unknown key")
    table, _, name = axis.key.rpartition(".")
    about = TABLES[table].about[name] if table else None
    if about is None or about.instead or not (about.kind in (ValueKind.NUMBER, ValueKind.COUNT) or about.one_for_all):
        raise UsageError(f"{axis.key}: no number; accepted: a key of one number, such as adapter.rated_current")
    if getattr(build, table) is None:
        raise UsageError(f"{axis.key}: the build has no [{table}] table; accepted: keys of what it has", build.title)
    if isinstance(axis.count, bool) or not isinstance(axis.count, int) or not 2 <= axis.count <= MOST_VALUES:
        raise UsageError(f"{axis.key}: {shown(axis.count)} values; accepted: 2 to {MOST_VALUES}, whole")
    for value in (axis.low, axis.high):
        _check_value(axis, about, value)
    if not axis.low < axis.high:
        low, high = (format_quantity(float(v), about.unit) for v in (axis.low, axis.high))
        raise UsageError(f"{axis.key}: range {low} to {high}; accepted: a first value below the last")
    if axis.log and axis.low <= 0:
        low = format_quantity(float(axis.low), about.unit)
        raise UsageError(f"{axis.key}: range from {low}, by factors; accepted: a first value above zero")


def _check_value(axis: Axis, about: KeySpec, value: Any) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float | np.number) or not math.isfinite(value):
        raise UsageError(f"{axis.key}: value {shown(value)}; accepted: a number in SI, {about.bounds()}")
    try:
        about.convert_one(float(value))
    except Refused as refused:
        text = format_quantity(float(value), about.unit)
        raise UsageError(f"{axis.key}: value {text}; accepted: {refused.accepted}") from None


def _check_corners(build: Build, axes: tuple[Axis, ...]) -> None:
    """Raise where a corner of the range does not go with the build's other values."""
    corners: list[dict[str, float]] = [{}]
    for axis in axes:
        corners = [corner | {axis.key: axis.given(v)} for corner in corners for v in (axis.values[0], axis.values[-1])]
    for corner in corners:
        try:
            build.with_values(corner)
        except BuildError as error:
            where = " and ".join(f"{key} at {format_quantity(v, build_keys()[key].unit)}" for key, v in corner.items())
            raise UsageError(f"{error.problems[0]} (with {where})", build.title) from None
