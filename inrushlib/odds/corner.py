"""The worst corner of the ranges, by a bounded search: what all values together could do if chance were unkind.

``worst_corner``  from a point to the worst that can be found near it and at the ends of the ranges
``Ending``        a point, how it ends and how close that was
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.closeness import closeness
from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import Workers, verdicts
from inrushlib.odds.points import Chunk
from inrushlib.startup import Rule

Array = NDArray[np.float64]
ROUNDS: Final = 3
"""Rounds of the search at most [1]."""
AT_ONCE: Final = 16
"""Runs that a thread takes [1]."""


@dataclass(frozen=True, kw_only=True)
class Ending:
    """A point, how it ends and how close that was.

    Attributes
    ----------
    point : (d,) array
        In the unit cube [1].
    code : int
        Place of the verdict in :class:`~inrushlib.startup.Verdict` [1]; below zero for a run that was not finished.
    closeness : float
        As :func:`~inrushlib.odds.closeness.closeness` [1].
    rule : Rule or None
        The rule that came closest; None where none has a say.
    slack : float or None
        What it had to spare [its unit].
    """

    point: Array
    code: int
    closeness: float
    rule: Rule | None
    slack: float | None


def endings(
    draw: Draw, points: Array, *, workers: Workers | None, cancelled: Callable[[], bool] | None
) -> list[Ending]:
    """Return how points end and how close each was.

    Parameters
    ----------
    draw : Draw
        From points to builds.
    points : (n, d) array
        In the unit cube [1].
    workers : int, Crew or None
        Threads [1], or other workers; None for one thread a processor.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    pieces = (points[first : first + AT_ONCE] for first in range(0, len(points), AT_ONCE))
    chunks = (Chunk(0, 0, some, watched=len(some)) for some in pieces)
    found: list[Ending] = []
    for ran in verdicts(draw, chunks, workers=workers, cancelled=cancelled):
        assert ran.slacks is not None
        close = closeness(ran.codes, ran.slacks.shares)
        for i, point in enumerate(ran.chunk.points):
            shares = ran.slacks.shares[i]
            rule = None if np.isnan(shares).all() else int(np.nanargmin(shares))
            found.append(
                Ending(
                    point=point,
                    code=int(ran.codes[i]),
                    closeness=float(close[i]),
                    rule=None if rule is None else list(Rule)[rule],
                    slack=None if rule is None else float(ran.slacks.values[i, rule]),
                )
            )
    return found


def worst_corner(
    draw: Draw, start: Array, *, workers: Workers | None = None, cancelled: Callable[[], bool] | None = None
) -> tuple[Ending, int]:
    """Return the worst that a bounded search finds, from a point on, and how many runs that took.

    Each round tries every dimension alone at both ends of its range, then all of them at once at the end that was
    worse; the worst of these is where the next round starts. It ends where a round finds nothing worse.

    Parameters
    ----------
    draw : Draw
        From points to builds.
    start : (d,) array
        In the unit cube [1].
    workers : int, Crew or None
        Threads [1], or other workers; None for one thread a processor.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    best = endings(draw, start[None, :], workers=workers, cancelled=cancelled)[0]
    runs, count = 1, len(start)
    for _ in range(ROUNDS):
        alone = np.repeat(best.point[None, :], 2 * count, axis=0)
        alone[np.arange(count), np.arange(count)] = 0.0
        alone[count + np.arange(count), np.arange(count)] = 1.0
        found = endings(draw, alone, workers=workers, cancelled=cancelled)
        close = np.array([each.closeness for each in found]).reshape(2, count)
        together = np.where(
            close.min(axis=0) < best.closeness, np.where(close[0] <= close[1], 0.0, 1.0), best.point
        )  # fmt: skip
        found += endings(draw, together[None, :], workers=workers, cancelled=cancelled)
        runs += len(found)
        worst = min(found, key=lambda each: each.closeness)
        if not worst.closeness < best.closeness:
            break
        best = worst
    return best, runs
