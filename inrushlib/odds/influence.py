"""What each value does to whether a build boots, alone and together with others, and to its smallest slack.

``Influence``   of one key, or one group of keys
``influences``  of all that were drawn, without total indices
``with_totals`` the same with them
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import Workers, verdicts
from inrushlib.odds.interval import Estimate
from inrushlib.odds.points import Chunk, Plan
from inrushlib.odds.total import yes_or_no

Array = NDArray[np.float64]

ALONE: Final = 4
"""Leading values whose total index is worked out for each alone [1]."""
POOLS: Final = 3
"""Pools of the others, those that settle least last [1]."""
AT_ONCE: Final = 64
SEED_APART: Final = 1_000_003
"""Between the seeds of the odds and of the total indices, so that their points are others [1]."""


@dataclass(frozen=True, kw_only=True)
class Influence:
    """What one key, or one group of keys, does to whether the build boots at the first try.

    Attributes
    ----------
    name : str
        The dotted key, or the group.
    keys : tuple of str
        Dotted keys.
    settles : Estimate
        Share of the doubt that knowing it would settle [1]: the first-order index.
    total : Estimate or None
        Share of the doubt in which it has a part, alone and together with others [1]: the total index. None where it
        was not worked out.
    pooled : bool
        Whether the total index is that of several values together, so that its own is at most that.
    of_slack : Estimate or None
        Share of the variance of the smallest slack that knowing it would settle [1]; None where no slack was read.
    """

    name: str
    keys: tuple[str, ...]
    settles: Estimate
    total: Estimate | None = None
    pooled: bool = False
    of_slack: Estimate | None = None


def influences(draw: Draw, settles: Sequence[Estimate], of_slack: Sequence[Estimate]) -> tuple[Influence, ...]:
    """Return what each dimension does, the one that settles most first.

    Parameters
    ----------
    draw : Draw
        What was drawn.
    settles : sequence of Estimate
        First-order index of each dimension [1].
    of_slack : sequence of Estimate
        The same of the smallest slack [1]; empty where no slack was read.
    """
    found = [
        Influence(
            name=name,
            keys=draw.keys_of(name),
            settles=settles[i],
            of_slack=of_slack[i] if of_slack else None,
        )
        for i, name in enumerate(draw.dimensions)
    ]
    return tuple(sorted(found, key=lambda each: -each.settles.value))


def with_totals(
    draw: Draw,
    ranked: Sequence[Influence],
    planned: Plan,
    seed: int,
    *,
    workers: Workers | None,
    cancelled: Callable[[], bool] | None,
) -> tuple[tuple[Influence, ...], int]:
    """Return the influences with their total indices, and how many runs that took.

    The leading ones alone, the others in pools: a pool that has no part in the doubt clears all its members at once.

    Parameters
    ----------
    draw : Draw
        What was drawn.
    ranked : sequence of Influence
        The one that settles most first.
    planned : Plan
        Of the odds; an eighth of the points of each replicate, at least 8, are the base points.
    seed : int
        Of the odds [1].
    workers : int, Crew or None
        Threads [1], or other workers; None for one thread a processor.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    base = Plan(planned.replicates, min(planned.points, max(8, planned.points // 8), 256))
    pools = _pools(draw, ranked)
    place = {name: i for i, name in enumerate(draw.dimensions)}
    groups = [[place[ranked[i].name] for i in pool] for pool in pools]

    def boots(points: Array) -> Array:
        tied = draw.tied(points)
        pieces = (Chunk(0, 0, tied[first : first + AT_ONCE]) for first in range(0, len(tied), AT_ONCE))
        return np.concatenate(
            [(ran.codes == 0).astype(float) for ran in verdicts(draw, pieces, workers=workers, cancelled=cancelled)]
        )

    totals = yes_or_no(boots, len(draw.dimensions), base, seed + SEED_APART, groups)
    found = list(ranked)
    for pool, total in zip(pools, totals, strict=True):
        for i in pool:
            pooled = len(pool) > 1
            found[i] = replace(
                ranked[i], total=Estimate(total.value, 0.0, total.high) if pooled else total, pooled=pooled
            )  # fmt: skip
    return tuple(found), base.runs * (1 + len(groups))


def _pools(draw: Draw, ranked: Sequence[Influence]) -> list[list[int]]:
    """Return the places in ``ranked`` of what is changed together; values that a capture tied are never parted."""
    place = {each.name: i for i, each in enumerate(ranked)}
    units = sorted(sorted(place[name] for name in unit) for unit in draw.units)
    leading, others = units[:ALONE], sorted(units[ALONE:], key=lambda unit: -max(_moves(ranked[i]) for i in unit))
    split = (others[len(others) * k // POOLS : len(others) * (k + 1) // POOLS] for k in range(POOLS))
    return leading + [[i for unit in pool for i in unit] for pool in split if pool]


def _moves(each: Influence) -> float:
    """What is known of how much a value does: those that do least are to be in one pool."""
    return each.settles.value + (each.of_slack.value if each.of_slack else 0.0)
