"""The ranges that the values of a build may have: measured, stated in its file, or typical of the trade.

``key_ranges``  of all keys, or of those that ``[tolerance]`` names
``KeyRange``    one key's
``is_assumed``  whether a key's value is a guess
``Which``, ``Shape``
                which keys are taken, and how values are spread over a range
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError
from inrushlib.measurements import Measurement
from inrushlib.odds.active import idle_keys
from inrushlib.odds.orders import APART, above_of, below_of, follows
from inrushlib.odds.posterior import CUT, Posterior, posterior_of
from inrushlib.parts import TABLES, KeyInfo, Origin, Range, Spread
from inrushlib.parts.ranges import From
from inrushlib.parts.tables import written
from inrushlib.quantities import shown

WIDE: Final = 4.0
"""A typical range over this factor or more is spread evenly by factor [1]."""


class Which(StrEnum):
    """Which keys are spread."""

    ALL = "all"
    STATED = "stated"


class Shape(StrEnum):
    """How values are spread over a range."""

    EVEN = "even"
    BY_FACTOR = "by factor"
    NORMAL = "normal"
    MEASURED = "measured"


@dataclass(frozen=True, kw_only=True)
class KeyRange:
    """The range of one key.

    Attributes
    ----------
    key : str
        Dotted.
    origin : Origin
        Where its value comes from.
    stated : bool
        Whether ``[tolerance]`` says the range.
    range : Range
        Its ends, and what they are counted from [unit of the key, or 1].
    shape : Shape
        How values are spread over it.
    group : str
        Keys of one group are high together and low together; empty for a key of its own.
    low, high : float
        Its ends around the build's value, for a list those of all entries [unit of the key, SI].
    posterior : Posterior or None
        What a measurement left of the doubt; None where there was none.
    """

    key: str
    origin: Origin
    stated: bool
    range: Range
    shape: Shape
    group: str
    low: float
    high: float
    posterior: Posterior | None = None

    @property
    def is_said(self) -> bool:
        """Whether the file or a measurement says the range, so that a build has to have room for it."""
        return self.stated or self.posterior is not None

    @property
    def dimension(self) -> str:
        """Name of what is drawn: the group, or the key."""
        return self.group or self.key


def key_ranges(build: Build, which: Which = Which.ALL) -> tuple[KeyRange, ...]:
    """Return the ranges of a build's keys, in the order of the format.

    Parameters
    ----------
    build : Build
        Any build.
    which : Which
        All keys that can change how it starts, or only those that ``[tolerance]`` names or that were measured.

    Returns
    -------
    tuple of KeyRange
        None for a key that is chosen, counted or read off. What :attr:`Build.measured` tells takes the place of any
        other range.

    Raises
    ------
    BuildError
        With every stated range that leaves the key's bounds, or leaves no room for another key beside it.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8, "tolerance.bus.ceramic": {"relative": 0.1}})
    >>> [(found.key, found.shape.value) for found in key_ranges(build, Which.STATED)]
    [('bus.ceramic', 'even')]
    """
    stated = {spread.key: spread for spread in build.spreads()}
    idle = idle_keys(build)
    found: list[KeyRange] = []
    problems: list[str] = []
    measured = build.measured.newest()
    for key, info in build_keys().items():
        value, row = build.get(key), measured.get(key)
        live = key not in idle and bool(info.table) and value not in (None, ())
        told = live and _is_told(row)
        own: list[KeyRange] = []
        if key in stated:
            own = [_stated(build, key, value, stated[key])]
            problems += _outside(own[0], info)
        elif live and (which is Which.ALL or told):
            own = _typical(build, key, value, info)
        if told and row is not None:
            own = _measured(own, row, info)
        found += own
    problems += _no_room(build, found)
    if problems:
        raise BuildError(problems, build.title)
    return tuple(found)


def _stated(build: Build, key: str, value: Any, spread: Spread) -> KeyRange:
    shape = Shape.EVEN
    if spread.relative is not None:
        ends = Range(1 - spread.relative, 1 + spread.relative, From.VALUE)
    elif spread.sigma is not None:
        ends, shape = Range(-CUT * spread.sigma, CUT * spread.sigma, From.OFFSET), Shape.NORMAL
    else:
        assert spread.low is not None
        assert spread.high is not None
        ends = Range(spread.low, spread.high, From.ZERO)
    low, high = _around(ends, value)
    return KeyRange(
        key=key, origin=build.origin(key), stated=True, range=ends, shape=shape, group=spread.group, low=low, high=high
    )


def _is_told(row: Measurement | None) -> bool:
    """Whether a measurement says how far the value may be off; else it is taken as one that was given."""
    return row is not None and not (row.low is None and row.high is None)


def _measured(own: list[KeyRange], row: Measurement, info: KeyInfo) -> list[KeyRange]:
    """Return what a measurement that told a side left of a key's own range."""
    low, high = (own[0].low, own[0].high) if own else (row.value, row.value)
    known = posterior_of(row, low, high, by_factor=bool(own) and own[0].shape is Shape.BY_FACTOR)
    if known is None:
        return []
    ends = Range(max(known.below.end, info.low), min(known.above.end, info.high), From.ZERO)
    return [
        KeyRange(
            key=row.key, origin=Origin.MEASURED, stated=False, range=ends, shape=Shape.MEASURED, group="", low=ends.low,
            high=ends.high, posterior=known,
        )
    ]  # fmt: skip


