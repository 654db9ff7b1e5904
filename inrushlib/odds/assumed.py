"""Values that were assumed, and whether how a start ends hangs on them.

``assumed_values``  of a build, those that could change most first
``Assumed``         one of them
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.odds.draw import Draw
from inrushlib.odds.key_ranges import KeyRange, key_ranges
from inrushlib.parts import Origin
from inrushlib.startup import Headline, Verdict
from inrushlib.startup.pack_columns import PackedColumns
from inrushlib.startup.simulate import SCREEN_TOLERANCE, TOLERANCE, compiling
from inrushlib.startup.verdicts import run_columns

Codes = NDArray[np.int64]

PLACES: Final = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""Where along its range each value is tried, every other one kept [1]."""
AT_ONCE: Final = 16  # runs that a thread takes
GRADES: Final = np.array([Headline(verdict, "").grade for verdict in Verdict])


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
        Share of the tried values of its range that change how the start ends, every other value kept [1].
    turns_to : tuple of Verdict
        How it ends with those of the tried values that change it.
    """

    key: str
    value: Any
    low: float
    high: float
    flips: float
    turns_to: tuple[Verdict, ...]

    @property
    def matters(self) -> bool:
        """Whether some value of its range alone changes how the start ends."""
        return self.flips > 0


def assumed_values(build: Build, verdict: Verdict, *, workers: int | None = None) -> tuple[Assumed, ...]:
    """Return the values of a build that were assumed, those that could change most first.

    Each is tried at both ends of its range and at three values between, every other value kept. A change is one
    between starting at the first try, only after resets, and not; one way of failing for another is none.

    Parameters
    ----------
    build : Build
        Any build.
    verdict : Verdict
        How it starts.
    workers : int or None
        Threads [1]; None for one a processor.

    Raises
    ------
    BuildError
        Where a stated range is not right.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> any(found.key == "adapter.rated_current" for found in assumed_values(build, Verdict.BOOTS))
    False
    """
    ranges = [each for each in key_ranges(build) if each.origin is Origin.ASSUMED]
    codes = _tried(build, ranges, SCREEN_TOLERANCE, workers)
    if codes[0] != list(Verdict).index(verdict):  # so near an edge that the coarser runs are on its other side
        codes = _tried(build, ranges, TOLERANCE, workers)
    grade = Headline(verdict, "").grade
    found = []
    for i, each in enumerate(ranges):
        some = codes[1 + i * len(PLACES) : 1 + (i + 1) * len(PLACES)]
        done = some[some >= 0]
        turned = done[GRADES[done] != grade]
        found.append(
            Assumed(
                key=each.key,
                value=build.get(each.key),
                low=each.low,
                high=each.high,
                flips=len(turned) / len(PLACES),
                turns_to=tuple(list(Verdict)[code] for code in dict.fromkeys(turned.tolist())),
            )
        )
    return tuple(sorted(found, key=lambda each: -each.flips))


def _tried(build: Build, ranges: list[KeyRange], tolerance: float, workers: int | None) -> Codes:
    """Return the verdicts of the build as it is, then of each range's tried values."""
    pieces = list(Draw(build, ()).pack(np.empty((1, 0))))
    for each in ranges:
        pieces += Draw(build, (each,)).pack(PLACES[:, None])
    packed = PackedColumns(
        np.concatenate([piece.parts for piece in pieces]),
        np.concatenate([np.broadcast_to(piece.lumps, (len(piece.parts), *piece.lumps.shape[1:])) for piece in pieces]),
        pieces[0].interruptions,
    )

    def work(first: int) -> Codes:
        some = slice(first, first + AT_ONCE)
        return run_columns(
            PackedColumns(packed.parts[some], packed.lumps[some], packed.interruptions), tolerance=tolerance
        )[0]

    with compiling("verdicts"), ThreadPoolExecutor(workers or os.cpu_count() or 1) as pool:
        return np.concatenate(list(pool.map(work, range(0, len(packed.parts), AT_ONCE))))
