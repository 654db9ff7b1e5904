"""Columns of texts, clocks or logic levels beside the samples: found, and left out where the caller says so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from inrushlib.trace.read.cells import is_gap, is_number, split_line
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.units import split_label

_FEWEST_ROWS = 3
_MOSTLY = 0.9  # of the rows of one width, whose cells are all numbers, or all texts


def ignored_cells(ignore: Sequence[str], rows: list[list[str]]) -> frozenset[int]:
    """The cells that the caller leaves out, where a row names them.

    Parameters
    ----------
    ignore : sequence of str
        Names, or numbers from 1.
    rows : list of list of str
        The first lines as cells.

    Returns
    -------
    frozenset of int
        From 0 [1].

    Examples
    --------
    >>> sorted(ignored_cells(["state", "1"], [["clock", "t [s]", "state"], ["12:00", "0", "on"]]))
    [0, 2]
    """
    found = set()
    for name in ignore:
        if name.isdecimal() and int(name) > 0:
            found.add(int(name) - 1)
            continue
        places = (c for row in rows for c, cell in enumerate(row) if name in _names(cell))
        found.update(c for c, _ in zip(places, range(1), strict=False))
    return frozenset(found)


def refuse_unknown(ignore: Sequence[str], rows: list[list[str]], first: int, ignored: frozenset[int]) -> None:
    """Raise when the caller leaves out a column that is not there.

    Parameters
    ----------
    ignore : sequence of str
        Names, or numbers from 1.
    rows : list of list of str
        The first lines as cells.
    first : int
        Index of the first row of samples [1].
    ignored : frozenset of int
        The cells that were found, from 0 [1].

    Raises
    ------
    CaptureRefused
        With the columns that there are.
    """
    width = len(rows[first])
    for name in ignore:
        if not ignored_cells([name], rows) or (name.isdecimal() and int(name) > width):
            above = next((row for row in reversed(rows[:first]) if any(row)), [])
            listed = ", ".join(f"{c + 1} {cell!r}" for c, cell in enumerate(above)) or f"1 to {width}"
            raise refused(Advice(Setting.IGNORE, name), f" is none of the columns: {listed}")


def refuse_texts(lines: list[str], delimiters: Sequence[str]) -> None:
    """Raise when columns of texts stand beside columns of numbers.

    Parameters
    ----------
    lines : list of str
        The first lines.
    delimiters : sequence of str
        That may be between the columns.

    Raises
    ------
    CaptureRefused
        With what leaves the columns of texts out.
    """
    for delimiter in filter(None, delimiters):
        rows = [(i, split_line(line, delimiter)) for i, line in enumerate(lines) if delimiter in line]
        if not rows:
            continue
        width = Counter(len(row) for _, row in rows).most_common(1)[0][0]
        held = [(i, row) for i, row in rows if len(row) == width]
        below = held[min(len(held) - 1, len(held) // 4) :]
        kinds = [_kind([row[c] for _, row in below]) for c in range(width)]
        texts = [c for c, kind in enumerate(kinds) if kind is False]
        if len(below) < _FEWEST_ROWS or not texts or not any(kinds):
            continue
        clear = [c for c, kind in enumerate(kinds) if kind]
        begin, first = next((i, row) for i, row in held if all(_is_number(row[c]) for c in clear))
        names = next((row for i, row in reversed(held) if i < begin and any(row)), [""] * width)
        own = {c for c in texts if names[c] and names.count(names[c]) == 1}
        ways = [Advice(Setting.IGNORE, names[c] if c in own else str(c + 1)) for c in texts]
        cells = ", ".join(f"{c + 1} holds texts such as {first[c][:30]!r}" for c in texts)
        them = "it" if len(ways) == 1 else "them"
        parts = [part for way in ways for part in (" ", way)]
        raise refused(f"line {begin + 1}: column {cells}; leave {them} out with", *parts)


def _kind(cells: list[str]) -> bool | None:
    """True for a column of numbers, False for one of texts, None for neither."""
    filled = [cell for cell in cells if not is_gap(cell)]
    numbers = sum(map(_is_number, filled))
    if not filled:
        return None
    if numbers >= _MOSTLY * len(filled):
        return True
    return False if numbers <= (1.0 - _MOSTLY) * len(filled) else None


def _is_number(cell: str) -> bool:
    return is_number(cell, ".") or is_number(cell, ",")


def _names(cell: str) -> tuple[str, str]:
    """What a header's cell may be called by: as it stands, or without its unit."""
    bare = cell.lstrip("#%/ ")
    return bare, split_label(bare)[0]
