"""Where along one value a build boots: scan first, then refine every edge.

``find_islands``  all stretches that boot, with their edges
``Island``        one of them
``first_look``    how long a short run has to be to show most failures

The verdict need not change only once along a value (trips and short-term allowances make islands),
so the whole range is scanned before any edge is narrowed. An island narrower than the scan's step
can be missed; the step is part of the answer.

Most of the time of a scan goes into starts that reset again and again. A start that has browned out
or tripped once can no longer boot at the first try, so a short run is enough to sort those out; what
a short run leaves open is run in full.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.startup import Verdict, screen_many
from inrushlib.startup.pack import frame_time

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Make = Callable[[float], Build]
Progress = Callable[[float], None]
Asked = Callable[[], bool]

SETTLING = 0.05  # [s] of the first look for capacitors to charge and the bus to fall
WORTHWHILE = 0.6  # of the duration: a first look longer than this saves nothing
SPARSE = 4  # every so many values of a scan come first
INNER = 2  # values tried inside an edge in one round; one for each of two processors

# Verdicts that a brown-out or a trip lies behind.
LOST = [list(Verdict).index(v) for v in (Verdict.BOOTS_AFTER_RESETS, Verdict.ADAPTER_TRIPS, Verdict.KEEPS_RESETTING)]


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
    boots : (n,) array of bool
        Which of them boot at the first try.
    runs : int
        Starts that were run in all, short ones included.
    """

    found: tuple[Island, ...]
    scanned: Array
    boots: Flags
    runs: int


@dataclass
class _Edge:
    """A boundary between a value that boots and one that does not."""

    boots: float
    fails: float
    lost: bool
    verdict: Verdict | None = None


def first_look(build: Build) -> float | None:
    """Return how long a run [s] shows most failures: until a frame after the switch has taken and the bus settled.

    None where that is not much shorter than the build's own duration.
    """
    firmware = build.firmware
    until = build.adapter.soft_start + build.controller.boot_time + frame_time(build) + SETTLING
    until += max(firmware.gate_delay if build.switch is not None else 0.0, firmware.first_frame_delay)
    return until if until < WORTHWHILE * build.run.duration else None


