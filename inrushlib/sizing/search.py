"""Where along one value a build boots: scan first, then refine every edge.

``find_islands``  all stretches that boot, with their edges
``Island``        one of them

The verdict need not change only once along a value (trips and short-term allowances make islands),
so the whole range is scanned before any edge is bisected. An island narrower than the scan's step
can be missed; the step is part of the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.startup import Verdict, screen_many

Array = NDArray[np.float64]
Make = Callable[[float], Build]


@dataclass(frozen=True)
class Island:
    """A stretch of values that boots.

    Attributes
    ----------
    low, high : float
        The outermost values that were seen to boot.
    low_fails, high_fails : float or None
        The nearest values seen not to boot outside; None where the stretch reaches the end of the range.
    low_verdict, high_verdict : Verdict or None
        How it ends just outside.
    """

    low: float
    high: float
    low_fails: float | None
    high_fails: float | None
    low_verdict: Verdict | None
    high_verdict: Verdict | None


@dataclass(frozen=True)
class Islands:
    """All stretches that boot, from low to high, and how fine the scan was.

    Attributes
    ----------
    found : tuple of Island
        The stretches; empty where no scanned value boots.
    scanned : (n,) array
        Values of the first scan.
    verdicts : tuple of Verdict
        Their verdicts.
    runs : int
        Starts that were run in all.
    """

    found: tuple[Island, ...]
    scanned: Array
    verdicts: tuple[Verdict, ...]
    runs: int


@dataclass
class _Edge:
    """A boundary between a value that boots and one that does not."""

    boots: float
    fails: float
    verdict: Verdict


def find_islands(
    make: Make,
    values: Sequence[float] | Array,
    *,
    absolute: float = 0.0,
    relative: float = 0.002,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Islands:
    """Return the stretches of values for which ``make(value)`` boots at the first try.

    Parameters
    ----------
    make : callable
        Build for a value.
    values : sequence of float
        Scan, in rising order, at least one.
    absolute, relative : float
        An edge is done once both of its sides are within ``max(absolute, relative * value)``.
    progress, cancelled : callable or None
        As in :func:`inrushlib.startup.screen_many`.
    """
    scan = np.asarray(values, dtype=float)
    answers = screen_many([make(v) for v in scan], progress=progress, cancelled=cancelled)
    names = tuple(answers.verdict(i) for i in range(len(scan)))
    good = answers.boots
    islands: list[list[_Edge | None]] = []
    spans: list[tuple[float, float]] = []
    edges: list[_Edge] = []
    for first, last in _stretches(good):
        left = _Edge(scan[first], scan[first - 1], names[first - 1]) if first > 0 else None
        right = _Edge(scan[last], scan[last + 1], names[last + 1]) if last + 1 < len(scan) else None
        islands.append([left, right])
        spans.append((scan[first], scan[last]))
        edges += [edge for edge in (left, right) if edge is not None]
    runs = len(scan) + _refine(make, edges, absolute, relative, cancelled)
    found = tuple(_island(pair, span) for pair, span in zip(islands, spans, strict=True))
    return Islands(found, scan, names, runs)


def _stretches(good: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and last index of each run of True."""
    padded = np.concatenate(([False], good, [False])).astype(int)
    step = np.diff(padded)
    return list(zip(np.flatnonzero(step == 1), np.flatnonzero(step == -1) - 1, strict=True))


def _island(pair: list[_Edge | None], span: tuple[float, float]) -> Island:
    left, right = pair
    return Island(
        float(left.boots if left else span[0]),
        float(right.boots if right else span[1]),
        float(left.fails) if left else None,
        float(right.fails) if right else None,
        left.verdict if left else None,
        right.verdict if right else None,
    )


def _refine(
    make: Make, edges: list[_Edge], absolute: float, relative: float, cancelled: Callable[[], bool] | None
) -> int:
    """Narrow all edges together, three inner values a round; returns the number of starts run."""
    runs = 0
    while True:
        wide = [e for e in edges if abs(e.boots - e.fails) > max(absolute, relative * max(e.boots, e.fails))]
        if not wide:
            return runs
        points = [np.linspace(e.fails, e.boots, 5)[1:4] for e in wide]
        answers = screen_many([make(float(v)) for row in points for v in row], cancelled=cancelled)
        runs += 3 * len(wide)
        for i, edge in enumerate(wide):
            # From the side that boots outwards, so that the edge stays next to its island.
            for j in (2, 1, 0):
                value = float(points[i][j])
                if not answers.boots[3 * i + j]:
                    edge.fails, edge.verdict = value, answers.verdict(3 * i + j)
                    break
                edge.boots = value
