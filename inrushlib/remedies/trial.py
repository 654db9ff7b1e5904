"""Trying many designs at once: nominal starts, and starts at a few points of their ranges.

``Trial``      what tries them, with progress and a way to stop
``Candidate``  a design that boots, and how often
``standing``   those whose switch stands it
``spread_points``
               where they are tried
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from itertools import islice
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import Cancelled
from inrushlib.model import layout as at
from inrushlib.odds.draw import Draw
from inrushlib.odds.key_ranges import KeyRange, key_ranges
from inrushlib.remedies.designs import Rungs, Space
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.watched import watched
from inrushlib.startup import hold_lumps, simulate
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.many import pool, screen_packed
from inrushlib.startup.overstress import over_voltages
from inrushlib.startup.pack import pack
from inrushlib.startup.verdicts import run_columns

Points = NDArray[np.float64]
AMPLE: Final = 0.985
"""Share from which cheaper is better than more often [1]: enough above what is wanted to still be so when judged."""
SEED: Final = 20
"""Of the points at which designs are compared [1]: other ones than those that judge the finalists."""
FIRST: Final = 16
GROWS: Final = 2
"""Points at which a build is tried first, and how many times as many after each look [1]."""


@dataclass(frozen=True)
class Candidate:
    """A design that boots nominally.

    Attributes
    ----------
    space : Space
        The measures taken.
    rungs : tuple of int
        Place on the ladder of each lever [1].
    build : Build
        The changed build.
    share : float
        How often it boots at the points that were tried [1].
    """

    space: Space
    rungs: Rungs
    build: Build
    share: float

    @property
    def names(self) -> frozenset[RemedyName]:
        """The measures taken."""
        return frozenset(measure.name for measure in self.space.measures)

    @property
    def effort(self) -> Effort:
        """How much work it is."""
        return max((measure.effort for measure in self.space.measures), default=Effort.FIRMWARE)

    @property
    def rank(self) -> tuple[float, float]:
        """Better is larger: the share, up to where the points tell no more, then what it spares."""
        return min(self.share, AMPLE), -self.space.price(self.rungs)


class Trial:
    """What tries designs.

    Parameters
    ----------
    progress : callable or None
        Called with the number of starts run.
    cancelled : callable or None
        Asked between designs; true stops the work.
    """

    def __init__(self, progress: Callable[[int], None] | None, cancelled: Callable[[], bool] | None) -> None:
        self.runs = 0
        self._progress = progress
        self._cancelled = cancelled
        self._ranges: dict[frozenset[str], tuple[KeyRange, ...]] = {}

    def _count(self, runs: int) -> None:
        self.runs += runs
        if self._progress is not None:
            self._progress(self.runs)
        if self._cancelled is not None and self._cancelled():
            raise Cancelled("stopped before all remedies were tried")

    def boots(self, space: Space, designs: Sequence[Rungs]) -> list[tuple[Rungs, Build]]:
        """Return the designs that boot nominally and overstress neither pixels nor controller.

        Parameters
        ----------
        space : Space
            The measures.
        designs : sequence of tuple of int
            Places on its ladders [1].
        """
        made = [(rungs, space.made(rungs)) for rungs in designs]
        built = [(rungs, hold_lumps(build)) for rungs, build in made if build is not None]
        if not built:
            return []
        answers = screen_packed([pack(build) for _, build in built], until_lost=True)
        self._count(len(built))
        good = answers.boots & (answers.statuses == at.DONE)
        sections, reservoirs = answers.highest_section_voltage, answers.highest_reservoir_voltage
        return [
            found
            for i, found in enumerate(built)
            if good[i] and not over_voltages(found[1], float(sections[i]), float(reservoirs[i]))
        ]

    def shares(self, builds: Sequence[Build], points: int) -> list[float]:
        """Return how often each build boots at the same points of its ranges [1].

        Parameters
        ----------
        builds : sequence of Build
            Of one space.
        points : int
            How many points [1], a power of two.
        """
        draws = [Draw(build, self._ranges_of(build)) for build in builds]

        def work(draw: Draw) -> float:
            return _booting(draw, spread_points(len(draw.dimensions), points)) / points

        with compiling(Compiles.RUN):
            found = []
            for share in _threads().map(work, draws):
                found.append(share)
                self._count(points)
        return found

    def share(self, build: Build, points: int, least: float) -> float:
        """Return how often a build boots [1], at no more points than it takes to tell that it is below ``least``.

        Parameters
        ----------
        build : Build
            One build.
        points : int
            How many points [1], a power of two.
        least : float
            What is asked of it [1]. Below that the share is of the points up to there.
        """
        draw = Draw(build, self._ranges_of(build))
        where = spread_points(len(draw.dimensions), points)
        may_fail = points * (1 - least)
        tried = booting = 0
        while tried < points and tried - booting <= may_fail:
            some = where[tried : max(FIRST, GROWS * tried)]
            with compiling(Compiles.RUN):
                booting += sum(_threads().map(lambda part: _booting(draw, part), np.array_split(some, _cores())))
            tried += len(some)
            self._count(len(some))
        return booting / tried

    def _ranges_of(self, build: Build) -> tuple[KeyRange, ...]:
        # The ends of a range are counted from a design's own values, so that designs of one space share it.
        key = build.given | {f"{build.controller.feed} feed"} | ({build.switch.kind} if build.switch else set())
        if key not in self._ranges:
            self._ranges[key] = key_ranges(build)
        return self._ranges[key]

    def candidates(self, space: Space, designs: Sequence[Rungs], points: int, most: int) -> list[Candidate]:
        """Return designs that boot, with how often, best first.

        Parameters
        ----------
        space : Space
            The measures.
        designs : sequence of tuple of int
            Places on its ladders [1].
        points : int
            Points at which those that boot are tried [1].
        most : int
            How many are tried there at most [1].
        """
        booting = self.boots(space, designs)
        step = max(1, -(-len(booting) // most))
        tried = booting[::step]
        shares = self.shares([build for _, build in tried], points)
        found = [Candidate(space, *design, share) for design, share in zip(tried, shares, strict=True)]
        return sorted(found, key=lambda each: each.rank, reverse=True)


def stands(build: Build) -> bool:
    """Say whether a build that boots overheats no switch; all else is looked at for many at once.

    Parameters
    ----------
    build : Build
        One that boots.
    """
    return build.switch is None or simulate(build).headline.boots


def standing(some: Sequence[Candidate], most: int) -> list[Candidate]:
    """Return the first few candidates whose switch stands it.

    Parameters
    ----------
    some : sequence of Candidate
        Best first.
    most : int
        How many [1].
    """
    return list(islice((each for each in some if stands(each.build)), most))


def _booting(draw: Draw, points: Points) -> int:
    packed = draw.pack(points) if len(points) else []
    return sum(int((run_columns(watched(each), until_lost=True)[0] == 0).sum()) for each in packed)


def _cores() -> int:
    return os.cpu_count() or 1


def _threads() -> ThreadPoolExecutor:
    return pool(os.getpid(), _cores())


@cache
def spread_points(dimensions: int, count: int) -> Points:
    """Return points spread evenly over the unit cube, always the same [1].

    Parameters
    ----------
    dimensions, count : int
        Columns and rows [1]; a power of two of rows.
    """
    from scipy.stats import qmc  # long to import, and only searches need it

    net = qmc.Sobol(max(dimensions, 1), scramble=True, rng=np.random.default_rng(SEED))
    return np.asarray(net.random(count))[:, :dimensions]
