"""``read_trace``: from the bytes of a capture, in any text layout, to a ``Trace``.

The steps stand in files of their own: ``settings`` and ``told`` (what can be told about a file), ``source`` (bytes
to lines), ``layout`` and ``texts`` (where the samples are), ``header`` and ``preamble`` (what stands before them),
``parse``, ``body`` and ``stitch`` (the samples), ``time_of_rows``, ``timebase``, ``segments``, ``channels`` and
``counts`` (what they mean).
"""

from __future__ import annotations

import os
import re
from itertools import islice
from pathlib import Path

from inrushlib.errors import TraceError
from inrushlib.trace.read.body import Table, read_body
from inrushlib.trace.read.cells import is_gap, split_line
from inrushlib.trace.read.channels import blank_over_range, channel_names, make_channel
from inrushlib.trace.read.choices import check_choices, check_names
from inrushlib.trace.read.header import read_header
from inrushlib.trace.read.layout import Layout, find_layout
from inrushlib.trace.read.record import Channel, ReadChoices, Trace
from inrushlib.trace.read.segments import find_pairs
from inrushlib.trace.read.settings import Advice, CaptureRefused, Setting, refused
from inrushlib.trace.read.source import Blocks, open_blocks
from inrushlib.trace.read.stitch import Stitcher
from inrushlib.trace.read.time_of_rows import time_rows

_WHOLE = re.compile(r"[+-]?[0-9]+")
_LONGEST_LINE = 1 << 16
_LINE_END = re.compile(rb"\r\n?|\n")


def read_trace(
    path_or_bytes: str | os.PathLike[str] | bytes, *, choices: ReadChoices | None = None, name: str = ""
) -> Trace:
    """Read a capture from a text file of samples, or from what stands in one.

    Delimiter, decimal mark, encoding, header, preamble, units and time base are found in the file; what is
    inferred is listed in the trace. What could be read in two ways is an error that names the choices.

    Parameters
    ----------
    path_or_bytes : str, path or bytes
        The file, or its bytes.
    choices : ReadChoices or None
        What the caller knows; it wins over what the file seems to say.
    name : str
        Name of the capture; that of the file when empty.

    Returns
    -------
    Trace
        Time [s] and channels [V, A].

    Raises
    ------
    TraceError
        With the number of the line and what was expected there.

    Examples
    --------
    >>> trace = read_trace(b"time [us];bus_voltage [mV]\\n0;4900\\n2,5;****\\n")
    >>> trace.time, trace.channels["bus_voltage"].values
    (array([0.0e+00, 2.5e-06]), array([4.9, nan]))
    >>> trace.channels["bus_voltage"].unit, trace.channels["bus_voltage"].gaps
    ('V', 1)
    """
    if not name:
        name = "capture" if isinstance(path_or_bytes, bytes) else Path(path_or_bytes).name
    try:
        return _read(path_or_bytes, choices or ReadChoices(), name)
    except CaptureRefused as error:
        raise error.named(name) from None
    except TraceError as error:
        raise TraceError(error.problems, error.source or name) from None


