"""Where to feed a panel: which sections a given number of feed wires should go to.

``place_feeds``
    the sections that give the best worst pixel, exactly for small panels, by a named search for large ones
``compare_feeds``
    one end, both ends, middle, every n-th and the best places, side by side
``best_feeding``
    which of several to recommend
``fed_at``
    a build with its feeds moved

A display fed better draws more at power-on, which may be what a small adapter cannot give: each arrangement that
is shown or recommended is started, and one that starts worse than the build as it is is not recommended.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from inrushlib.build import Build
from inrushlib.errors import SolverError, UsageError, stop_where
from inrushlib.panel import PanelState, solve_panel
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.startup import Headline, simulate

EXACT_UP_TO = 300
"""Arrangements that are all tried before a search takes over."""
MOST_STARTS = 24
"""Best arrangements that are started, until one starts no worse than the build as it is."""
WHITE = (1.0, 1.0, 1.0)

Feeds = tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Feeding:
    """One way of feeding a panel and what comes of it.

    Attributes
    ----------
    name : str
        "one end", "both ends", "middle", "every 2nd", "best of 3".
    feeds : tuple of int
        Sections fed [1].
    lowest_voltage : float
        Of the worst pixel [V].
    worst_pixel : int
        Which one [1].
    voltage_spread : float
        Between best and worst pixel [V].
    lowest_brightness : float
        Of any pixel, against the best-fed one [1].
    largest_feed_current, largest_hop_current : float
        [A].
    adapter_current : float
        [A].
    start : Rerun or None
        The start of the build as it is, and fed so; None where one of them cannot be computed.
    """

    name: str
    feeds: Feeds
    lowest_voltage: float
    worst_pixel: int
    voltage_spread: float
    lowest_brightness: float
    largest_feed_current: float
    largest_hop_current: float
    adapter_current: float
    start: Rerun | None = None

    @property
    def worsens(self) -> bool:
        """Whether the build starts worse when fed so, or may."""
        return self.start is None or self.start.worsens


@dataclass(frozen=True, kw_only=True)
class FeedSearch:
    """The best arrangement found, and how sure that is.

    Attributes
    ----------
    best : Feeding
        The best arrangement with which the build starts no worse than as it is; where there is none, the best.
    passed_over : int
        Arrangements that are better for the worst pixel, but start worse [1].
    method : str
        "exact: all arrangements tried", or the name of the search, whose answer is not proven the best.
    exact : bool
        Whether all arrangements were tried.
    tried : int
        Arrangements solved [1].
    """

    best: Feeding
    passed_over: int
    method: str
    exact: bool
    tried: int


def fed_at(build: Build, feeds: Sequence[int], feed_resistance: float | None = None) -> Build:
    """A build with its feeds at other sections, each landing on the middle pixel.

    Parameters
    ----------
    build : Build
        The build [SI].
    feeds : sequence of int
        Sections to feed [1], each once.
    feed_resistance : float or None
        Loop of each feed wire [ohm], above 0; None for the largest of the build's feeds.

    Returns
    -------
    Build
        The changed copy.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 3,
    ...                    "wiring.pixels_per_section": 8})
    >>> fed_at(build, (0, 2)).wiring.feeds
    (0, 2)
    """
    resistance = max(build.wiring.feed_resistance) if feed_resistance is None else feed_resistance
    return build.with_values(
        {"wiring.feeds": list(feeds), "wiring.feed_resistance": resistance, "wiring.feed_pixels": None}
    )


@dataclass(kw_only=True)
class _Trials:
    """Solves arrangements, each once, and remembers what came out."""

    build: Build
    colour: ArrayLike
    feed_resistance: float | None
    cancelled: Callable[[], bool] | None = None
    states: dict[Feeds, tuple[float, float]] = field(default_factory=dict)

    def state(self, feeds: Feeds) -> PanelState:
        """The panel fed at these sections."""
        return solve_panel(fed_at(self.build, feeds, self.feed_resistance), self.colour)

    def score(self, feeds: Feeds) -> tuple[float, float]:
        """What is maximised: the worst pixel's voltage [V], then the mean, to a nanovolt."""
        if feeds not in self.states:
            stop_where(self.cancelled, "while feeds were placed")
            state = self.state(feeds)
            self.states[feeds] = (round(state.lowest_voltage, 9), round(float(state.voltages.mean()), 9))
        return self.states[feeds]

    def feeding(self, name: str, feeds: Feeds, before: Headline | None) -> Feeding:
        """What comes of these feeds."""
        changed = fed_at(self.build, feeds, self.feed_resistance)
        return _feeding(name, feeds, self.state(feeds), _started(before, changed))

    def best_that_starts(self, name: str, best: Feeds, before: Headline | None) -> tuple[Feeding, int]:
        """The best of what was solved that starts no worse than the build as it is, and how many had to be passed."""
        ranked = [best, *(feeds for feeds in sorted(self.states, key=self.score, reverse=True) if feeds != best)]
        first = self.feeding(name, best, before)
        if before is None or not first.worsens:
            return first, 0
        for passed, feeds in enumerate(ranked[1:MOST_STARTS], 1):
            stop_where(self.cancelled, "while feeds were placed")
            found = self.feeding(name, feeds, before)
            if not found.worsens:
                return found, passed
        return first, 0


