"""The cards of one build, the one that is expected to settle most of the doubt first.

``deal``    the odds as they stand, and the cards
``Dealt``   these
``recipe``  how a measurement is made
``card``    one card for a build
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import log, sqrt
from typing import Any, Final

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.guide.adapter_cards import ADAPTER_CARDS
from inrushlib.guide.card import Card, CardName, Expected, Recipe
from inrushlib.guide.controller_cards import CONTROLLER_CARDS
from inrushlib.guide.pixel_cards import PIXEL_CARDS
from inrushlib.guide.uncertainty import Known, Worked, propagate
from inrushlib.guide.wire_cards import WIRE_CARDS
from inrushlib.measurements import MeasurementLog
from inrushlib.odds import SEED, Influence, KeyRange, SpreadFound, at_measured, key_ranges, spread
from inrushlib.odds.key_ranges import Shape
from inrushlib.odds.posterior import CUT

RUNS: Final = 512
"""Starts of the odds [1]."""
LITTLE: Final = 0.01
"""Share of the doubt below which a card is not worth its time [1]."""
_RECIPES: Final = {each.name: each for each in (*PIXEL_CARDS, *ADAPTER_CARDS, *CONTROLLER_CARDS, *WIRE_CARDS)}
NOTHING: Final = MeasurementLog()


@dataclass(frozen=True, kw_only=True)
class Dealt:
    """The odds of a build as they stand, and what to measure.

    Attributes
    ----------
    build : Build
        The build, as it is in its file.
    odds : SpreadFound
        Its odds, measured values within the intervals of their measurements.
    cards : tuple of Card
        What is worth measuring, the card that is expected to settle most first.
    others : tuple of Card
        What else can be measured, but settles next to nothing.
    """

    build: Build
    odds: SpreadFound
    cards: tuple[Card, ...]
    others: tuple[Card, ...]


def recipe(name: CardName) -> Recipe:
    """Return how a measurement is made.

    Parameters
    ----------
    name : CardName
        Which.
    """
    return _RECIPES[name]


def deal(
    build: Build,
    log: MeasurementLog = NOTHING,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Dealt:
    """Return what to measure of a build, the card that is expected to settle most of the doubt first.

    What a card settles: of each of its keys the first-order index, less the share that is left because the reading
    is not exact, the squares of the standard deviations after and before compared. A card is left out once all its
    keys are measured.

    Parameters
    ----------
    build : Build
        Any build.
    log : MeasurementLog
        What has been measured of it.
    runs, seed : int
        Of the odds [1].
    progress, cancelled : callable or None
        As for :func:`inrushlib.odds.spread`.

    Raises
    ------
    BuildError, UsageError, Cancelled
        As for :func:`inrushlib.odds.spread`.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 0.3, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8, "run.duration": 0.3})
    >>> dealt = deal(build, runs=64)
    >>> shares = [card.settles for card in dealt.cards]
    >>> shares == sorted(shares, reverse=True)
    True
    """
    known = at_measured(build.with_measured(log))
    odds = spread(known, runs=runs, seed=seed, progress=progress, cancelled=cancelled)
    found = cards_of(build, odds.influences, odds.ranges, frozenset(log.newest()))
    worth = tuple(each for each in found if each.settles >= LITTLE)
    return Dealt(build=build, odds=odds, cards=worth, others=found[len(worth) :])


def cards_of(
    build: Build, influences: Sequence[Influence], ranges: Iterable[KeyRange], measured: frozenset[str]
) -> tuple[Card, ...]:
    """Return all cards of a build that still have something to tell, the one that settles most first.

    Parameters
    ----------
    build : Build
        Any build.
    influences : sequence of Influence
        What each value does to the odds.
    ranges : iterable of KeyRange
        Of its values.
    measured : frozenset of str
        Dotted keys that are measured already.
    """
    by_key = {each.key: each for each in ranges}
    settles = {key: each.settles.value for each in influences for key in each.keys}
    found = []
    for each in _RECIPES.values():
        keys = each.keys(build)
        if not set(keys) <= measured and any(key in by_key for key in keys):
            found.append(card(build, each.name, by_key, settles, measured))
    return tuple(sorted(found, key=lambda one: -one.settles))


def card(
    build: Build,
    name: CardName,
    ranges: dict[str, KeyRange] | None = None,
    settles: dict[str, float] | None = None,
    measured: frozenset[str] = frozenset(),
) -> Card:
    """Return one card of a build.

    Parameters
    ----------
    build : Build
        Any build on which the measurement makes sense.
    name : CardName
        Which.
    ranges : dict of str to KeyRange or None
        By dotted key; None for those of the build.
    settles : dict of str to float or None
        Share of the doubt that each key settles [1]; None for none.
    measured : frozenset of str
        Dotted keys that count for nothing, for they are measured already.
    """
    by_key = {each.key: each for each in key_ranges(build)} if ranges is None else ranges
    how = _RECIPES[name]
    keys = how.keys(build)
    readings = _expected(build, how, by_key)
    worked = work_out(build, name, [each.value for each in readings], by_key)
    share = 0.0
    for key, after in zip(keys, worked.uncertainties, strict=True):
        if settles and key in by_key and key not in measured:
            share += settles.get(key, 0.0) * max(0.0, 1 - (after / deviation(by_key[key])) ** 2)
    return Card(
        name=name, keys=keys, setup=how.setup(build), readings=readings, uncertainties=worked.uncertainties,
        settles=min(share, 1.0),
    )  # fmt: skip


def work_out(
    build: Build, name: CardName, readings: Sequence[float], ranges: dict[str, KeyRange] | None = None
) -> Worked:
    """Return the values that readings tell, in the order of the card's keys.

    Parameters
    ----------
    build : Build
        Any build on which the measurement makes sense.
    name : CardName
        Which measurement.
    readings : sequence of float
        In the order of the card [SI].
    ranges : dict of str to KeyRange or None
        By dotted key; None for those of the build.

    Raises
    ------
    UsageError
        For readings that do not go together.
    """
    by_key = {each.key: each for each in key_ranges(build)} if ranges is None else ranges
    how = _RECIPES[name]
    if how.check is not None:
        how.check(build, readings)
    instruments = [asked.instrument(value) for asked, value in zip(how.asked(build), readings, strict=True)]
    known = [Known(key, float(build.get(key)), _half(by_key.get(key))) for key in how.known]
    return propagate(how.formula(build), readings, instruments, known, how.method)


def deviation(each: KeyRange) -> float:
    """Return the standard deviation of a key over its range, from how its values are spread [unit of the key].

    Parameters
    ----------
    each : KeyRange
        Its range.
    """
    low, high = each.low, each.high
    if each.shape in (Shape.NORMAL, Shape.MEASURED):
        return (high - low) / (2 * CUT)
    if each.shape is Shape.BY_FACTOR:
        factor = log(high / low)
        mean, square = (high - low) / factor, (high**2 - low**2) / (2 * factor)
        return sqrt(square - mean**2)
    return (high - low) / sqrt(12)


def _half(each: KeyRange | None) -> float:
    return 0.0 if each is None else sqrt(3) * deviation(each)


def _expected(build: Build, how: Recipe, ranges: dict[str, KeyRange]) -> tuple[Expected, ...]:
    nominal = [float(value) for value in how.expect(build)]
    tried = [nominal]
    for key in (*how.keys(build), *how.known, *_ALSO):
        if key in ranges:
            tried += [_with(build, how, key, end, nominal) for end in (ranges[key].low, ranges[key].high)]
    lows, highs = (list(map(of, zip(*tried, strict=True))) for of in (min, max))
    return tuple(
        Expected(name=each.name, unit=each.unit, instrument=each.instrument(value), value=value, low=low, high=high)
        for each, value, low, high in zip(how.asked(build), nominal, lows, highs, strict=True)
    )


_ALSO: Final = ("pixel.channel_current", "pixel.quiescent_current", "pixel.forward_voltages", "controller.run_current")
"""Keys that readings hang on beside those that are asked for; one that a reading does not hang on moves nothing."""


_BACK: Final = (1.0, 0.75, 0.5, 0.25)
"""How far towards the end of a range a value is moved [1]: less where that does not fit beside the others."""


def _with(build: Build, how: Recipe, key: str, end: float, nominal: list[float]) -> list[float]:
    for share in _BACK:
        try:
            moved = build.with_values({key: _towards(build.get(key), end, share)})
        except InrushError:
            continue  # an end that does not fit beside the build's other values: a little nearer
        return [float(each) for each in how.expect(moved)]
    return nominal


def _towards(before: Any, end: float, share: float) -> Any:
    """A value some of the way to an end of its range; entries that differ are all moved by the same factor."""
    if not isinstance(before, tuple):
        return before + share * (end - before)
    nearest = max(before) if end > max(before) else min(before)
    return [each * (1 + share * (end / nearest - 1)) for each in before]
