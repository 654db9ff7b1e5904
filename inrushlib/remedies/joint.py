"""Remedies over all their levers at once, and together.

``search_jointly``  the measures, alone and in company, that make a build boot
``Candidate``       one way to do it

Each measure is searched together with the program: the delays, and the dark frame repeated. Designs are spread evenly
over the ladders of all levers; those that boot are compared at a few points of their ranges, and the best is moved
rung by rung. Where no measure alone boots often enough, pairs are tried, then the best of them with a third and a
fourth. All of it is bounded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import combinations
from typing import Final

from inrushlib.build import Build
from inrushlib.odds.decide import WANTED
from inrushlib.remedies.designs import Rungs, Space, first_rungs, neighbours
from inrushlib.remedies.measures import RATING, SINGLE, Measure, measures_of
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.picture import fits, fitting_picture
from inrushlib.remedies.trial import Candidate, Trial

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
ROUNDS: Final = 3
"""Most moves of a set of three measures or more [1]; of fewer one, since they are only on the way."""
MOST_MEASURES: Final = 4
PARENTS: Final = 3
"""Sets of a size that are moved rung by rung, and then extended [1]."""
BOUGHT: Final = frozenset(frozenset({name}) for name in SINGLE)
"""Ways that are not moved: there is next to nothing to choose [1]."""
WORTH: Final = 0.5
"""Share of the first look below which moving does not make up for it [1]."""
MOST_MOVED: Final = 16_000
"""Starts after which nothing is moved any further [1]."""
MOST_RUNS: Final = 12_000
"""Starts after which nothing new is looked at [1]; what is being looked at is finished."""

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
        self.picture = None if fits(build) else fitting_picture(build)
        self.sure: set[frozenset[RemedyName]] = set()
        self.best: dict[frozenset[RemedyName], Candidate] = {}

    def run(self) -> list[Candidate]:
        singles: list[Combined] = [(), *((measure,) for measure in self.measures)]
        self._look(singles)
        self._climb(self._of_size(0) + self._of_size(1)[:PARENTS])
        if not self._is_enough():
            some = [measure for measure in self.measures if measure.name not in SINGLE]
            self._look(pair for pair in combinations(some, 2) if pair[0].goes_with(pair[1]))
            self._climb(self._of_size(2)[:PARENTS])
        size = 2
        while not self._is_enough() and size < MOST_MEASURES and self.trial.runs < MOST_RUNS:
            self._look(self._extended(self._of_size(size)[:PARENTS]))
            size += 1
            self._climb(self._of_size(size)[:PARENTS])
        return self._finalists()

    def _space(self, measures: Combined) -> Space:
        bought = any(measure.name in SINGLE and measure.levers for measure in measures)
        return Space(self.build, measures, None if bought else self.picture)

    def _look(self, spaces: Iterable[Combined]) -> None:
        for measures in spaces:
            if self.trial.runs >= MOST_RUNS:
                return
            space = self._space(measures)
            if any(lever.key == RATING for lever in space.levers):
                # One ladder that all else follows: it is walked, with the program at its first values.
                first, *others = space.levers
                designs = [(rung, *(0 for _ in others)) for rung in range(len(first.values))]
                found = self.trial.candidates(space, designs, SURE // 2, len(designs))
            else:
                designs = [*self._inherited(space), *first_rungs(space.levers, DESIGNS, len(self.best) + 1)]
                found = self.trial.candidates(space, designs, LOOK, TRIED)
            if found:
                self._keep(found[0])

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

    def _extended(self, parents: list[Candidate]) -> Iterable[Combined]:
        done: set[frozenset[RemedyName]] = set()
        for parent in parents:
            for more in self.measures:
                names = frozenset({*parent.names, more.name})
                if names not in done and all(more.goes_with(each) for each in parent.space.measures):
                    done.add(names)
                    yield tuple(each for each in self.measures if each.name in names)

    def _is_enough(self) -> bool:
        """Whether something boots often enough that is not bought in place of what is there."""
        some = self.sure if self.with_odds else set(self.best)
        return any(self.best[names].share >= self.wanted and not names & SINGLE for names in some)

    def _finalists(self) -> list[Candidate]:
        """Return the best of each set of measures that boots more often than any part of it."""
        kept = []
        for names, each in self.best.items():
            parts = [other.share for less, other in self.best.items() if less < names]
            if all(each.share > share for share in parts):
                kept.append(each)
        return sorted(kept, key=lambda each: each.rank, reverse=True)

    def _climb(self, some: list[Candidate]) -> None:
        for candidate in some:
            worth = candidate.share >= WORTH and candidate.names not in self.sure | BOUGHT
            if self.with_odds and worth and self.trial.runs < MOST_MOVED:
                self.sure.add(candidate.names)
                self.best[candidate.names] = self._moved(self._surely([candidate])[0])

    def _moved(self, at: Candidate) -> Candidate:
        """Return a design moved rung by rung as long as that helps."""
        for _ in range(ROUNDS if len(at.names) > 2 else 1):
            near = neighbours(at.space.levers, at.rungs)
            found = self._surely(self.trial.candidates(at.space, near, CLIMB, len(near))[:SURE_OF])
            if not found or found[0].rank <= at.rank:
                break
            at = found[0]
        return at

    def _surely(self, some: list[Candidate]) -> list[Candidate]:
        """Return candidates with their shares at many points, best first."""
        shares = self.trial.shares([each.build for each in some], SURE)
        found = [replace(each, share=share) for each, share in zip(some, shares, strict=True)]
        return sorted(found, key=lambda each: each.rank, reverse=True)
