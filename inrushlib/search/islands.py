"""Where along one value a build boots: scan first, then refine every edge.

``find_islands``  all stretches that boot, with their edges
``Island``        one of them
``which_boot``    the question that a search asks of many builds
``overstressed_in``
                  what each of many builds overstresses

The verdict need not change only once along a value (trips and short-term allowances make islands),
so the whole range is scanned before any edge is narrowed. An island narrower than the scan's step
can be missed; the step is part of the answer.

A start that has browned out or tripped once can no longer boot at the first try: it is not run any further.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import stop_where
from inrushlib.startup import Overstress, Verdict, over_voltages, screen_many, simulate

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Make = Callable[[float], Build]
Progress = Callable[[float], None]
Asked = Callable[[], bool]

INNER = 2  # values tried inside an edge in one round; one for each of two processors


@dataclass(frozen=True, kw_only=True)
class Island:
    """A stretch of values that boots.

    Attributes
    ----------
    low, high : float
        The outermost values that were seen to boot [unit of the values scanned].
    low_fails, high_fails : float or None
        The nearest values seen not to boot outside [the same]; None where the stretch reaches the end of the range.
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
    """All stretches that boot, from low to high.

    Attributes
    ----------
    found : tuple of Island
        The stretches; empty where no scanned value boots.
    boots : (n,) array of bool
        Which of the scanned values boot at the first try.
    runs : int
        Starts that were run in all [1].
    """

    found: tuple[Island, ...]
    boots: Flags
    runs: int


@dataclass
class _Edge:
    """A boundary between a value that boots and one that does not."""

    boots: float
    fails: float
    verdict: Verdict | None = None


def find_islands(
    make: Make,
    values: Sequence[float] | Array,
    *,
    absolute: float = 0.0,
    relative: float = 0.002,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
) -> Islands:
    """Return the stretches of values for which ``make(value)`` boots at the first try.

    Parameters
    ----------
    make : callable
        Build for a value.
    values : sequence of float
        Scan [any unit, that which ``make`` takes], in rising order, at least one.
    absolute, relative : float
        An edge is done once both of its sides are within ``max(absolute, relative * value)`` [unit of the values, and
        1].
    progress, cancelled : callable or None
        As in :func:`inrushlib.startup.screen_many`; the progress is that of the scan.
    """
    scan = np.asarray(values, dtype=float)
    good = which_boot([make(float(v)) for v in scan], progress, cancelled)
    islands: list[tuple[_Edge | None, _Edge | None]] = []
    spans: list[tuple[float, float]] = []
    for first, last in _stretches(good):
        left = _Edge(scan[first], scan[first - 1]) if first > 0 else None
        right = _Edge(scan[last], scan[last + 1]) if last + 1 < len(scan) else None
        islands.append((left, right))
        spans.append((scan[first], scan[last]))
    edges = [edge for pair in islands for edge in pair if edge is not None]
    runs = len(scan) + _refine(make, edges, absolute, relative, cancelled)
    found = tuple(_island(pair, span) for pair, span in zip(islands, spans, strict=True))
    return Islands(found, good, runs)


def which_boot(builds: Sequence[Build], progress: Progress | None = None, cancelled: Asked | None = None) -> Flags:
    """Return which builds boot at the first try.

    Parameters
    ----------
    builds : sequence of Build
        To start; each start ends where it can no longer boot at the first try.
    progress, cancelled : callable or None
        As in :func:`inrushlib.startup.screen_many`.
    """
    return screen_many(builds, until_lost=True, progress=progress, cancelled=cancelled).boots


def overstressed_in(builds: Sequence[Build], cancelled: Asked | None = None) -> list[tuple[Overstress, ...]]:
    """Return what the start of each build overstresses; with a switch its heat is looked at too.

    Parameters
    ----------
    builds : sequence of Build
        To start.
    cancelled : callable or None
        Asked before each start; true stops the work.

    Raises
    ------
    inrushlib.startup.Cancelled
        Where the caller asked to stop.
    """
    if all(build.switch is None for build in builds):
        answers = screen_many(builds, cancelled=cancelled)
        highest = zip(answers.highest_section_voltage, answers.highest_reservoir_voltage, strict=True)
        return [over_voltages(build, *map(float, seen)) for build, seen in zip(builds, highest, strict=True)]
    found = []
    for build in builds:
        stop_where(cancelled, "before all starts were run")
        found.append(simulate(build).overstressed)
    return found


def _stretches(good: Flags) -> list[tuple[int, int]]:
    """Return first and last index of each run of True."""
    padded = np.concatenate(([False], good, [False])).astype(int)
    step = np.diff(padded)
    return list(zip(np.flatnonzero(step == 1), np.flatnonzero(step == -1) - 1, strict=True))


def _island(pair: tuple[_Edge | None, _Edge | None], span: tuple[float, float]) -> Island:
    left, right = pair
    return Island(
        low=float(left.boots if left else span[0]),
        high=float(right.boots if right else span[1]),
        low_fails=float(left.fails) if left else None,
        high_fails=float(right.fails) if right else None,
        low_verdict=left.verdict if left else None,
        high_verdict=right.verdict if right else None,
    )


def _refine(make: Make, edges: list[_Edge], absolute: float, relative: float, cancelled: Asked | None) -> int:
    """Narrow all edges together, two inner values a round, then name how each fails; returns the starts run."""
    runs = 0
    while True:
        wide = [e for e in edges if abs(e.boots - e.fails) > max(absolute, relative * max(e.boots, e.fails))]
        if not wide:
            break
        points = [np.linspace(e.fails, e.boots, INNER + 2)[1:-1] for e in wide]
        builds = [make(float(v)) for row in points for v in row]
        good = which_boot(builds, None, cancelled)
        runs += len(builds)
        for i, edge in enumerate(wide):
            # From the side that boots outwards, so that the edge stays next to its island.
            for j in range(INNER - 1, -1, -1):
                value, k = float(points[i][j]), INNER * i + j
                if not good[k]:
                    edge.fails = value
                    break
                edge.boots = value
    if edges:
        answers = screen_many([make(edge.fails) for edge in edges], cancelled=cancelled)
        for i, edge in enumerate(edges):
            edge.verdict = answers.verdict(i)
    return runs + len(edges)
