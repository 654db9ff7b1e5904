"""Readings that come in: what they say of the build, and how they are kept.

``parse_entry``  ``"tile-white=154 mA, 730 mA"`` to a card and its readings
``enter``        readings to changes of the build and rows of its log
``Entered``      these
``bench_log``    measured against modelled, a line each
``LogLine``      one of them
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inrushlib.build import Build, build_keys
from inrushlib.errors import UsageError
from inrushlib.guide.card import CardName, Expected
from inrushlib.guide.deck import card, recipe, work_out
from inrushlib.guide.rows import one_value, rounded, rows_of
from inrushlib.measurements import Measurement, MeasurementLog
from inrushlib.odds import at_measured
from inrushlib.quantities import format_quantity, parse_quantity


@dataclass(frozen=True, kw_only=True)
class Entered:
    """What the readings of one card say.

    Attributes
    ----------
    name : CardName
        Which card.
    build : Build
        The build with the values that were measured.
    log : MeasurementLog
        Rows for its log, and how their errors go together.
    apart : tuple of (Expected, float)
        Readings [SI] that lie beyond what the build lets expect: to be looked at again.
    """

    name: CardName
    build: Build
    log: MeasurementLog
    apart: tuple[tuple[Expected, float], ...]


def parse_entry(text: str, build: Build) -> tuple[CardName, tuple[float, ...]]:
    """Return the card and the readings [SI] of a text.

    Parameters
    ----------
    text : str
        Such as ``"tile-white=154 mA, 510 mA"``.
    build : Build
        Any build.

    Raises
    ------
    UsageError
        For a card that is not there or makes no sense on this build, and for readings that cannot be read.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> name, readings = parse_entry("lead-drop=210 mV, 2 A", build)
    >>> name.value, readings
    ('lead-drop', (0.21, 2.0))
    """
    named, equals, said = text.partition("=")
    known = {each.value: each for each in CardName}
    named = named.strip()
    if not equals or named not in known:
        raise UsageError(f"--enter {text}; accepted: CARD=READING, a card of {', '.join(known)}")
    name = known[named]
    return name, parse_readings(name, said, build)


def parse_readings(name: CardName, text: str, build: Build) -> tuple[float, ...]:
    """Return the readings of one card [SI].

    Parameters
    ----------
    name : CardName
        Which card.
    text : str
        Its readings in their order, with commas between.
    build : Build
        Any build.

    Raises
    ------
    UsageError
        Where the card makes no sense on this build, or a reading cannot be read.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> parse_readings(CardName.LISTEN_LEVEL, "2.2 V, 1800 mV", build)
    (2.2, 1.8)
    """
    how = recipe(name)
    if not how.keys(build):
        raise UsageError("not for this build, whose wires of that kind differ or are not there", source=_of(name))
    asked, parts = how.asked(build), [part.strip() for part in text.split(",")]
    wanted = ", ".join(f"{each.name} [{each.unit}]" for each in asked)
    if len(parts) != len(asked):
        raise UsageError(f"{len(parts)} given; accepted: {len(asked)}: {wanted}", source=_of(name))
    found = []
    for each, part in zip(asked, parts, strict=True):
        try:
            value = parse_quantity(part, each.unit)
        except ValueError as error:
            raise UsageError(f"{each.name}: {error}", source=_of(name)) from None
        if not value > 0:
            raise UsageError(f"{each.name}: {part}; accepted: above zero", source=_of(name))
        found.append(value)
    return tuple(found)


def enter(build: Build, name: CardName, readings: Sequence[float], day: date, log: MeasurementLog) -> Entered:
    """Return what the readings of a card say of a build.

    Parameters
    ----------
    build : Build
        The build.
    name : CardName
        Which card.
    readings : sequence of float
        In the order of the card [SI].
    day : date
        When they were read.
    log : MeasurementLog
        What has been measured of it before.

    Raises
    ------
    UsageError
        For readings that do not go together.
    BuildError
        For values that the build does not accept.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> found = enter(build, CardName.LEAD_DROP, (0.21, 2.0), date(2026, 3, 1), MeasurementLog())
    >>> row = found.log.rows[0]
    >>> found.build.lead.resistance, round(row.low, 4), round(row.high, 4), round(row.modelled, 4)
    (0.105, 0.1006, 0.1094, 0.1271)
    """
    before = card(at_measured(build.with_measured(log)), name)
    try:
        worked = work_out(build, name, readings)
    except ZeroDivisionError:
        raise UsageError("two readings are the same; accepted: readings that differ", source=_of(name)) from None
    values = [rounded(value) for value in worked.values]
    for key, value in zip(before.keys, values, strict=True):
        _check(name, key, value)
    log = rows_of(build, before.keys, values, worked, name.value, day)
    changed = build.with_values({row.key: row.value for row in log.rows})
    apart = tuple(
        (each, value) for each, value in zip(before.readings, readings, strict=True) if _beyond(each, value)
    )  # fmt: skip
    return Entered(name=name, build=changed, log=log, apart=apart)


def _of(name: CardName) -> str:
    """Where a message is from, for who cannot see the card."""
    return f"card {name.value}"


def _check(name: CardName, key: str, value: float) -> None:
    info = build_keys()[key]
    if not value >= info.low or not value <= info.high or (value == info.low and not info.low_included):
        shown = format_quantity(value, info.unit, digits=3)
        raise UsageError(f"its readings make {key} {shown}; accepted: {info.bounds}", source=_of(name))


def _beyond(each: Expected, value: float) -> bool:
    """Whether a reading is beyond its range by more than the instrument is off."""
    off = each.instrument.gain * value + each.instrument.floor
    return not each.low - off <= value <= each.high + off


@dataclass(frozen=True, kw_only=True)
class LogLine:
    """One measured value against the model.

    Attributes
    ----------
    row : Measurement
        What was measured.
    unit : str
        Of the key.
    holds : bool
        Whether no later row is for the same key.
    stands : float or None
        What the build has now [unit of the key, SI]; None for entries that differ, or where there is no such part.
    """

    row: Measurement
    unit: str
    holds: bool
    stands: float | None

    @property
    def inside(self) -> bool | None:
        """Whether what the model had before lies in the interval; None where that is not known."""
        row = self.row
        if row.modelled is None:
            return None
        above = row.low is None or row.modelled >= row.low
        return above and (row.high is None or row.modelled <= row.high)


def bench_log(build: Build, log: MeasurementLog) -> tuple[LogLine, ...]:
    """Return measured against modelled, oldest first.

    Parameters
    ----------
    build : Build
        Any build.
    log : MeasurementLog
        What has been measured of it.
    """
    newest = log.newest()
    return tuple(
        LogLine(
            row=row, unit=build_keys()[row.key].unit, holds=newest[row.key] is row,
            stands=one_value(build.get(row.key)),
        )
        for row in log.rows
    )  # fmt: skip


def joined(log: MeasurementLog, entered: Iterable[Entered]) -> MeasurementLog:
    """Return a log with what was entered below what stands in it.

    Parameters
    ----------
    log : MeasurementLog
        What has been measured before.
    entered : iterable of Entered
        What came in.
    """
    for each in entered:
        log = log.extended(each.log)
    return log