def _headline(build: Build) -> Headline | None:
    """How a build starts; None where that cannot be computed."""
    try:
        return simulate(build).headline
    except SolverError:
        return None


def _started(before: Headline | None, changed: Build) -> Rerun | None:
    if before is None:
        return None
    try:
        return rerun(before, changed)
    except SolverError:
        return None


def _feeding(name: str, feeds: Feeds, state: PanelState, start: Rerun | None) -> Feeding:
    return Feeding(
        name=name,
        feeds=feeds,
        lowest_voltage=state.lowest_voltage,
        worst_pixel=state.worst_pixel,
        voltage_spread=state.highest_voltage - state.lowest_voltage,
        lowest_brightness=state.lowest_brightness,
        largest_feed_current=float(np.abs(state.feed_currents).max()),
        largest_hop_current=state.largest_hop_current,
        adapter_current=state.adapter_current,
        start=start,
    )


def evenly_spaced(sections: int, count: int) -> Feeds:
    """Sections at the middles of equal stretches: the best places of a uniform row with little sag.

    Parameters
    ----------
    sections : int
        Sections in the row [1], 1 or more.
    count : int
        Feeds [1], 1 to sections.

    Returns
    -------
    tuple of int
        Sections [1].

    Examples
    --------
    >>> evenly_spaced(12, 3)
    (2, 6, 10)
    """
    return tuple(int((2 * place + 1) * sections / (2 * count)) for place in range(count))


def place_feeds(
    build: Build,
    count: int,
    colour: ArrayLike = WHITE,
    *,
    feed_resistance: float | None = None,
    exact_up_to: int = EXACT_UP_TO,
    cancelled: Callable[[], bool] | None = None,
    before: Headline | None = None,
) -> FeedSearch:
    """Sections that a number of feeds should go to, for the highest voltage at the worst pixel.

    An arrangement with which the build starts worse than as it is gives way to the next best.

    Where there are few arrangements all are tried. Otherwise an exchange search: from even spacing and from
    the two ends, single feeds are moved to better sections until no move helps; that is not proven the best.

    Parameters
    ----------
    build : Build
        The build [SI]; its own feeds do not matter.
    count : int
        Feeds [1], 1 to the number of sections.
    colour : array
        Duty of red, green and blue [1], 0 to 1, or a row for each pixel.
    feed_resistance : float or None
        Loop of each feed wire [ohm], above 0; None for the largest of the build's feeds.
    exact_up_to : int
        Most arrangements that are all tried [1].
    cancelled : callable or None
        Asked before each solve; :class:`~inrushlib.errors.Cancelled` where it says yes.
    before : Headline or None
        How the build starts as it is, where that is known already.

    Returns
    -------
    FeedSearch
        The arrangement and how sure it is.

    Raises
    ------
    UsageError
        Where the count of feeds cannot be.

    Notes
    -----
    Every feed wire has the same resistance here, wherever it goes.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "row", "adapter.rated_current": 20, "wiring.sections": 5,
    ...                    "wiring.pixels_per_section": 64})
    >>> place_feeds(build, 1).best.feeds
    (2,)
    """
    sections = build.wiring.sections
    if not 1 <= count <= sections:
        raise UsageError(f"number of feeds: {count}; accepted: 1 to {sections}, the number of sections")
    trials = _Trials(build=build, colour=colour, feed_resistance=feed_resistance, cancelled=cancelled)
    exact = math.comb(sections, count) <= exact_up_to
    if exact:
        best = max(combinations(range(sections), count), key=trials.score)
        method = "exact: all arrangements tried"
    else:
        starts = {evenly_spaced(sections, count), _ends(sections, count)}
        best = max((_exchange(trials, start, sections) for start in sorted(starts)), key=trials.score)
        method = f"exchange search from {len(starts)} starts, not proven the best"
    chosen, passed = trials.best_that_starts(f"best of {count}", best, before or _headline(build))
    return FeedSearch(best=chosen, passed_over=passed, method=method, exact=exact, tried=len(trials.states))


