"""The time of each sample: which column it is, or interval and start; segments and pairs of equal times."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.header import Column, Header
from inrushlib.trace.read.preamble import Facts, rate_in_hertz
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.settings import Advice, Setting, either, refused
from inrushlib.trace.read.units import find_unit, to_si, two_meanings

FloatArray = NDArray[np.float64]
_TIME_NAME = re.compile(r"(.*\b)?time(\b.*)?|t|x ?axis|seconds?|timestamp|x|t[ _](n|u|m)?s|.*_time", re.IGNORECASE)
_INDEX_NAME = re.compile(r"index|samples?|points?|no\.?|n|#|sequence|record|row|number", re.IGNORECASE)
_UNITS_OF_TIME = "s, ms, us, ns"
_STEP = Advice(Setting.INTERVAL)
_TIME_UNITS = [Advice(Setting.TIME_UNIT, unit) for unit in ("s", "ms", "us")]
_FAR = 10.0  # lengths of a record, farther than which it does not lie from its zero


@dataclass(frozen=True)
class Interval:
    """Samples without times.

    Attributes
    ----------
    step : float
        Time between them [s].
    start : float
        Time of the first [s].
    sentences : tuple of str
        Where both come from.
    """

    step: float
    start: float
    sentences: tuple[str, ...]


def find_time_column(header: Header, choices: ReadChoices) -> Column | None:
    """The column that holds the time by its name or unit, or the caller's choice; None when there is none.

    Parameters
    ----------
    header : Header
        What stands before the samples.
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    Column or None
        The time column.

    Raises
    ------
    CaptureRefused
        Where the chosen column is not there, or several could be the time.
    """
    chosen, columns = choices.time_column, header.columns
    if chosen == 0:
        return None
    if chosen is not None:
        for column in columns:
            if chosen in (column.cell + 1, column.name, column.label):
                return column
        listed = ", ".join(f"{c.cell + 1} {c.name!r}" for c in columns)
        told = Advice(Setting.TIME_COLUMN, str(chosen))
        raise refused(f"line {header.names_line}: ", told, f" is none of the columns: {listed}")
    by_unit = [c for c in columns if (unit := find_unit(c.unit)) is not None and unit.base == "s"]
    by_name = [c for c in columns if _TIME_NAME.fullmatch(c.name) and (not c.unit or two_meanings(c.unit) == "ms")]
    found = by_unit or by_name
    if len(found) > 1:
        listed = ", ".join(f"{c.cell + 1} {c.label or c.name!r}" for c in found)
        ways = either([Advice(Setting.TIME_COLUMN, str(c.cell + 1)) for c in found])
        raise refused(f"line {header.names_line}: columns {listed} could be the time: choose ", *ways)
    return found[0] if found else None


def is_index(column: Column) -> bool:
    """Whether a column is named as a running number.

    Parameters
    ----------
    column : Column
        The column.

    Returns
    -------
    bool
        True for a running number.
    """
    return bool(_INDEX_NAME.fullmatch(column.name) or column.unit.lower() == "sequence")


def find_interval(header: Header, choices: ReadChoices, rows: int) -> Interval | None:
    """Interval and start from the caller or the preamble; None when neither gives an interval.

    Parameters
    ----------
    header : Header
        What stands before the samples.
    choices : ReadChoices
        What the caller knows.
    rows : int
        Of samples [1].

    Returns
    -------
    Interval or None
        Interval [s] > 0 and start [s].

    Raises
    ------
    CaptureRefused
        Where rate or interval cannot be understood, or is not above zero.
    """
    facts, said = header.facts, []
    if choices.interval is not None:
        step = choices.interval
    elif (told := facts.single("interval")) is not None:
        step = _seconds(told, facts)
        said.append(f"time: one sample every {step:g} s, from line {told[2]}")
    elif (rate := facts.single("rate")) is not None:
        hertz = rate_in_hertz(rate[0], rate[1])
        if hertz is None or hertz <= 0.0:
            raise refused(f"line {rate[2]}: samples per second are expected, not {rate[0]:g} {rate[1]}; give ", _STEP)
        step = 1.0 / hertz
        said.append(f"time: one sample every {step:g} s, from the rate in line {rate[2]}")
    else:
        return None
    if not (math.isfinite(step) and step > 0.0):
        raise refused(f"the time between samples is {step:g} s; it must be above zero; give ", _STEP)
    start, sentence = _start(facts, choices, step, rows)
    said += [sentence] if sentence else []
    return Interval(step, start, tuple(said))


def _start(facts: Facts, choices: ReadChoices, step: float, rows: int) -> tuple[float, str]:
    """Time of the first sample [s], and where it comes from."""
    if choices.start is not None:
        return choices.start, ""
    counted, told = facts.single("start_index"), facts.single("start")
    if counted is None and told is not None and _is_index(told, facts, step, rows):
        counted = told
    if counted is not None:
        return counted[0] * step, f"time: starts at sample {counted[0]:g}, from line {counted[2]}"
    if told is not None:
        start = _seconds(told, facts)
        return start, f"time: starts at {start:g} s, from line {told[2]}"
    if (trigger := facts.single("trigger_index")) is not None:
        return -trigger[0] * step, f"time: zero at sample {trigger[0]:g}, the trigger in line {trigger[2]}"
    return 0.0, "time: starts at zero, since no start is given"


def scaled_time(times: FloatArray, column: Column, header: Header, choices: ReadChoices) -> list[str]:
    """Turn a time column to seconds in place; what was inferred comes back.

    Parameters
    ----------
    times : ndarray
        Times in the unit as written [unit of the column]; scaled in place.
    column : Column
        The time column.
    header : Header
        What stands before the samples.
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    list of str
        Sentences.

    Raises
    ------
    CaptureRefused
        Where the unit is none of time or could be two, or without one the steps are a second or longer.
    """
    text = choices.time_unit or column.unit
    if not text and header.facts.texts("time_unit"):
        text = header.facts.texts("time_unit")[0]
    unit = find_unit(text)
    if unit is not None and unit.base == "s":
        to_si(times, unit.exponent)
        return []
    if text:
        likely = two_meanings(text)
        if likely:
            said, ways = f"{text!r} could be thousandths or millions; give ", [Advice(Setting.TIME_UNIT, likely)]
        else:
            said, ways = f"{text!r} is no unit of time; choose ", _TIME_UNITS
        raise refused(f"line {header.names_line}: {said}", *either(ways))
    steps = np.diff(times[:1000])
    steps = steps[steps > 0.0]
    step = float(np.median(steps)) if steps.size else 0.0
    if step >= 1.0:
        said = f"line {header.names_line}: the time column has no unit and steps of {step:g}; choose "
        raise refused(said, *either(_TIME_UNITS))
    return [f"time: in seconds, since column {column.cell + 1} has no unit and steps of {step:g}"]


def rising_columns(columns: tuple[Column, ...], arrays: list[FloatArray]) -> list[Column]:
    """The columns without a name that rise from row to row, each time once or in pairs.

    Parameters
    ----------
    columns : tuple of Column
        The columns of samples.
    arrays : list of ndarray
        Their values as written [unit of the column].

    Returns
    -------
    list of Column
        The columns that could be the time.
    """
    found = []
    for column, values in zip(columns, arrays, strict=True):
        steps = np.diff(values[:1000])
        unnamed = not column.name and not column.unit
        if unnamed and steps.size > 1 and bool(np.all(steps >= 0.0)) and np.count_nonzero(steps) >= steps.size // 2:
            found.append(column)
    return found


def _is_index(told: tuple[float, str, int], facts: Facts, step: float, rows: int) -> bool:
    """Whether a start without a unit is the number of a sample: as seconds the record would lie far from its zero.

    With an interval that has a unit of its own the start could be in that unit as well, which is asked.
    """
    if told[1] or facts.texts("time_unit") or not told[0].is_integer():
        return False
    if not _FAR * step * rows < abs(told[0]) <= _FAR * rows:
        return False
    given = facts.single("interval")
    unit = find_unit(given[1].split("/")[0].strip()) if given is not None and given[1] else None
    if unit is not None and unit.base == "s" and unit.exponent:
        ways = either(
            [Advice(Setting.START, f"{start:g}") for start in (told[0] * step, told[0] * 10.0**unit.exponent)]
        )
        said = f"line {told[2]}: the start {told[0]:g} could be the number of a sample, or in the unit of the interval"
        raise refused(f"{said}: choose ", *ways)
    return True


def _seconds(told: tuple[float, str, int], facts: Facts) -> float:
    """A time from the preamble in seconds."""
    value, text, line = told
    text = text or next(iter(facts.texts("time_unit")), "s")
    text = text.split("/")[0].strip()
    unit = find_unit(text)
    if two_meanings(text):
        said = f"line {line}: {text!r} could be thousandths or millions; give "
        raise refused(said, Advice(Setting.INTERVAL), " and ", Advice(Setting.START))
    if unit is None or unit.base != "s":
        raise refused(f"line {line}: a time in one of {_UNITS_OF_TIME} is expected, not {value:g} {text}; give ", _STEP)
    scaled = np.array([value])
    to_si(scaled, unit.exponent)
    return float(scaled[0])