def _typical(build: Build, key: str, value: Any, info: KeyInfo) -> list[KeyRange]:
    ends = _typical_range(build, key, info)
    if ends is None:
        return []
    low, high = (min(max(end, info.low), info.high) for end in _around(ends, value))
    if not low < high:
        return []  # zero that was given: there is none
    shape = Shape.BY_FACTOR if low > 0 and high >= WIDE * low else Shape.EVEN
    origin = build.origin(key)
    return [KeyRange(key=key, origin=origin, stated=False, range=ends, shape=shape, group="", low=low, high=high)]


def _typical_range(build: Build, key: str, info: KeyInfo) -> Range | None:
    """The range of the key's class, of a guess at the part, or of how parts scatter."""
    of_class = build.class_range(key)
    if of_class is not None:
        return Range(*of_class, From.ZERO)
    known = TABLES[info.table].typical.get(info.key)
    if known is None:
        return None
    return known.unknown if is_assumed(build, key) else known.scatter


def is_assumed(build: Build, key: str) -> bool:
    """Say whether the value of a dotted key is a guess: neither given, nor of a class, nor worked out from such.

    Parameters
    ----------
    build : Build
        Any build.
    key : str
        Dotted.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 2,
    ...                    "wiring.pixels_per_section": 8, "wiring.hop_length": 0.1, "wiring.hop_gauge": "22 AWG"})
    >>> is_assumed(build, "wiring.hop_resistance"), is_assumed(build, "wiring.feed_resistance")
    (False, True)
    """
    if build.origin(key) is not Origin.ASSUMED:
        return False
    table, _, name = key.partition(".")
    known = TABLES[table].typical.get(name) if table else None
    if known is None or not known.follows:
        return True
    return any(build.origin(f"{table}.{each}") is Origin.ASSUMED for each in known.follows)


def _around(ends: Range, value: Any) -> tuple[float, float]:
    entries = value if isinstance(value, tuple) else (value,)
    pairs = [ends.around(float(entry)) for entry in entries]
    return min(low for low, _ in pairs), max(high for _, high in pairs)


def _outside(found: KeyRange, info: KeyInfo) -> list[str]:
    """Return what is wrong with a stated range by the bounds of its key."""
    below = found.low < info.low or (found.low == info.low and not info.low_included)
    wrong = [end for end, bad in ((found.low, below), (found.high, found.high > info.high)) if bad]
    about = TABLES[info.table].about[info.key]
    return [
        f'tolerance."{found.key}": its range reaches {_written(about, end)}; accepted: {info.bounds}' for end in wrong
    ]


def _no_room(build: Build, found: list[KeyRange]) -> list[str]:
    """Return which stated ranges leave no value for a key that has to be above or below."""
    ranges = {each.key: each for each in found}
    problems = []
    for each in found:
        if not each.is_said:
            continue
        name = f"measured {each.key}" if each.posterior else f'tolerance."{each.key}"'
        about = _about(each.key)
        for other in above_of(each.key):
            top = ranges[other].low if other in ranges and ranges[other].is_said else build.get(other)
            if top is not None and not _follows(build, other, ranges) and each.low >= top * (1 - APART):
                problems.append(
                    f"{name}: low {_written(about, each.low)}; accepted: below {other}, {_written(about, top)}"
                )
        for other in below_of(each.key):
            # Drawn the other way round where the other is stated too: it has been said of that one.
            least = build.get(other)
            if (other in ranges and ranges[other].is_said) or least is None or _follows(build, other, ranges):
                continue
            if each.high <= least * (1 + APART):
                problems.append(
                    f"{name}: high {_written(about, each.high)}; accepted: above {other}, {_written(about, least)}"
                )
    return problems


def _follows(build: Build, key: str, ranges: dict[str, KeyRange]) -> bool:
    return follows(build, key) and not (key in ranges and ranges[key].is_said)


def _about(key: str) -> Any:
    table, _, name = key.partition(".")
    return TABLES[table].about[name]


def _written(about: Any, value: float) -> str:
    if not math.isfinite(value):
        return shown(value)
    return f"{value:g}" if about.kind.is_whole else written(about, value)