def _ends(sections: int, count: int) -> Feeds:
    """Both ends and evenly between; the first section for a single feed."""
    return tuple(round(place * (sections - 1) / max(count - 1, 1)) for place in range(count))


def _exchange(trials: _Trials, feeds: Feeds, sections: int) -> Feeds:
    """Move one feed at a time, near places before far ones, until nothing helps."""
    reach = 1
    while True:
        better = max(_moves(feeds, sections, reach), key=trials.score, default=feeds)
        if trials.score(better) > trials.score(feeds):
            feeds, reach = better, 1
        elif reach < min(sections, 4):
            reach *= 2
        else:
            return feeds


def _moves(feeds: Feeds, sections: int, reach: int) -> Iterable[Feeds]:
    """Arrangements with one feed moved by exactly the reach, or all of them moved by it together."""
    for shift in (-reach, reach):
        together = tuple(feed + shift for feed in feeds)
        if together[0] >= 0 and together[-1] < sections:
            yield together
        for place, feed in enumerate(feeds):
            moved = tuple(sorted((*feeds[:place], feed + shift, *feeds[place + 1 :])))
            if 0 <= feed + shift < sections and len(set(moved)) == len(moved):
                yield moved


def compare_feeds(
    build: Build,
    colour: ArrayLike = WHITE,
    *,
    every: Sequence[int] = (2, 3, 4),
    best_of: Sequence[int] = (1, 2, 3),
    feed_resistance: float | None = None,
) -> tuple[Feeding, ...]:
    """The usual ways of feeding side by side: the build's own, one end, both ends, middle, every n-th, best.

    Parameters
    ----------
    build : Build
        The build [SI].
    colour : array
        Duty of red, green and blue [1], 0 to 1, or a row for each pixel.
    every : sequence of int
        Spacings for "every n-th" [1]: n // 2, then every n-th section.
    best_of : sequence of int
        Numbers of feeds to place best [1]; those above the number of sections are left out.
    feed_resistance : float or None
        Loop of each feed wire [ohm], above 0; None for the largest of the build's feeds.

    Returns
    -------
    tuple of Feeding
        The build as it is, with its own feed wires and the pixels they land on; then one for each arrangement of
        like wires to the middles of sections that differs from those before it.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "row", "adapter.rated_current": 20, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> [(row.name, row.feeds) for row in compare_feeds(build, every=(2,), best_of=())]
    [('as built', (0,)), ('one end', (0,)), ('both ends', (0, 5)), ('middle', (3,)), ('every 2nd', (1, 3, 5))]
    """
    sections = build.wiring.sections
    trials = _Trials(build=build, colour=colour, feed_resistance=feed_resistance)
    ways: list[tuple[str, Feeds]] = [
        ("one end", (0,)),
        ("both ends", tuple(sorted({0, sections - 1}))),
        ("middle", (sections // 2,)),
    ]
    ways += [(f"every {_ordinal(n)}", tuple(range(n // 2, sections, n))) for n in every if n < sections]
    rows: dict[Feeds, Feeding] = {}
    before = _headline(build)
    for name, feeds in ways:
        if feeds not in rows:
            rows[feeds] = trials.feeding(name, feeds, before)
    for count in best_of:
        if count <= sections:
            best = place_feeds(build, count, colour, feed_resistance=feed_resistance, before=before).best
            rows.setdefault(best.feeds, best)
    unchanged = None if before is None else Rerun(before, before)
    own = _feeding("as built", build.wiring.feeds, solve_panel(build, colour), unchanged)
    return (own, *rows.values())


def best_feeding(ways: Sequence[Feeding]) -> Feeding:
    """Which of several ways of feeding to recommend: one that starts no worse, then the best worst pixel.

    Parameters
    ----------
    ways : sequence of Feeding
        As :func:`compare_feeds` returns them, the build as it is first [1].

    Returns
    -------
    Feeding
        The first one, which is no change, where no other is better.
    """
    started = [(way.start.after.grade, way) for way in ways if way.start is not None and not way.start.worsens]
    if not started:
        return ways[0]
    return min(started, key=lambda each: (each[0], -each[1].lowest_voltage))[1]


def _ordinal(number: int) -> str:
    suffix = {1: "st", 2: "nd", 3: "rd"}.get(number % 10 if number % 100 not in (11, 12, 13) else 0, "th")
    return f"{number}{suffix}"
