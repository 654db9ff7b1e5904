"""Values that were assumed, and whether how a start ends hangs on them.

``assumed_values``  of a build, those that could change most first
``Assumed``         one of them

What they could change is read off the nearest edges, so that both lists say the same and no run is made twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log
from typing import Any

from inrushlib.build import Build
from inrushlib.margins.edges import Edge, nearest_edges
from inrushlib.margins.reach import reach
from inrushlib.odds import KeyRange, is_assumed, key_ranges
from inrushlib.odds.key_ranges import Shape
from inrushlib.startup import Verdict


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """A value that was not given.

    Attributes
    ----------
    key : str
        Dotted.
    value : object
        What was assumed [unit of the key, SI].
    low, high : float
        What it may be [unit of the key, SI].
    flips : float
        Share of its range that lies beyond the nearest value that changes how the start ends, every other value
        kept [1].
    turns_to : Verdict or None
        How it ends there; None where no value of its range changes it.
    """

    key: str
    value: Any
    low: float
    high: float
    flips: float
    turns_to: Verdict | None

    @property
    def matters(self) -> bool:
        """Whether some value of its range alone changes how the start ends."""
        return self.turns_to is not None


def assumed_values(build: Build, edges: Iterable[Edge] | None = None) -> tuple[Assumed, ...]:
    """Return the values of a build that were assumed, those that could change most first.

    A change is one between starting at the first try, only after resets, and not; one way of failing for another is
    none.

    Parameters
    ----------
    build : Build
        Any build.
    edges : iterable of Edge or None
        Its nearest edges, of all its keys; None to look for them.

    Raises
    ------
    BuildError
        Where a stated range is not right.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> any(found.key == "adapter.rated_current" for found in assumed_values(build))
    False
    """
    at = {edge.key: edge for edge in (nearest_edges(build) if edges is None else edges)}
    found = [_assumed(build, each, at.get(each.key)) for each in key_ranges(build) if is_assumed(build, each.key)]
    return tuple(sorted(found, key=lambda each: -each.flips))


def _assumed(build: Build, known: KeyRange, edge: Edge | None) -> Assumed:
    turn = None if edge is None else edge.decides_at
    return Assumed(
        key=known.key,
        value=build.get(known.key),
        low=known.low,
        high=known.high,
        flips=0.0 if edge is None or turn is None else _beyond(known, edge.own, turn, *reach(build, known)),
        turns_to=None if edge is None else edge.decides,
    )


def _beyond(known: KeyRange, own: float, turn: float, low: float, high: float) -> float:
    """Share of the range from ``turn`` to the end on that side, in the measure in which it is spread."""
    if known.shape is Shape.BY_FACTOR:
        low, high, turn, own = log(low), log(high), log(turn), log(own)
    return (high - turn if turn > own else turn - low) / (high - low)
