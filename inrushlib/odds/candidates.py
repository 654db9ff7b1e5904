"""Values of one key that a decision by odds can choose from, and the build with each of them.

``ratings_to_try``     standard ratings of the adapter
``reservoirs_to_try``  E6 values behind a diode
``delays_to_try``      delays of the first frame within and around a nominal window
``Candidates``         the values, what they are, and the build with one of them
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from inrushlib.build import Build
from inrushlib.document import spread_as_written

# The searches take long to import, and what asks for odds or edges has no use for them: the functions import them.
if TYPE_CHECKING:
    from inrushlib.search.window import DelayWindow

_OF_RATING: Final = tuple(f"adapter.{name}_current" for name in ("rated", "limit", "peak", "foldback"))
DELAYS: Final = 7
FINEST: Final = 1e-4
"""Shortest delay that is tried [s]."""


@dataclass(frozen=True, kw_only=True)
class Candidates:
    """Values of one key that can be chosen from.

    Attributes
    ----------
    name : str
        What they are, for a message.
    values : tuple of float
        The values [A], [F] or [s], rising.
    made : callable
        From one of them to the build with it.
    """

    name: str
    values: tuple[float, ...]
    made: Callable[[float], Build]


def ratings_to_try(build: Build, least: float = 0.0) -> Candidates:
    """Return the standard ratings of an adapter, the ratio of limit to label kept.

    Parameters
    ----------
    build : Build
        Any build; its own adapter's rating does not matter.
    least : float
        Smaller ones are left out [A]: below half of what the values as they stand ask for few runs boot.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> found = ratings_to_try(build, least=9)
    >>> found.values[0], found.made(10.0).adapter.limit_current
    (10.0, 12.0)
    """
    from inrushlib.search.ratings import RATINGS, limit_ratio, with_limit

    def made(rating: float) -> Build:
        factor = rating / build.adapter.rated_current
        return _scaled(build, with_limit(build, rating * limit_ratio(build)), _OF_RATING, factor)

    return Candidates(name="ratings", values=tuple(each for each in RATINGS if each >= least), made=made)


def reservoirs_to_try(build: Build, least: float = 0.0) -> Candidates:
    """Return the E6 values of a reservoir behind a diode.

    Parameters
    ----------
    build : Build
        Any build; its own reservoir does not matter.
    least : float
        Smaller ones are left out [F]: below half of what the values as they stand ask for few runs boot.
    """
    from inrushlib.search.reservoir import e6_values, with_reservoir

    def made(value: float) -> Build:
        factor = value / build.controller.reservoir
        return _scaled(build, with_reservoir(build, value), ("controller.reservoir",), factor)

    return Candidates(name="reservoirs", values=tuple(each for each in e6_values() if each >= least), made=made)


def delays_to_try(build: Build, window: DelayWindow) -> Candidates:
    """Return delays of the first frame within and around a nominal window, its recommended one among them.

    Parameters
    ----------
    build : Build
        Any build; its own delay does not matter.
    window : DelayWindow
        Of the build's values as they stand.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.search import delay_window
    >>> build = new_build({"title": "t", "adapter.rated_current": 3, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64, "switch": {}})
    >>> window = delay_window(build)
    >>> delays = delays_to_try(build, window).values
    >>> window.recommended in delays, delays[0] < window.recommended < delays[-1]
    (True, True)
    """
    low = max(window.earliest / 2, FINEST)
    high = 4 * max(window.recommended, low) if window.latest is None else 1.5 * window.latest
    spaced = np.geomspace(low, max(high, 2 * low), DELAYS).tolist()
    return delays_between(build, sorted({*spaced, max(window.recommended, FINEST)}))


def delays_between(build: Build, delays: Sequence[float]) -> Candidates:
    """Return given delays of the first frame.

    Parameters
    ----------
    build : Build
        Any build; its own delay does not matter.
    delays : sequence of float
        The delays [s], rising.
    """
    from inrushlib.search.quiet import with_delay

    return Candidates(name="delays", values=tuple(delays), made=lambda delay: with_delay(build, delay))


def _scaled(build: Build, made: Build, keys: Sequence[str], factor: float) -> Build:
    """Return a build with what ``[tolerance]`` says of these keys in their own unit moved along with their values."""
    moved: dict[str, Any] = {}
    for each in build.spreads():
        if each.key in keys and each.relative is None:
            ends = {name: getattr(each, name) for name in ("low", "high", "sigma")}
            scaled = {name: factor * value for name, value in ends.items() if value is not None}
            moved[f"tolerance.{each.key}"] = spread_as_written(each.model_copy(update=scaled))
    return made.with_values(moved) if moved else made
