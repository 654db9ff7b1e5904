"""The samples themselves, in bulk: blocks of whole lines to columns of float64.

``read_body`` has every block parsed, in a few threads when there are many, and hands on rows and odd lines in
their order; ``Table`` collects the rows.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.layout import Layout
from inrushlib.trace.read.parse import OddLine, Parsed, Parser, Rows

FloatArray = NDArray[np.float64]
_MOST_THREADS = 8


@dataclass(kw_only=True)
class Table:
    """Columns that grow, and where each stretch of lines begins in them.

    Parameters
    ----------
    width : int
        Number of columns [1].
    expected : int
        Rows to make room for at first [1].
    count : int
        Rows that were added [1].
    finite : bool
        True while none of the samples is a gap or a code for over range.
    starts : list of tuple of int and int
        First row and line number of each stretch of lines [1].
    """

    width: int
    expected: int
    count: int = 0
    finite: bool = True
    starts: list[tuple[int, int]] = field(default_factory=list)
    _arrays: list[FloatArray] = field(default_factory=list)

    def append(self, rows: Rows, order: list[int], factors: list[float]) -> None:
        """Add rows.

        Parameters
        ----------
        rows : Rows
            Rows of samples, as parsed.
        order : list of int
            For each column of the table, which column of the rows goes there [1].
        factors : list of float
            For each column of the table, what scales it [1].
        """
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
        self.finite &= rows.finite

    def columns(self) -> list[FloatArray]:
        """The columns, cut to the rows that were added."""
        for array in self._arrays:
            array.resize(self.count, refcheck=False)
        return self._arrays

    def line_of(self, row: int) -> int:
        """The number of the line that a row stands in [1], exact where no blank line is skipped.

        Parameters
        ----------
        row : int
            Row of the table, from 0 [1].
        """
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
    for parsed in _in_order(Parser(layout, thousands), first, rest):
        for item in parsed.items:
            yield replace(item, line=line + item.line)
        line += parsed.lines


def _in_order(parse: Parser, first: bytes, rest: Iterator[bytes]) -> Iterator[Parsed]:
    """Parse blocks, side by side when there is more than one."""
    block = next(rest, None)
    # By itself, so that what it shows of gaps is known before the others are begun.
    yield parse(first, block is None)
    if block is None:
        return
    # One more than there are cores, since this thread mostly waits for them.
    threads = min(_MOST_THREADS, 1 + (os.cpu_count() or 1))
    waiting: deque[Future[Parsed]] = deque()
    with ThreadPoolExecutor(threads) as pool:
        try:
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
