"""The values of a column with as many digits behind the point each, so that they can be compared at a glance.

``even``        cells of a column of values
``even_rows``   rows of a table, each column by itself
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from inrushlib.answers.words import Beyond, Lines, Strong, Value, Words
from inrushlib.quantities import common_places


def even(cells: Sequence[Words]) -> tuple[Words, ...]:
    """Return cells in which computed values of one unit and prefix have as many digits behind the point.

    Parameters
    ----------
    cells : sequence of Words
        Of one column.

    Examples
    --------
    >>> low, high = even([Value(4.0004, "V"), Value(4.123, "V")])
    >>> low.text, high.text
    ('4.00 V', '4.12 V')
    """
    known = [
        (each.value, each.unit, each.resolution)
        for each in _values(tuple(cells))
        if each.value is not None and _computed(each)
    ]
    places = iter(common_places(known))
    return tuple(_placed(cell, places) for cell in cells)


def even_rows(rows: Sequence[Sequence[Words]], numbers: Collection[int]) -> tuple[tuple[Words, ...], ...]:
    """Return the rows of a table, each column of values made even.

    Parameters
    ----------
    rows : sequence of sequence of Words
        Of as many cells each.
    numbers : collection of int
        Columns of numbers [1]; of the others those cells count that begin with a value.
    """
    columns = [
        _even_part(column, [number in numbers or _leads(cell) for cell in column])
        for number, column in enumerate(zip(*rows, strict=True))
    ]
    return tuple(zip(*columns, strict=True))


def _even_part(cells: Sequence[Words], counts: Sequence[bool]) -> list[Words]:
    """Cells of which only those that count are made even."""
    found = iter(even([cell for cell, counted in zip(cells, counts, strict=True) if counted]))
    return [next(found) if counted else cell for cell, counted in zip(cells, counts, strict=True)]


def _leads(words: Words) -> bool:
    """Whether a cell is a value, perhaps with words behind it."""
    match words:
        case Strong() | Beyond():
            return _leads(words.words)
        case tuple():
            return bool(words) and _leads(words[0])
    return isinstance(words, Value)


def _computed(value: Value) -> bool:
    return value.value is not None and value.resolution != 0.0


def _values(words: Words) -> Iterator[Value]:
    match words:
        case Value():
            yield words
        case Strong() | Beyond():
            yield from _values(words.words)
        case Lines():
            yield from _values(words.items)
        case tuple():
            for each in words:
                yield from _values(each)


def _placed(words: Words, places: Iterator[int | None]) -> Words:
    """The same words, each value that there is with the next of the places."""
    match words:
        case Value():
            return replace(words, places=next(places) if _computed(words) else None)
        case Strong() | Beyond():
            return replace(words, words=_placed(words.words, places))
        case Lines():
            return replace(words, items=tuple(_placed(each, places) for each in words.items))
        case tuple():
            return tuple(_placed(each, places) for each in words)
    return words
