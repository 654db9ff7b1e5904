"""Decisions by odds: the smallest rating, the smallest reservoir, the delay, that boot often enough.

``rating_by_odds``, ``reservoir_by_odds``
    the smallest standard value with which the build boots in a share of the runs, and the odds of each
``delay_by_odds``, ``delays_to_try``
    the delay of the first frame that boots in most of them; what to try within and around a nominal window
``Decision``, ``Choice``
    the answer, and one of the values that were tried

All values are tried at the same points, so that what differs between them is what they do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from inrushlib.build import Build
from inrushlib.document import spread_as_written
from inrushlib.errors import UsageError
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import Which
from inrushlib.odds.points import LEAST_RUNS
from inrushlib.odds.spread import SEED, spread
from inrushlib.search.quiet import with_delay
from inrushlib.search.ratings import RATINGS, limit_ratio, with_limit
from inrushlib.search.reservoir import e6_values, with_reservoir
from inrushlib.search.window import DelayWindow

WANTED: Final = 0.95
RUNS: Final = 1024
_OF_RATING = tuple(f"adapter.{name}_current" for name in ("rated", "limit", "peak", "foldback"))
RUNS_A_DELAY: Final = 128
DELAYS: Final = 7
FINEST: Final = 1e-4
"""Shortest delay that is tried [s]."""


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


def rating_by_odds(
    build: Build,
    wanted: float = WANTED,
    *,
    least: float = 0.0,
    runs: int = RUNS,
    seed: int = SEED,
    which: Which = Which.ALL,
    cancelled: Callable[[], bool] | None = None,
) -> Decision:
    """Return the smallest standard rating with which a build boots often enough, the ratio of limit to label kept.

    Parameters
    ----------
    build : Build
        Any build; its own adapter's rating does not matter.
    wanted : float
        Share of the runs that has to boot [1], above 0, below 1.
    least : float
        Smaller ones are not tried [A]: below half of what the values as they stand ask for few runs boot.
    runs : int
        Runs for each rating at least [1].
    seed : int
        Of the points [1].
    which : Which
        Which keys are spread.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    UsageError
        For a share that is not accepted, and as :func:`~inrushlib.odds.spread`.
    """

    def made(rating: float) -> Build:
        factor = rating / build.adapter.rated_current
        return _scaled(build, with_limit(build, rating * limit_ratio(build)), _OF_RATING, factor)

    return _smallest(made, [each for each in RATINGS if each >= least], wanted, runs, seed, which, cancelled)


def reservoir_by_odds(
    build: Build,
    wanted: float = WANTED,
    *,
    least: float = 0.0,
    runs: int = RUNS,
    seed: int = SEED,
    which: Which = Which.ALL,
    cancelled: Callable[[], bool] | None = None,
) -> Decision:
    """Return the smallest E6 reservoir behind a diode with which a build boots often enough.

    Parameters
    ----------
    build : Build
        Any build; its own reservoir does not matter.
    wanted : float
        Share of the runs that has to boot [1], above 0, below 1.
    least : float
        Smaller ones are not tried [F]: below half of what the values as they stand ask for few runs boot.
    runs : int
        Runs for each value at least [1].
    seed : int
        Of the points [1].
    which : Which
        Which keys are spread.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    UsageError
        For a share that is not accepted, and as :func:`~inrushlib.odds.spread`.
    """

    def made(value: float) -> Build:
        factor = value / build.controller.reservoir
        return _scaled(build, with_reservoir(build, value), ("controller.reservoir",), factor)

    return _smallest(made, [each for each in e6_values() if each >= least], wanted, runs, seed, which, cancelled)


def delay_by_odds(
    build: Build,
    delays: Sequence[float],
    *,
    runs: int = RUNS_A_DELAY,
    seed: int = SEED,
    which: Which = Which.ALL,
    cancelled: Callable[[], bool] | None = None,
) -> Decision:
    """Return the delay of the first frame that boots most often; of those that boot as often, the middle one.

    Parameters
    ----------
    build : Build
        Any build; its own delay does not matter.
    delays : sequence of float
        What to try [s], rising, such as some within and around the nominal window.
    runs : int
        Runs for each delay at least [1].
    seed : int
        Of the points [1].
    which : Which
        Which keys are spread.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    UsageError
        Where there is no delay to try, and as :func:`~inrushlib.odds.spread`.
    """
    if not len(delays):
        raise UsageError("delays: none given; accepted: one or more, rising")

    def made(delay: float) -> Build:
        return with_delay(build, delay)

    choices = tuple(_tried(made, delay, runs, seed, which, cancelled) for delay in delays)
    best = max(choices, key=lambda each: each.boots.value)
    if best.boots.value == 0:
        return Decision(wanted=None, chosen=None, choices=choices, runs=sum(each.runs for each in choices))
    # The stretch around the best whose odds cannot be told from it.
    first = last = choices.index(best)
    while first > 0 and choices[first - 1].boots.value >= best.boots.low:
        first -= 1
    while last < len(choices) - 1 and choices[last + 1].boots.value >= best.boots.low:
        last += 1
    middle = np.sqrt(max(delays[first], 1e-6) * max(delays[last], 1e-6))
    chosen = min(choices[first : last + 1], key=lambda each: abs(np.log(max(each.value, 1e-6) / middle)))
    return Decision(wanted=None, chosen=chosen, choices=choices, runs=sum(each.runs for each in choices))


def delays_to_try(window: DelayWindow) -> tuple[float, ...]:
    """Return delays within and around a nominal window, its recommended one among them, rising [s].

    Parameters
    ----------
    window : DelayWindow
        Of the build's values as they stand.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.search import delay_window
    >>> build = new_build({"title": "t", "adapter.rated_current": 3, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64, "switch": {}})
    >>> window = delay_window(build)
    >>> delays = delays_to_try(window)
    >>> window.recommended in delays, delays[0] < window.recommended < delays[-1]
    (True, True)
    """
    low = max(window.earliest / 2, FINEST)
    high = 4 * max(window.recommended, low) if window.latest is None else 1.5 * window.latest
    return tuple(sorted({*np.geomspace(low, max(high, 2 * low), DELAYS).tolist(), max(window.recommended, FINEST)}))


def _scaled(build: Build, made: Build, keys: Sequence[str], factor: float) -> Build:
    """Return a build with what ``[tolerance]`` says of these keys in their own unit moved along with their values."""
    moved: dict[str, Any] = {}
    for each in build.spreads():
        if each.key in keys and each.relative is None:
            ends = {name: getattr(each, name) for name in ("low", "high", "sigma")}
            scaled = {name: factor * value for name, value in ends.items() if value is not None}
            moved[f"tolerance.{each.key}"] = spread_as_written(each.model_copy(update=scaled))
    return made.with_values(moved) if moved else made


def _smallest(
    made: Callable[[float], Build],
    values: Iterable[float],
    wanted: float,
    runs: int,
    seed: int,
    which: Which,
    cancelled: Callable[[], bool] | None,
) -> Decision:
    check_wanted(wanted)
    choices: list[Choice] = []
    chosen: Choice | None = None
    spent = 0
    for value in values:
        choices.append(_tried(made, value, LEAST_RUNS, seed, which, cancelled))
        spent += choices[-1].runs
        if choices[-1].boots.high < wanted and chosen is None:
            continue  # a first look tells that it does not
        choices[-1] = _tried(made, value, runs, seed, which, cancelled)
        spent += choices[-1].runs
        if chosen is None and choices[-1].boots.value >= wanted:
            chosen = choices[-1]
        elif chosen is not None:
            break  # one beyond, so that the curve shows what more brings
    return Decision(wanted=wanted, chosen=chosen, choices=tuple(choices), runs=spent)


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


def _tried(
    made: Callable[[float], Build],
    value: float,
    runs: int,
    seed: int,
    which: Which,
    cancelled: Callable[[], bool] | None,
) -> Choice:
    found = spread(made(value), runs=runs, seed=seed, which=which, cancelled=cancelled)
    return Choice(float(value), found.boots, found.runs)
