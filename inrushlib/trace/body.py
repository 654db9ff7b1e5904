"""The samples themselves, in bulk: blocks of whole lines to columns of float64.

``read_body`` hands every block to pandas' compiled parser, in a few threads when there are many blocks.
A block that it refuses is halved until the odd line is found; that line is read by itself, and what is no
row of samples is handed on as an ``OddLine``.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.cells import cell_value, is_gap, split_line
from inrushlib.trace.layout import Layout

FloatArray = NDArray[np.float64]
_MOST_THREADS = 8
_SMALL_BYTES = 4096
_TRUTHS = (b"true", b"True", b"TRUE", b"false", b"False", b"FALSE")
_BLANK_BYTES = b',;\t| "\r\n'


@dataclass(frozen=True)
class Rows:
    """Rows of samples in a stretch of lines: number of its first line, and an array a column."""

    line: int
    columns: list[FloatArray]


@dataclass(frozen=True)
class OddLine:
    """A line that is no row of samples; ``last`` when it is the last of the capture."""

    line: int
    text: str
    last: bool = False


@dataclass(frozen=True)
class Parsed:
    """What a block of lines holds, lines counted from 0, and how many lines it has [1]."""

    items: list[Rows | OddLine]
    lines: int


@dataclass
class Table:
    """Columns that grow, and where each stretch of lines begins in them.

    Parameters
    ----------
    width : int
        Number of columns [1].
    expected : int
        Rows to make room for at first [1].
    """

    width: int
    expected: int
    count: int = 0
    starts: list[tuple[int, int]] = field(default_factory=list)
    _arrays: list[FloatArray] = field(default_factory=list)

    def append(self, rows: Rows, order: list[int], factors: list[float]) -> None:
        """Add rows; ``order`` says which of their columns goes where, ``factors`` what scales it."""
        more = len(rows.columns[0])
        if not self._arrays:
            self._arrays = [np.empty(max(self.expected, more)) for _ in range(self.width)]
        if self.count + more > len(self._arrays[0]):
            for array in self._arrays:
                array.resize(int(1.25 * (self.count + more)), refcheck=False)
        for array, source, factor in zip(self._arrays, order, factors, strict=True):
            held = array[self.count : self.count + more]
            if factor == 1.0:
                held[:] = rows.columns[source]
            else:
                np.multiply(rows.columns[source], factor, out=held)
        self.starts.append((self.count, rows.line))
        self.count += more

    def columns(self) -> list[FloatArray]:
        """The columns, cut to the rows that were added."""
        for array in self._arrays:
            array.resize(self.count, refcheck=False)
        return self._arrays

    def line_of(self, row: int) -> int:
        """The number of the line that a row stands in [1], exact where no blank line is skipped."""
        start, line = max((s for s in self.starts if s[0] <= row), default=(0, 1))
        return line + row - start


def read_body(
    first: bytes,
    first_line: int,
    rest: Iterator[bytes],
    layout: Layout,
    thousands: str,
) -> Iterator[Rows | OddLine]:
    """Read all rows of samples, in their order.

    Parameters
    ----------
    first : bytes
        The lines from the first row of samples to the end of the head.
    first_line : int
        The number of its first line [1], from 1.
    rest : iterator of bytes
        All further lines.
    layout : Layout
        Where the samples stand.
    thousands : str
        Mark between groups of three digits; empty for none.

    Yields
    ------
    Rows or OddLine
        Stretches of rows, and between them each line that is neither samples nor blank.
    """
    line = first_line
    for parsed in _in_order(_Parser(layout, thousands), first, rest):
        for item in parsed.items:
            yield replace(item, line=line + item.line)
        line += parsed.lines


def _in_order(parse: _Parser, first: bytes, rest: Iterator[bytes]) -> Iterator[Parsed]:
    """Parse blocks, side by side when there is more than one."""
    block = next(rest, None)
    if block is None:
        yield parse(first, True)
        return
    threads = min(_MOST_THREADS, os.cpu_count() or 1)
    waiting: deque[Future[Parsed]] = deque()
    with ThreadPoolExecutor(threads) as pool:
        try:
            waiting.append(pool.submit(parse, first, False))
            while block is not None:
                following = next(rest, None)
                waiting.append(pool.submit(parse, block, following is None))
                block = following
                if len(waiting) > 2 * threads:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()


class _Parser:
    """From a block of lines to rows and odd lines."""

    def __init__(self, layout: Layout, thousands: str) -> None:
        import pandas

        self._layout = layout
        self._thousands = thousands
        self._read_csv = pandas.read_csv
        spelled = [w for word in layout.words for w in {word, word.upper(), word.title()}]
        runs = [mark * n for mark in "*-?" for n in range(1, 13)]
        self._options: dict[str, object] = {
            "sep": r"\s+" if layout.delimiter == " " else layout.delimiter or "\x1f",
            "decimal": layout.decimal,
            "thousands": thousands or None,
            "engine": "c",
            "header": None,
            "dtype": np.float64,
            "index_col": False,
            "low_memory": False,
        }
        # Looking every cell up among the words costs half as much again as reading it; most captures have none.
        self._without_words: dict[str, object] = {"na_filter": False, "skip_blank_lines": False}
        self._with_words: dict[str, object] = {"keep_default_na": False, "na_values": [*spelled, *runs, ""]}
        self._words_seen = False

    def __call__(self, data: bytes, ends_file: bool) -> Parsed:
        kept, tail = self._without_blank_tail(data) if ends_file else (data, None)
        parsed = self._parse(kept, ends_file)
        if tail is not None:
            parsed.items.append(OddLine(parsed.lines, tail, True))
        return parsed

    def _without_blank_tail(self, data: bytes) -> tuple[bytes, str | None]:
        """Rows of nothing but delimiters at the end are no gaps: there are no samples. They go, the first is told."""
        filled = len(data.rstrip(_BLANK_BYTES))
        cut = data.find(b"\n", filled) + 1 if filled else 0
        blank = data[cut:].strip(b"\r\n")
        if cut <= 0 or not blank.strip(b" \r\n"):
            return data, None
        return data[:cut], blank.decode("utf-8", "replace").splitlines()[0]

    def _parse(self, data: bytes, ends_file: bool) -> Parsed:
        if not data or data.isspace():
            return Parsed([], data.count(b"\n"))
        if (parsed := self._bulk(data)) is not None:
            return parsed
        if len(data) > _SMALL_BYTES:
            cut = data.find(b"\n", len(data) // 2) + 1
            if 0 < cut < len(data):
                upper, lower = self._parse(data[:cut], False), self._parse(data[cut:], ends_file)
                shifted = [replace(item, line=upper.lines + item.line) for item in lower.items]
                return Parsed([*upper.items, *shifted], upper.lines + lower.lines)
        return Parsed(list(self._one_by_one(data, ends_file)), data.count(b"\n"))

    def _bulk(self, data: bytes) -> Parsed | None:
        """All lines of a block at once; None when not every line is a row of samples."""
        if b"\0" in data:
            return None
        if not self._words_seen:
            columns = self._columns(data, self._without_words)
            if columns is not None and len(columns) == len(self._layout.columns):
                return Parsed([Rows(0, columns)], len(columns[0]))
            self._words_seen = True
        columns = self._columns(data, self._with_words)
        if columns is None:
            return None
        # Only a row that is too short leaves the last cell empty, or a gap does: count to tell them apart.
        delimiter, rows, width = self._layout.delimiter, len(columns[0]), len(columns)
        gap_at_end = width > 1 and bool(np.isnan(columns[-1]).any())
        if gap_at_end and (delimiter == " " or data.count(delimiter.encode()) != rows * (width - 1)):
            return None
        held = self._layout.columns
        free = (column for cell, column in enumerate(columns) if cell not in held)
        if not self._layout.beside and not all(np.isnan(column).all() for column in free):
            return None
        return Parsed([Rows(0, [columns[cell] for cell in held])], data.count(b"\n"))

    def _columns(self, data: bytes, options: dict[str, object]) -> list[FloatArray] | None:
        """The columns of a block; None when pandas refuses it or it is not as wide as the samples."""
        try:
            frame = self._read_csv(_Unwrapped(data), **self._options, **options)  # type: ignore[call-overload]
        except ValueError:
            return None
        columns = [column.to_numpy() for _, column in frame.items()]
        # A column of nothing but True and False would come back as ones and zeros.
        truths = any(column[0] in (0.0, 1.0) for column in columns) and any(word in data for word in _TRUTHS)
        return columns if len(columns) == self._layout.width and not truths else None

    def _one_by_one(self, data: bytes, ends_file: bool) -> Iterator[Rows | OddLine]:
        """Each line of a block by itself."""
        rows: list[list[float]] = []
        begin = 0
        lines = data.splitlines()
        for at, raw in enumerate(lines):
            text = raw.decode("utf-8", "replace")
            row = self._row(text) if text.strip() else None
            if row is not None:
                begin = begin if rows else at
                rows.append(row)
                continue
            if rows:
                yield Rows(begin, list(np.array(rows).T))
                rows = []
            if text.strip():
                yield OddLine(at, text, ends_file and at == len(lines) - 1 and not data.endswith(b"\n"))
        if rows:
            yield Rows(begin, list(np.array(rows).T))

    def _row(self, text: str) -> list[float] | None:
        """The samples of one line; None when it is not a row of them."""
        layout = self._layout
        cells = split_line(text, layout.delimiter)
        if self._thousands:
            cells = [cell.replace(self._thousands, "") for cell in cells]
        free = (cell for c, cell in enumerate(cells) if c not in layout.columns)
        if len(cells) <= layout.columns[-1] or (not layout.beside and not all(is_gap(cell) for cell in free)):
            return None
        values = [cell_value(cells[c], layout.decimal, layout.words) for c in layout.columns]
        kept = [value for value in values if value is not None]
        return kept if len(kept) == len(values) else None


class _Unwrapped:
    """Bytes as pandas' parser takes them without decoding them first."""

    def __init__(self, data: bytes) -> None:
        self._data = memoryview(data)
        self._at = 0

    def read(self, size: int = -1) -> bytes:
        """The next bytes."""
        end = len(self._data) if size < 0 else self._at + size
        piece = bytes(self._data[self._at : end])
        self._at = end
        return piece

    def __iter__(self) -> _Unwrapped:
        return self

    def __next__(self) -> bytes:
        raise StopIteration
