"""Remedies over all their levers at once, and together.

``search_jointly``  the measures, alone and in company, that make a build boot
``Candidate``       one way to do it

Each measure is searched together with the program: the delays, and the dark frame repeated. Designs are spread evenly
over the ladders of all levers; those that boot are compared at a few points of their ranges, and the best is moved
rung by rung. Where no measure alone boots often enough, pairs are tried, then everything at once, from which is taken
away what is not needed. All of it is bounded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import Final

from inrushlib.build import Build
from inrushlib.odds.decide import WANTED
from inrushlib.remedies.by_rating import adapter_for
from inrushlib.remedies.designs import Rungs, Space, first_rungs, neighbours
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.measures import DEAR, RATING, SINGLE, Measure, measures_of
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.picture import carries_picture, fitting_picture
from inrushlib.remedies.spare import at_its_most, kits, spared
from inrushlib.remedies.trial import Candidate, Trial, standing, stands

DESIGNS: Final = 32
"""Designs of the first look at a space [1]."""
LOOK: Final = 8
"""Points at which the first look compares [1]."""
TRIED: Final = 6
"""Designs of a space that are compared there [1]."""
CLIMB: Final = 16
"""Points at which the designs around one are compared [1]."""
SURE: Final = 128
"""Points at which the best few of them are [1]."""
SURE_OF: Final = 2
PARENTS: Final = 3
"""Sets of a size that are moved rung by rung [1]; the best of what is dear beside them."""
ENOUGH: Final = 2
"""Ways to choose from after which only cheaper ones are looked for [1]."""
MANY: Final = 256
"""Points that confirm what is left when all that is not needed has been taken away [1]."""
KIT_DESIGNS: Final = 64
"""Designs of the first look at a kit [1]: what has no price decides there, the gate and the program."""
KIT_TRIED: Final = 12
OF_A_KIT: Final = 2
"""Of these those that are compared at a few points, and at many [1]."""
KITS: Final = 2
"""Kits from which is taken away what is not needed [1]."""
PROMISING: Final = 0.9
"""Share of a kit from which it is moved before that [1]."""
KEEP: Final = 0.97
"""Share that has to be left then [1]: enough above what is wanted to still be so at other points."""
WORTH: Final = 0.5
"""Share of the first look below which moving does not make up for it [1]."""
MOST_MOVED: Final = 16_000
"""Starts after which nothing is moved any further [1]."""
MOST_RUNS: Final = 12_000
"""Starts after which nothing new is looked at [1]; what is being looked at is finished."""

TRIPS: Final = ("hiccup", "latch-off")
"""Kinds of limit at which an adapter switches off."""

Combined = tuple[Measure, ...]


def search_jointly(
    build: Build,
    *,
    with_odds: bool = True,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> list[Candidate]:
    """Return the ways to make a build boot, the best of each set of measures, most often first.

    Parameters
    ----------
    build : Build
        Any build.
    with_odds : bool
        Whether it has to boot often within the ranges; else a nominal start at the first try is enough.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between designs; true stops the work.

    Raises
    ------
    Cancelled
        Where the caller asked to stop.
    """
    tell = None if progress is None else (lambda runs: progress(min(1.0, runs / MOST_MOVED)))
    search = _Search(build, Trial(tell, cancelled), with_odds)
    found = search.run()
    if progress is not None:
        progress(1.0)
    return found


class _Search:
    def __init__(self, build: Build, trial: Trial, with_odds: bool) -> None:
        self.build = build
        self.trial = trial
        self.wanted = WANTED if with_odds else 0.0
        self.with_odds = with_odds
        self.measures = measures_of(build)
        self.picture = None if carries_picture(build) else fitting_picture(build)
        self.sure: set[frozenset[RemedyName]] = set()
        self.best: dict[frozenset[RemedyName], Candidate] = {}

    def run(self) -> list[Candidate]:
        singles: list[Combined] = [(), *((measure,) for measure in self.measures)]
        self._look(singles)
        self._climb(self._of_size(0) + self._parents(1))
        self._look(self._pairs(below=self._least_effort() if self._is_enough() else Effort.BANK))
        self._climb(self._parents(2))
        for bulk in (RemedyName.BUS_CAPACITOR, RemedyName.CAPACITOR_BANK):
            if not self._is_enough():
                self._take_away(kits(self.measures, bulk, slowly=self.build.adapter.limit_style in TRIPS))
        return self._finalists()

    def _least_effort(self) -> Effort:
        """Return the least work of what boots often enough."""
        return min((each.effort for each in self._good()), default=Effort.BANK)

    def _good(self) -> list[Candidate]:
        """Return what boots often enough."""
        some = (self.best[names] for names in (self.sure if self.with_odds else self.best))
        return [each for each in some if each.share >= self.wanted]

    def _is_surely_enough(self, name: RemedyName) -> bool:
        names = frozenset({name})
        return names in self.sure and self.best[names].share >= KEEP

    def _pairs(self, below: Effort) -> list[Combined]:
        """Return the pairs of measures that take less work than an effort."""
        done = {each for each in SINGLE if self._is_surely_enough(each)}
        some = [measure for measure in self.measures if measure.effort < below and measure.name not in done]
        return [pair for pair in combinations(some, 2) if pair[0].goes_with(pair[1])]

    def _space(self, measures: Combined) -> Space:
        larger = any(lever.key == RATING for measure in measures for lever in measure.levers)
        return Space(self.build, measures, None if larger else self.picture)

    def _look(self, spaces: Iterable[Combined]) -> None:
        for measures in spaces:
            if self.trial.runs >= MOST_RUNS:
                return
            space = self._space(measures)
            if any(lever.key == RATING for lever in space.levers):
                found = adapter_for(space, self.trial, KEEP if self.with_odds else None)
                self.sure |= {each.names for each in found}
            else:
                designs = [*self._inherited(space), *first_rungs(space.levers, DESIGNS, len(self.best) + 1)]
                found = standing(self.trial.candidates(space, designs, LOOK, TRIED), 1)
            for each in found:
                self._keep(each)

    def _inherited(self, space: Space) -> list[Rungs]:
        """Return designs that have the values of the best ones with a measure less."""
        found = []
        names = {measure.name for measure in space.measures}
        for parent in self.best.values():
            if parent.names < names and len(parent.names) == len(names) - 1:
                known = dict(zip((lever.key for lever in parent.space.levers), parent.rungs, strict=True))
                sizes = [len(lever.values) for lever in space.levers]
                for share in (0.5, 0.99):
                    own = [known.get(lever.key, int(share * n)) for lever, n in zip(space.levers, sizes, strict=True)]
                    found.append(tuple(own))
        return found

    def _keep(self, candidate: Candidate) -> None:
        names = candidate.names
        if names not in self.best or candidate.rank > self.best[names].rank:
            self.best[names] = candidate

    def _of_size(self, size: int) -> list[Candidate]:
        some = [each for names, each in self.best.items() if len(names) == size]
        return sorted(some, key=lambda each: each.rank, reverse=True)

    def _parents(self, size: int) -> list[Candidate]:
        """Return the best sets of a size, and the best of what is dear, which would else crowd out all others."""
        some = self._of_size(size)
        cheap = [each for each in some if not each.names & DEAR]
        return [*cheap[:PARENTS], *[each for each in some if each.names & DEAR][:1]]

    def _take_away(self, some: list[Combined]) -> None:
        """Look at everything at once, and take away what is not needed from the kits that boot often enough."""
        full: list[Candidate] = []
        for space in map(self._space, some):
            designs = at_its_most(space, KIT_DESIGNS, 1)
            full += standing(self.trial.candidates(space, designs, LOOK, KIT_TRIED), OF_A_KIT)
        if self.with_odds:
            full = self._surely(full)
        each_kit: dict[frozenset[RemedyName], Candidate] = {}
        for each in full:
            each_kit.setdefault(each.names, each)
            self._keep(each)
        for kit in list(each_kit.values())[:KITS] if self.with_odds else ():
            if kit.share >= PROMISING:
                kit = self._moved(kit)
            self._keep(kit)
            if kit.share >= self.wanted:
                space, rungs, share = self._spared(kit)
                (_, build), *_ = self.trial.boots(space, [rungs])
                found = Candidate(space, rungs, build, share)
                self.sure.add(found.names)
                self.best[found.names] = found  # also in place of one that did better at fewer points

    def _spared(self, kit: Candidate) -> tuple[Space, Rungs, float]:
        """Return what a kit comes to, and how often it boots: chosen by fewer points, which more confirm."""
        space, rungs, share = kit.space, kit.rungs, kit.share
        for points in (SURE, MANY):
            space, rungs, _ = spared(kit.space, kit.rungs, partial(self._share_of, points), KEEP)
            share = self._share_of(MANY, space, rungs)
            if share >= KEEP:
                break
        return space, rungs, share

    def _share_of(self, points: int, space: Space, rungs: Rungs) -> float:
        booting = self.trial.boots(space, [rungs])
        if not booting or not stands(booting[0][1]):
            return 0.0
        return self.trial.share(booting[0][1], points, KEEP)

    def _is_enough(self) -> bool:
        """Whether there are two good ways, one with a switch, that are neither bought instead nor a bank."""
        good = [each for each in self._good() if not each.names & DEAR]
        return len(good) >= ENOUGH and any(each.build.switch is not None for each in good)

    def _finalists(self) -> list[Candidate]:
        """Return the best of each set of measures of which no part boots as often, or often enough."""
        kept = []
        for names, each in self.best.items():
            # A share at a few points says nothing against one at many.
            parts = [less for less in self.best if less < names and (less in self.sure or names not in self.sure)]
            shares = [self.best[less].share for less in parts]
            enough = any(self.best[less].share >= KEEP for less in parts if less in self.sure)
            if not enough and all(each.share > share for share in shares):
                kept.append(each)
        return sorted(kept, key=lambda each: each.rank, reverse=True)

    def _climb(self, some: list[Candidate]) -> None:
        for candidate in some:
            # Of what is bought there is next to nothing to choose.
            worth = candidate.share >= WORTH and candidate.names not in self.sure and not candidate.names & SINGLE
            if self.with_odds and worth and self.trial.runs < MOST_MOVED:
                self.sure.add(candidate.names)
                self.best[candidate.names] = self._moved(self._surely([candidate])[0])

    def _moved(self, at: Candidate) -> Candidate:
        """Return a design moved by a rung of one ladder where that helps."""
        near = neighbours(at.space.levers, at.rungs)
        found = self._surely(standing(self.trial.candidates(at.space, near, CLIMB, len(near)), SURE_OF))
        return found[0] if found and found[0].rank > at.rank else at

    def _surely(self, some: list[Candidate]) -> list[Candidate]:
        """Return candidates with their shares at many points, best first."""
        shares = self.trial.shares([each.build for each in some], SURE)
        found = [replace(each, share=share) for each, share in zip(some, shares, strict=True)]
        return sorted(found, key=lambda each: each.rank, reverse=True)
