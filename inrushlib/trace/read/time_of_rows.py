"""From columns to the time of every row: blank rows, the time column or the interval, the chosen segment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.body import Table
from inrushlib.trace.read.header import Column, Header
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.segments import find_segments
from inrushlib.trace.read.settings import (
    WITHOUT_TIMES,
    Advice,
    CaptureRefused,
    Setting,
    Wording,
    either,
    refused,
    wording,
)
from inrushlib.trace.read.timebase import find_interval, find_time_column, is_index, rising_columns, scaled_time

FloatArray = NDArray[np.float64]
_ROUNDING = 1e-3  # of what rows cover, that their times and the caller's interval may differ by


@dataclass(frozen=True, kw_only=True)
class Timed:
    """One segment with the time of each row.

    Attributes
    ----------
    time : array
        Of each row [s].
    columns : list of Column
        The columns that are channels.
    arrays : list of array
        Their samples as written [unit of the column].
    segment, segments : int
        Which segment it is, from 1, and how many there are [1].
    sentences : list of str
        What was inferred.
    hints : list of Wording
        What could be told, and what for.
    assumed : bool
        Whether seconds were taken without the file saying so.
    """

    time: FloatArray
    columns: list[Column]
    arrays: list[FloatArray]
    segment: int
    segments: int
    sentences: list[str]
    hints: list[Wording]
    assumed: bool


def time_rows(arrays: list[FloatArray], header: Header, table: Table, headed: list[int], choices: ReadChoices) -> Timed:
    """Find the time of every row and cut out the segment.

    Parameters
    ----------
    arrays : list of ndarray
        All columns of samples, as written [unit of the column], gaps as NaN.
    header : Header
        What stands before the samples.
    table : Table
        Knows the line of each row, for messages.
    headed : list of int
        Rows right below a repeated header, from 0 [1].
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    Timed
        Time and the columns of the channels.

    Raises
    ------
    CaptureRefused
        Where no column can be the time, or several can, or its times do not rise.
    """
    said: list[str] = []
    clock = _time_column(arrays, header, choices, said)
    assumed = False
    if clock is None:
        interval = find_interval(header, choices, table.count)
        if interval is None:
            raise _no_time(header)
        said += interval.sentences
        left = _running_numbers(arrays, header.columns, said)
        rows = [at for at, column in enumerate(header.columns) if column not in left]
        begins = sorted({0, *headed})
        time: FloatArray = np.arange(table.count, dtype=np.float64)
        with np.errstate(over="ignore"):
            time *= interval.step
            time += interval.start
    else:
        at = header.columns.index(clock)
        left = [c for c in _running_numbers(arrays, header.columns, said) if c != clock]
        rows = [other for other, column in enumerate(header.columns) if other != at and column not in left]
        arrays, lines = _without_blank_rows(arrays, at, table, said)
        time = arrays[at]
        sentences = scaled_time(time, clock, header, choices)
        said, assumed = said + sentences, bool(sentences)
        headed = np.searchsorted(lines, headed).tolist() if lines.size else headed
        begins = find_segments(time, set(headed), lambda row: table.line_of(int(lines[row]) if lines.size else row))
    segment, begin, end, hints = _chosen_segment(begins, len(time), choices, said)
    if end - begin < 2:
        short = f"line {table.line_of(begin)}: two rows of samples are expected at least; if they begin elsewhere give "
        raise refused(short, Advice(Setting.FIRST_LINE))
    own_time = time[: end - begin] if clock is None else time[begin:end]
    if clock is not None and choices.interval is not None:
        own_time = _evenly(own_time, choices, said)
    if not (own_time[0] < own_time[-1] < np.inf):
        stays = f"line {table.line_of(begin)}: rising times are expected, but they stay at {own_time[0]:g} s; "
        raise refused(stays, *WITHOUT_TIMES)
    held = [arrays[at][begin:end] for at in rows]
    return Timed(
        time=own_time,
        columns=[header.columns[at] for at in rows],
        arrays=held,
        segment=segment,
        segments=len(begins),
        sentences=said,
        hints=hints,
        assumed=assumed,
    )


def _evenly(times: FloatArray, choices: ReadChoices, said: list[str]) -> FloatArray:
    """Rows by the caller's interval, where the file's times are that but for rounding."""
    step = float(choices.interval or 0.0)
    begin = float(times[0]) if choices.start is None else choices.start
    spread = begin + step * np.arange(len(times), dtype=np.float64)
    span, covered = float(times[-1] - times[0]), step * (len(times) - 1)
    rounding = max(2.0 * float(np.max(np.diff(times))), _ROUNDING * covered)
    if span > 0 and abs(covered - span) > rounding:
        raise refused(
            f"{len(times)} rows cover {span:.4g} s by their times, but {covered:.4g} s with ",
            Advice(Setting.INTERVAL, f"{step:g}"),
            "; leave the times out with ",
            Advice(Setting.TIME_COLUMN, "0"),
            f", or give {span / (len(times) - 1):.4g} s",
        )
    said.append(f"time: one row every {step:g} s, as told; the file's times say where the first is")
    return spread


def _time_column(arrays: list[FloatArray], header: Header, choices: ReadChoices, said: list[str]) -> Column | None:
    """The time column by choice, name or unit, or the one unnamed column that rises."""
    clock = find_time_column(header, choices)
    if clock is not None or choices.time_column == 0 or choices.interval is not None:
        return clock
    rising = [c for c in rising_columns(header.columns, arrays) if len(header.columns) > 1]
    if (interval := find_interval(header, choices, len(arrays[0]))) is not None:
        held = {c: arrays[header.columns.index(c)] for c in rising}
        rising = [c for c in rising if not _counts_up(held[c])]
        rising = [c for c in rising if _steps_by(interval.step, held[c])] or rising
    if len(rising) > 1:
        ways = either([Advice(Setting.TIME_COLUMN, str(c.cell + 1)) for c in rising])
        raise refused(
            f"line {header.names_line}: {len(rising)} columns rise from row to row and could be the time: choose ",
            *ways,
        )
    if not rising:
        return None
    said.append(f"time: column {rising[0].cell + 1}, the one without a name that rises from row to row")
    return rising[0]


def _running_numbers(arrays: list[FloatArray], columns: tuple[Column, ...], said: list[str]) -> list[Column]:
    """Columns that only count the rows."""
    found = []
    for column, values in zip(columns, arrays, strict=True):
        named = is_index(column) and bool(np.all(np.diff(values[:1000]) > 0.0))
        if len(columns) > 1 and (named or (not column.name and _counts_up(values))):
            found.append(column)
            said.append(f"{column.label or f'column {column.cell + 1}'}: a running number, left out")
    return found


def _counts_up(values: FloatArray) -> bool:
    """Whether values are 0, 1, 2 or 1, 2, 3 and so on."""
    start = values[:1000]
    return start.size > 1 and start[0] in (0.0, 1.0) and bool(np.all(np.diff(start) == 1.0))


def _steps_by(interval: float, values: FloatArray) -> bool:
    """Whether values rise by the interval of the preamble [s]."""
    return bool(np.isclose(np.median(np.diff(values[:1000])), interval, rtol=0.01, atol=0.0))


def _no_time(header: Header) -> CaptureRefused:
    listed = ", ".join(f"{c.cell + 1} {c.label!r}" if c.label else str(c.cell + 1) for c in header.columns)
    among = (Advice(Setting.TIME_COLUMN), f" among {listed}, or ") if len(header.columns) > 1 else ()
    return refused(
        f"line {header.names_line}: no column is a time and no sample interval is given; choose ",
        *among,
        Advice(Setting.INTERVAL),
    )


def _without_blank_rows(
    arrays: list[FloatArray], at: int, table: Table, said: list[str]
) -> tuple[list[FloatArray], NDArray[np.intp]]:
    """Leave out rows without any sample; a sample without a time is an error.

    The second result is the row of each kept row, empty when all are kept.
    """
    missing = np.isnan(arrays[at]) if not table.finite else np.empty(0, dtype=np.bool_)
    if not missing.any():
        return arrays, np.empty(0, dtype=np.intp)
    for other, values in enumerate(arrays):
        lost = np.flatnonzero(missing & ~np.isnan(values)) if other != at else np.empty(0)
        if lost.size:
            line = table.line_of(int(lost[0]))
            raise refused(f"line {line}: a time is expected, the cell is empty or over range; ", *WITHOUT_TIMES)
    said.append(f"rows: {int(missing.sum())} without any sample were left out")
    kept = np.flatnonzero(~missing)
    return [values[kept] for values in arrays], kept


def _chosen_segment(
    begins: list[int], rows: int, choices: ReadChoices, said: list[str]
) -> tuple[int, int, int, list[Wording]]:
    """Number of the segment to read, its first row, the row after its last, and how to read another."""
    count = len(begins)
    segment = choices.segment if choices.segment is not None else 1
    if segment > count:
        told = Advice(Setting.SEGMENT, str(segment))
        raise refused(told, f", but there are {count} segments; choose 1 to {count}")
    hints = []
    if count > 1 and choices.segment is None:
        said.append(f"segments: {count} are appended and the first is read")
        hints.append(wording(Advice(Setting.SEGMENT, "2"), f" reads the second of {count} segments"))
    ends = [*begins[1:], rows]
    return segment, begins[segment - 1], ends[segment - 1], hints
