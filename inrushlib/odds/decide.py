"""Decisions by odds: which value of one key to take so that the build boots often enough.

``decide``    the smallest value that boots in a share of the runs, or the one that boots in most, and the odds of each
``Decision``, ``Choice``
              the answer, and one of the values that were tried

What can be tried stands in :mod:`inrushlib.odds.candidates`. All values are tried at the same points, so that what
differs between them is what they do.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from inrushlib.errors import UsageError
from inrushlib.odds.candidates import Candidates
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import Which
from inrushlib.odds.points import LEAST_RUNS
from inrushlib.odds.spread import SEED, spread

WANTED: Final = 0.95
RUNS: Final = 1024
RUNS_FOR_MOST: Final = 128
"""Runs of each value where the one that boots most often is looked for [1]."""
SHORTEST: Final = 1e-6
"""Below which values count as one where the middle of several is looked for [unit of the value]."""


@dataclass(frozen=True)
class Choice:
    """A value that was tried.

    Attributes
    ----------
    value : float
        The value [A], [F] or [s].
    boots : Estimate
        How often the build boots with it at the first try [1].
    runs : int
        From so many runs [1]: few where a first look told that it does not boot often enough.
    """

    value: float
    boots: Estimate
    runs: int


@dataclass(frozen=True, kw_only=True)
class Decision:
    """What the odds recommend.

    Attributes
    ----------
    wanted : float or None
        The share of runs that has to boot [1]; None where the most is taken.
    chosen : Choice or None
        The value to take; None where none boots often enough.
    choices : tuple of Choice
        All that were tried, rising: the curve of the odds.
    runs : int
        Runs of the model [1].
    """

    wanted: float | None
    chosen: Choice | None
    choices: tuple[Choice, ...]
    runs: int

    @property
    def best(self) -> Choice:
        """The one that boots most often, the smallest of several."""
        return max(self.choices, key=lambda each: each.boots.value)

    def at(self, value: float) -> Choice | None:
        """Return what was found for a value.

        Parameters
        ----------
        value : float
            One that was tried [A], [F] or [s]; None is returned for another.
        """
        return next((each for each in self.choices if abs(each.value - value) <= 1e-9 * abs(value)), None)


def decide(
    candidates: Candidates,
    wanted: float | None = WANTED,
    *,
    runs: int | None = None,
    seed: int = SEED,
    which: Which = Which.ALL,
    cancelled: Callable[[], bool] | None = None,
) -> Decision:
    """Return which of some values to take so that a build boots often enough at the first try.

    Parameters
    ----------
    candidates : Candidates
        The values, and the build with each.
    wanted : float or None
        The smallest that boots in this share of the runs [1], above 0, below 1, is chosen. None for the one that boots
        in most; of those whose odds cannot be told from its the middle one, which has the widest margin either way.
    runs : int or None
        Runs for each value at least [1]; None for 1024, or for 128 where the one that boots in most is wanted.
    seed : int
        Of the points [1].
    which : Which
        Which keys are spread.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    UsageError
        For a share that is not accepted, where there is no value to try, and as :func:`~inrushlib.odds.spread`.
    Cancelled
        Where the caller asked to stop.
    """
    if wanted is not None:
        check_wanted(wanted)
    if not candidates.values:
        raise UsageError(f"{candidates.name}: none given to try; accepted: one or more, rising")

    def tried(value: float, at_least: int) -> Choice:
        found = spread(candidates.made(value), runs=at_least, seed=seed, which=which, cancelled=cancelled)
        return Choice(float(value), found.boots, found.runs)

    if wanted is None:
        return _most(candidates, tried, runs or RUNS_FOR_MOST)
    return _smallest(candidates, tried, wanted, runs or RUNS)


_Tried = Callable[[float, int], Choice]


def _smallest(candidates: Candidates, tried: _Tried, wanted: float, runs: int) -> Decision:
    choices: list[Choice] = []
    chosen: Choice | None = None
    spent = 0
    for value in candidates.values:
        choices.append(tried(value, LEAST_RUNS))
        spent += choices[-1].runs
        if choices[-1].boots.high < wanted and chosen is None:
            continue  # a first look tells that it does not
        choices[-1] = tried(value, runs)
        spent += choices[-1].runs
        if chosen is None and choices[-1].boots.value >= wanted:
            chosen = choices[-1]
        elif chosen is not None:
            break  # one beyond, so that the curve shows what more brings
    return Decision(wanted=wanted, chosen=chosen, choices=tuple(choices), runs=spent)


def _most(candidates: Candidates, tried: _Tried, runs: int) -> Decision:
    choices = tuple(tried(value, runs) for value in candidates.values)
    spent = sum(each.runs for each in choices)
    best = max(choices, key=lambda each: each.boots.value)
    if best.boots.value == 0:
        return Decision(wanted=None, chosen=None, choices=choices, runs=spent)
    # The stretch around the best whose odds cannot be told from it.
    first = last = choices.index(best)
    while first > 0 and choices[first - 1].boots.value >= best.boots.low:
        first -= 1
    while last < len(choices) - 1 and choices[last + 1].boots.value >= best.boots.low:
        last += 1
    places = np.log([max(each.value, SHORTEST) for each in choices])
    middle = 0.5 * (places[first] + places[last])
    chosen = choices[first + int(np.argmin(np.abs(places[first : last + 1] - middle)))]
    return Decision(wanted=None, chosen=chosen, choices=choices, runs=spent)


def check_wanted(wanted: float) -> None:
    """Refuse a share of runs that cannot be asked for.

    Parameters
    ----------
    wanted : float
        The share [1].

    Raises
    ------
    UsageError
        Where it is not above 0 and below 1.
    """
    if not 0 < wanted < 1:
        raise UsageError(f"wanted odds: value {wanted:g}; accepted: above 0, below 1")