def _read(path_or_bytes: str | os.PathLike[str] | bytes, choices: ReadChoices, name: str) -> Trace:
    check_choices(choices)
    blocks = open_blocks(path_or_bytes, choices.encoding)
    lines, layout, samples, said = _samples_in_head(blocks, choices)
    header, layout = read_header(lines, layout, choices)
    table = Table(width=len(layout.columns), expected=_expected_rows(blocks, lines))
    stitcher = Stitcher(header, layout, table)
    for item in read_body(samples, layout.first + 1, blocks.rest, layout, choices.thousands):
        stitcher.take(item)
    stitcher.finish()
    arrays = table.columns()
    if not arrays:
        raise refused(
            f"line {layout.first + 1}: {layout.width} cells of numbers are expected; if they begin elsewhere give ",
            Advice(Setting.FIRST_LINE),
        )
    for values in () if table.finite else arrays:
        blank_over_range(values)
    timed = time_rows(arrays, header, table, [row for row, _ in stitcher.repeats], choices)
    if not timed.columns:
        alone = f"line {header.names_line}: a column of samples is expected beside the time; if this is none, give "
        raise refused(alone, Advice(Setting.TIME_COLUMN, "0"), " and ", Advice(Setting.INTERVAL))
    paired, said_of_pairs, hint = find_pairs(timed.time, timed.arrays)
    inferred = [
        *blocks.sentences,
        *said,
        *stitcher.sentences,
        *timed.sentences,
        *filter(None, [said_of_pairs]),
    ]
    names, said = channel_names(timed.columns, header)
    inferred += said
    check_names(choices, names, timed.columns)
    channels: dict[str, Channel] = {}
    whole_cells = _written_whole(lines, layout)
    for at, (channel, column) in enumerate(zip(names, timed.columns, strict=True)):
        whole, place = column.cell in whole_cells, (at, len(names))
        channels[channel], said = make_channel(timed.arrays[at], column, channel, place, header, whole, choices)
        inferred += said
    return Trace(
        time=timed.time,
        channels=channels,
        header=header.lines,
        inferred=tuple(inferred),
        name=name,
        checksum=blocks.checksum,
        segment=timed.segment,
        segments=timed.segments,
        paired=paired,
        time_assumed=timed.assumed,
        hints=(*timed.hints, *filter(None, [hint])),
    )


def _samples_in_head(blocks: Blocks, choices: ReadChoices) -> tuple[list[str], Layout, bytes, list[str]]:
    """The first lines, their layout, and the lines of the head from the first sample on."""
    if b"\0" in blocks.head:
        line = 1 + blocks.head[: blocks.head.index(b"\0")].count(b"\n")
        advice = Advice(Setting.ENCODING, "utf-16-le")
        raise refused(f"line {line}: text is expected, but there is a zero byte; give ", advice, " if it is UTF-16")
    lines = _texts(blocks.head)
    layout, said = find_layout(lines, choices)
    ends = islice(_LINE_END.finditer(blocks.head), max(0, layout.first - 1), None)
    samples = blocks.head[next(ends).end() if layout.first else 0 :]
    if not layout.flat:
        return lines, layout, samples, said
    mark, raw = layout.delimiter.encode(), blocks.head.splitlines()
    row = raw[layout.first]
    cells = row.split() if layout.delimiter == " " else row.rstrip(mark + b" \t").split(mark)
    one_a_line = b"\n".join([*cells, *raw[layout.first + 1 :]])
    lines = lines[: layout.first] + [cell.decode("utf-8", "replace") for cell in cells[:1000]]
    column = Layout(delimiter="", decimal=layout.decimal, width=1, columns=(0,), first=layout.first, words=layout.words)
    return lines, column, one_a_line, said


def _texts(head: bytes) -> list[str]:
    """The lines of the head; of very long ones the beginning."""
    # One text for all, parted then: lines by themselves take four times as long.
    lines = (_LINE_END.sub(b"\n", head) if b"\r" in head else head).decode("utf-8", "replace").split("\n")
    if not lines[-1]:
        lines.pop()
    if max(map(len, lines), default=0) <= _LONGEST_LINE:
        return lines
    return [_shortened(line).decode("utf-8", "replace") for line in head.splitlines()]


def _shortened(line: bytes) -> bytes:
    """The beginning of a very long line: enough to see how it is laid out."""
    if len(line) <= _LONGEST_LINE:
        return line
    cut = max(line.rfind(mark, 0, _LONGEST_LINE) for mark in (b",", b";", b"\t", b" "))
    return line[: cut if cut > 0 else _LONGEST_LINE]


def _expected_rows(blocks: Blocks, lines: list[str]) -> int:
    """About how many rows the capture has, a little more rather than less."""
    return int(1.05 * (len(lines) + 10) * max(1.0, blocks.size / max(1, len(blocks.head))))


def _written_whole(lines: list[str], layout: Layout) -> set[int]:
    """The cells whose first samples are written as whole numbers."""
    may, seen = set(layout.columns), set()
    for line in lines[layout.first : layout.first + 200]:
        if not may:
            break
        row = split_line(line, layout.delimiter)
        held = {c for c in may if len(row) > c and not is_gap(row[c])}
        may -= {c for c in held if _WHOLE.fullmatch(row[c]) is None}
        seen |= held
    return may & seen
