"""From a block of whole lines to rows of samples, and to the odd lines between them.

``Parser`` hands a block to pandas' compiled parser. A block that this refuses is halved until the odd line is
found; that line is read by itself, and what is no row of samples is handed on as an ``OddLine``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.cells import OVER_RANGE, cell_value, is_gap, split_line, with_usual_exponents
from inrushlib.trace.read.layout import Layout

FloatArray = NDArray[np.float64]
_SMALL_BYTES = 4096
_IN_TRUTHS = (b"u", b"U", b"s", b"S")  # one of them is in each of these words, and in no number
_TRUTHS = (b"true", b"True", b"TRUE", b"false", b"False", b"FALSE")
_BEGINS_A_NUMBER = tuple("0123456789+-.")
_OF_NUMBERS = b"0123456789+-.,"
_BLANK_BYTES = b',;\t| "\r\n'


@dataclass(frozen=True)
class Rows:
    """Rows of samples in a stretch of lines.

    Attributes
    ----------
    line : int
        Number of its first line [1].
    columns : list of array
        Samples of each column, as written [unit of the column].
    finite : bool
        Whether none of them is a gap or a code for over range.
    """

    line: int
    columns: list[FloatArray]
    finite: bool = False


@dataclass(frozen=True)
class OddLine:
    """A line that is no row of samples.

    Attributes
    ----------
    line : int
        Its number [1].
    text : str
        What it says.
    last : bool
        Whether it is the last of the capture.
    """

    line: int
    text: str
    last: bool = False


@dataclass(frozen=True)
class Parsed:
    """What a block of lines holds.

    Attributes
    ----------
    items : list of Rows or OddLine
        Rows and odd lines in their order, lines counted from 0.
    lines : int
        How many lines the block has [1].
    """

    items: list[Rows | OddLine]
    lines: int


class Parser:
    """From a block of lines to rows and odd lines."""

    def __init__(self, layout: Layout, thousands: str) -> None:
        import pandas

        self._layout = layout
        self._thousands = thousands
        self._read_csv = pandas.read_csv
        spelled = {w for word in layout.words for w in (word, word.upper(), word.title())}
        spelled |= {mark * n for mark in "*-?" for n in range(1, 13)} | {""}
        self._kept = [c for c in range(layout.width) if c not in layout.ignored]
        types: object = np.float64
        if layout.ignored:
            types = {c: object if c in layout.ignored else np.float64 for c in range(layout.width)}
        self._options: dict[str, object] = {
            "sep": r"\s+" if layout.delimiter == " " else layout.delimiter or "\x1f",
            "decimal": layout.decimal,
            "thousands": thousands or None,
            "engine": "c",
            "header": None,
            "dtype": types,
            "index_col": False,
            "low_memory": False,  # else columns are read in short pieces and joined
        }
        # Before 3.1 what is read without this option is off by up to 1e-12 of the value; since then it is deprecated.
        if tuple(map(int, pandas.__version__.split(".")[:2])) < (3, 1):
            self._options["float_precision"] = "round_trip"
        # Each word costs something for each column of each block, those that begin as numbers do for each cell. So a
        # block is tried with none, then with those that can be in it, then with all.
        self._words = frozenset(spelled)
        self._tried: frozenset[str] | None = None  # words with which the last block was read

    def __call__(self, data: bytes, ends_file: bool) -> Parsed:
        """Rows and odd lines of a block; ``ends_file`` when it is the last one."""
        kept, tail = self._without_blank_tail(data) if ends_file else (data, None)
        parsed = self._parse(kept, ends_file)
        if tail is not None:
            parsed.items.append(OddLine(parsed.lines, tail, True))
        return parsed

    def _without_blank_tail(self, data: bytes) -> tuple[bytes, str | None]:
        """Return the block without rows of delimiters alone at its end, and the first of them for the message.

        They are no gaps: there are no samples.
        """
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
        tried = self._tried
        if tried is None:
            columns = self._columns(data, {"na_filter": False, "skip_blank_lines": False})
            if columns is not None and self._kept == list(self._layout.columns):
                finite = bool(columns.min() > -OVER_RANGE and columns.max() < OVER_RANGE)
                return Parsed([Rows(0, list(columns), finite)], len(columns[0]))
            tried = frozenset()
        data = with_usual_exponents(data)
        columns = self._with_words(data, tried) if tried else None
        for widen in (self._likely, self._all_words):
            if columns is None:
                tried = tried | widen(data)
                columns = self._with_words(data, tried)
        if columns is None:
            return None
        self._tried = tried
        # Only a row that is too short leaves the last cell empty, or a gap does: count the cells to tell them apart.
        rows, width = len(columns[0]), self._layout.width
        if width > 1 and np.isnan(columns[-1]).any() and self._cells(data, rows) != rows * width:
            return None
        held = self._layout.columns
        by_cell = dict(zip(self._kept, columns, strict=True))
        free = (column for cell, column in by_cell.items() if cell not in held)
        if not self._layout.beside and not all(np.isnan(column).all() for column in free):
            return None
        return Parsed([Rows(0, [by_cell[cell] for cell in held])], _count(data, b"\n"))

    def _with_words(self, data: bytes, words: frozenset[str]) -> FloatArray | None:
        return self._columns(data, {"keep_default_na": False, "na_values": sorted(words)})

    def _all_words(self, _: bytes) -> frozenset[str]:
        return self._words

    def _likely(self, data: bytes) -> frozenset[str]:
        """The words whose characters are all there, in a block without the characters of numbers."""
        left = set(data.translate(None, _OF_NUMBERS).decode("utf-8", "replace"))
        return frozenset(w for w in self._words if w[:1] not in _BEGINS_A_NUMBER and left.issuperset(w))

    def _cells(self, data: bytes, rows: int) -> int:
        delimiter = self._layout.delimiter
        return len(data.split()) if delimiter == " " else _count(data, delimiter.encode()) + rows

    def _columns(self, data: bytes, options: dict[str, object]) -> FloatArray | None:
        """The columns that are not ignored, each in a row of its own, all at once: one by one each costs a series.

        None when pandas refuses the block or it is not as wide as the samples.
        """
        try:
            frame = self._read_csv(_Unwrapped(data), **self._options, **options)  # type: ignore[call-overload]
        except ValueError:
            return None
        if frame.shape[1] != self._layout.width:
            return None
        columns: FloatArray = (frame[self._kept] if self._layout.ignored else frame).to_numpy().T
        # A column of nothing but True and False would come back as ones and zeros.
        truths = any(column[0] in (0.0, 1.0) for column in columns) and any(mark in data for mark in _IN_TRUTHS)
        return None if truths and any(word in data for word in _TRUTHS) else columns

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
        free = (cell for c, cell in enumerate(cells) if c not in layout.columns and c not in layout.ignored)
        if len(cells) <= layout.columns[-1] or (not layout.beside and not all(is_gap(cell) for cell in free)):
            return None
        values = [cell_value(cells[c], layout.decimal, layout.words) for c in layout.columns]
        kept = [value for value in values if value is not None]
        return kept if len(kept) == len(values) else None


def _count(data: bytes, mark: bytes) -> int:
    """How often a mark is there: of one byte, and where every tenth is one, numpy takes a quarter of the time."""
    if len(mark) > 1:
        return data.count(mark)
    return int(np.count_nonzero(np.frombuffer(data, np.uint8) == mark[0]))


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