def find_islands(
    make: Make,
    values: Sequence[float] | Array,
    *,
    absolute: float = 0.0,
    relative: float = 0.002,
    look: float | None = None,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
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
    look : float or None
        Length of the short run that comes first [s], above 0; None for none. It changes the time taken,
        never the answer.
    progress, cancelled : callable or None
        As in :func:`inrushlib.startup.screen_many`; the progress is that of the scan.
    """
    scan = np.asarray(values, dtype=float)
    good, lost, runs = _scan(make, scan, look, progress, cancelled)
    islands: list[tuple[_Edge | None, _Edge | None]] = []
    spans: list[tuple[float, float]] = []
    for first, last in _stretches(good):
        left = _Edge(scan[first], scan[first - 1], lost[first - 1]) if first > 0 else None
        right = _Edge(scan[last], scan[last + 1], lost[last + 1]) if last + 1 < len(scan) else None
        islands.append((left, right))
        spans.append((scan[first], scan[last]))
    edges = [edge for pair in islands for edge in pair if edge is not None]
    runs += _refine(make, edges, absolute, relative, look, cancelled)
    found = tuple(_island(pair, span) for pair, span in zip(islands, spans, strict=True))
    return Islands(found, scan, good, runs)


def _scan(
    make: Make, scan: Array, look: float | None, progress: Progress | None, cancelled: Asked | None
) -> tuple[Flags, Flags, int]:
    """Return which values boot, which brown out or trip, and the starts run.

    Every fourth value comes first; the others are looked at briefly where one beside them browned out or tripped.
    """
    good, lost = np.zeros(len(scan), dtype=bool), np.zeros(len(scan), dtype=bool)
    index = np.arange(len(scan))
    suspect = np.ones(len(scan), dtype=bool)
    runs = done = 0
    for part in (index[::SPARSE], index[index % SPARSE != 0]):
        if not len(part):
            continue
        told = None if progress is None else _share_of(progress, done / len(scan), len(part) / len(scan))
        builds = [make(float(v)) for v in scan[part]]
        good[part], lost[part], more = which_boot(builds, look, suspect[part], told, cancelled)
        runs += more
        done += len(part)
        below = (index // SPARSE) * SPARSE
        suspect = lost[below] | lost[np.minimum(below + SPARSE, below[-1])]
    return good, lost, runs


def _share_of(progress: Progress, start: float, share: float) -> Progress:
    return lambda part: progress(start + share * part)


def which_boot(
    builds: Sequence[Build],
    look: float | None = None,
    suspect: Flags | None = None,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
) -> tuple[Flags, Flags, int]:
    """Return which builds boot at the first try, which brown out or trip on the way, and the starts run.

    Parameters
    ----------
    builds : sequence of Build
        To start.
    look : float or None
        Length of the short run [s], above 0; None for none.
    suspect : array of bool or None
        Which get a short run first; None for all.
    progress, cancelled : callable or None
        As in :func:`inrushlib.startup.screen_many`.
    """
    good, lost = np.zeros(len(builds), dtype=bool), np.zeros(len(builds), dtype=bool)
    brief = [i for i in range(len(builds)) if look is not None and (suspect is None or suspect[i])]
    if look is not None and brief:
        answers = screen_many([shortened(builds[i], look) for i in brief], cancelled=cancelled)
        lost[brief] = np.isin(answers.verdicts, LOST)
    rest = [i for i in range(len(builds)) if not lost[i]]
    if rest:
        answers = screen_many([builds[i] for i in rest], progress=progress, cancelled=cancelled)
        good[rest], lost[rest] = answers.boots, np.isin(answers.verdicts, LOST)
    return good, lost, len(brief) + len(rest)


def shortened(build: Build, duration: float) -> Build:
    """Return the build watched for ``duration`` [s] at most; everything before that stays as it is."""
    run = build.run.model_copy(update={"duration": min(duration, build.run.duration)})
    return build.model_copy(update={"run": run})


def _stretches(good: Flags) -> list[tuple[int, int]]:
    """Return first and last index of each run of True."""
    padded = np.concatenate(([False], good, [False])).astype(int)
    step = np.diff(padded)
    return list(zip(np.flatnonzero(step == 1), np.flatnonzero(step == -1) - 1, strict=True))


def _island(pair: tuple[_Edge | None, _Edge | None], span: tuple[float, float]) -> Island:
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
    make: Make, edges: list[_Edge], absolute: float, relative: float, look: float | None, cancelled: Asked | None
) -> int:
    """Narrow all edges together, two inner values a round, then name how each fails; returns the starts run."""
    runs = 0
    while True:
        wide = [e for e in edges if abs(e.boots - e.fails) > max(absolute, relative * max(e.boots, e.fails))]
        if not wide:
            break
        points = [np.linspace(e.fails, e.boots, INNER + 2)[1:-1] for e in wide]
        builds = [make(float(v)) for row in points for v in row]
        suspect = np.repeat([edge.lost for edge in wide], INNER)
        good, lost, more = which_boot(builds, look, suspect, None, cancelled)
        runs += more
        for i, edge in enumerate(wide):
            # From the side that boots outwards, so that the edge stays next to its island.
            for j in range(INNER - 1, -1, -1):
                value, k = float(points[i][j]), INNER * i + j
                if not good[k]:
                    edge.fails, edge.lost = value, bool(lost[k])
                    break
                edge.boots = value
    if edges:
        answers = screen_many([make(edge.fails) for edge in edges], cancelled=cancelled)
        for i, edge in enumerate(edges):
            edge.verdict = answers.verdict(i)
    return runs + len(edges)
