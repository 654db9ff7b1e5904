"""How a capture is laid out: delimiter, decimal mark, where the samples begin, which columns hold them.

``find_layout`` looks at the first lines and tries every pair of delimiter and decimal mark. One pair must
explain the rows of numbers; when two do and read different values, the caller has to say which.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NoReturn

from inrushlib.trace.read.cells import GAP_WORDS, cell_value, is_gap, is_number, split_line
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.texts import ignored_cells, refuse_texts, refuse_unknown

_LOOKED_AT, _FEWEST_LOOKED_AT, _LOOKED_AT_CHARACTERS = 500, 60, 20_000
#: A single row of more numbers than this is a record without times, not a row of channels.
_LONGEST_ROW = 16
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(,[0-9]{3})+")
_DECIMAL = re.compile(r"[0-9]([.,])[0-9]")
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", "": "none, one column", " ": "blanks"}
_TYPED = {"\t": r"\t"}
DECIMALS = {".": "point", ",": "comma"}


@dataclass(frozen=True, kw_only=True)
class Layout:
    """Where the samples stand.

    Parameters
    ----------
    delimiter, decimal : str
        As in ``ReadChoices``.
    width : int
        Cells in a row [1], >= 1.
    columns : tuple of int
        The cells that hold samples, from 0 [1].
    first : int
        Index of the first row of samples among the lines that were looked at, from 0 [1].
    beside : bool
        True when cells of a preamble stand in the same rows as samples.
    flat : bool
        True when all samples stand in one row.
    words : frozenset of str
        Words that stand for a gap, in lower case.
    ignored : tuple of int
        The cells that are left out as the caller says, from 0 [1].
    """

    delimiter: str
    decimal: str
    width: int
    columns: tuple[int, ...]
    first: int
    ignored: tuple[int, ...] = ()
    beside: bool = False
    flat: bool = False
    words: frozenset[str] = GAP_WORDS


@dataclass(frozen=True)
class _Reading:
    """One pair of delimiter and decimal mark, and the rows of numbers that it finds."""

    delimiter: str
    decimal: str
    rows: list[list[str]]
    width: int
    numeric: list[int]
    any_width: frozenset[int]
    ignored: frozenset[int]

    def values(self) -> list[list[float | None]]:
        """The first few rows as numbers, blanks at the end of a row left out."""
        sample = [_plain(self.rows[i], "", self.ignored) for i in self.numeric[:20]]
        return [[cell_value(c, self.decimal) for c in row if not is_gap(c)] for row in sample]


def find_layout(lines: list[str], choices: ReadChoices) -> tuple[Layout, list[str]]:
    """Find the layout of a capture from its first lines.

    Parameters
    ----------
    lines : list of str
        The first lines.
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    tuple of Layout and list of str
        The layout, and a sentence for each thing that was inferred.
    """
    words = GAP_WORDS | {word.strip().lower() for word in choices.gap_words}
    reading = _chosen_reading(lines, choices, words)
    if choices.decimal is None and reading.delimiter != ",":
        reading = _with_late_decimal(reading, lines)
    sentences = []
    if choices.delimiter is None:
        sentences.append(f"delimiter: {DELIMITERS[reading.delimiter]}")
    if choices.decimal is None:
        sentences.append(f"decimal mark: {DECIMALS[reading.decimal]}")
        _refuse_thousands(reading)
    rows, width = reading.rows, reading.width
    first = _first_row(reading) if choices.first_line is None else choices.first_line - 1
    refuse_unknown(choices.ignore, rows, first, reading.ignored)
    ignored = reading.ignored
    sample = [_plain(rows[i], choices.thousands, ignored) for i in reading.numeric if i >= first]
    flat = len(reading.numeric) == 1 and width >= _LONGEST_ROW
    if flat:
        sentences.append(f"samples: one channel without times, all in line {first + 1}")
        return Layout(
            delimiter=reading.delimiter,
            decimal=reading.decimal,
            width=width,
            columns=(0,),
            first=first,
            flat=True,
            words=words,
        ), sentences
    columns = tuple(c for c in range(width) if any(row[c] for row in sample))
    beside = False
    if choices.first_line is None:
        top = _top_beside(reading, columns, first, words)
        beside, first = top < first, top
    if beside:
        sentences.append(f"preamble: beside the samples, from line {first + 1}")
    return Layout(
        delimiter=reading.delimiter,
        decimal=reading.decimal,
        width=width,
        columns=columns,
        first=first,
        beside=beside,
        words=words,
        ignored=tuple(sorted(ignored)),
    ), sentences


def _chosen_reading(lines: list[str], choices: ReadChoices, words: frozenset[str]) -> _Reading:
    """The pair of delimiter and decimal mark that explains most rows; an error when two do."""
    for count in (_first_few(lines), len(lines)):
        readings = [r for r in _readings(lines[:count], choices, words) if r.numeric]
        if readings:
            break
    else:
        _refuse_no_numbers(lines, choices)
    most = max(len(r.numeric) for r in readings)
    most_by = {d: max(len(r.numeric) for r in readings if r.delimiter == d) for d in {r.delimiter for r in readings}}
    likely = [r for r in readings if len(r.numeric) == most_by[r.delimiter] and 2 * len(r.numeric) >= most]
    likely.sort(key=lambda r: -len(r.numeric))
    different = [r for i, r in enumerate(likely) if all(r.values() != other.values() for other in likely[:i])]
    if len(different) > 1:
        best = [r for r in different if len(r.numeric) == most]
        different = [r for r in different if _header_agrees(r, choices)] or best
    if len(different) > 1:
        at = different[0].numeric[0]
        parts: list[str | Advice] = []
        for r in different:
            mark = Advice(Setting.DELIMITER, _TYPED.get(r.delimiter, r.delimiter))
            told = (Advice(Setting.DECIMAL, r.decimal),)
            column = told if not r.delimiter else (mark, " ", *told)
            parts += ["; " if parts else "", *column]
        raise refused(f"line {at + 1}: {_short(lines[at])} can be read in {len(different)} ways: choose ", *parts)
    return different[0]


def _first_few(lines: list[str]) -> int:
    """How many lines show the layout: fewer of long ones, since each cell is looked at in every way."""
    long = 0
    for number, line in enumerate(lines[:_LOOKED_AT]):
        long += len(line)
        if long > _LOOKED_AT_CHARACTERS and number >= _FEWEST_LOOKED_AT:
            return number
    return _LOOKED_AT


def _with_late_decimal(reading: _Reading, lines: list[str]) -> _Reading:
    """Where the first rows are whole numbers, the first decimal mark further down counts."""
    held = (_plain(reading.rows[i], "", reading.ignored) for i in reading.numeric)
    if any("." in cell or "," in cell for row in held for cell in row):
        return reading
    below = (_DECIMAL.search(line) for line in lines[len(reading.rows) :])
    mark = next((found[1] for found in below if found), reading.decimal)
    return replace(reading, decimal=mark)


def _readings(lines: list[str], choices: ReadChoices, words: frozenset[str]) -> list[_Reading]:
    """Every pair of delimiter and decimal mark that the choices leave, with the rows it finds."""
    delimiters = tuple(DELIMITERS) if choices.delimiter is None else (choices.delimiter,)
    decimals = tuple(DECIMALS) if choices.decimal is None else (choices.decimal,)
    found = []
    for delimiter in delimiters:
        if choices.delimiter is None and delimiter and not any(delimiter in line for line in lines):
            continue
        rows = [split_line(line, delimiter) for line in lines]
        ignored = ignored_cells(choices.ignore, rows)
        quoted = any('"' in line for line in lines)
        for decimal in decimals:
            if decimal == delimiter and not quoted:
                continue
            looked_at = range((choices.first_line or 1) - 1, len(rows))
            numeric = [i for i in looked_at if _is_row(_plain(rows[i], choices.thousands, ignored), decimal, words)]
            widths = Counter(len(rows[i]) for i in numeric)
            width = max(widths, key=lambda w: (widths[w], w), default=0)
            kept = [i for i in numeric if len(rows[i]) == width]
            found.append(_Reading(delimiter, decimal, rows, width, kept, frozenset(numeric), ignored))
    return found


def _plain(row: list[str], thousands: str, ignored: frozenset[int]) -> list[str]:
    """A row without the marks between thousands, ignored cells blank."""
    if ignored:
        row = ["" if c in ignored else cell for c, cell in enumerate(row)]
    return [cell.replace(thousands, "") for cell in row] if thousands else row


def _is_row(row: list[str], decimal: str, words: frozenset[str]) -> bool:
    """Whether a row has numbers and gaps only, and one number at least."""
    numbers = [is_number(cell, decimal) for cell in row]
    return any(numbers) and all(n or is_gap(c, words) for n, c in zip(numbers, row, strict=True))


def _refuse_thousands(reading: _Reading) -> None:
    """An error when every comma could part thousands as well as decimals."""
    plain = ((i, _plain(reading.rows[i], "", reading.ignored)) for i in reading.numeric)
    cells = [(i, cell) for i, row in plain for cell in row if "," in cell]
    if reading.decimal == "," and cells and all(_THOUSANDS.fullmatch(cell) for _, cell in cells):
        line, cell = cells[0]
        raise refused(
            f"line {line + 1}: the comma in {cell!r} could be the decimal mark or part thousands; choose ",
            Advice(Setting.DECIMAL, ","),
            " or ",
            Advice(Setting.DECIMAL, "."),
            " with ",
            Advice(Setting.THOUSANDS, ","),
        )


def _header_agrees(reading: _Reading, choices: ReadChoices) -> bool:
    """Whether the caller, or the line above the first row of numbers, has a name for each of its cells."""
    if choices.names is not None:
        return len(choices.names) == reading.width
    above = reading.rows[: _first_row(reading)]
    names = next((row for row in reversed(above) if any(row)), [])
    texts = all(name and not is_number(name, ".") and not is_number(name, ",") for name in names)
    return len(names) == reading.width and texts and not (reading.delimiter == "" and "," in names[0])


def _first_row(reading: _Reading) -> int:
    """The first row of numbers; a lone one is a preamble's when a line that begins with a text follows."""
    filled = [i for i, row in enumerate(reading.rows) if any(row)]
    after = dict(pairwise(filled))
    begins = {i: reading.rows[i][0] for i in after.values()}
    followed = (
        i
        for i in reading.numeric
        if i not in after or after[i] in reading.any_width or is_number(begins[after[i]], reading.decimal)
    )
    return next(followed, reading.numeric[0])


def _top_beside(reading: _Reading, columns: tuple[int, ...], first: int, words: frozenset[str]) -> int:
    """The first row whose sample cells hold numbers, whatever a preamble writes beside them."""
    free = set(range(reading.width)) - set(columns) - reading.ignored
    top = first
    while top > 0 and free:
        row = reading.rows[top - 1]
        if len(row) != reading.width:
            break
        held = [row[c] for c in columns]
        if not any(is_number(c, reading.decimal) for c in held):
            break
        if not all(is_number(c, reading.decimal) or is_gap(c, words) for c in held):
            break
        top -= 1
    return top


def _refuse_no_numbers(lines: list[str], choices: ReadChoices) -> NoReturn:
    """Say what is wrong with a text without a row of numbers."""
    if not any(line.strip() for line in lines):
        raise refused("line 1: the file is empty; a header and rows of numbers are expected")
    if choices.first_line is not None:
        told = Advice(Setting.FIRST_LINE, str(choices.first_line))
        raise refused(f"line {choices.first_line}: a row of numbers is expected here or below, as told with ", told)
    at = max(i for i, line in enumerate(lines) if line.strip())
    marks: list[str | Advice] = []
    for setting, given in ((Setting.DELIMITER, choices.delimiter), (Setting.DECIMAL, choices.decimal)):
        if given is not None:
            marks += [" and " if marks else " with ", Advice(setting, _TYPED.get(given, given))]
    refuse_texts(lines, tuple(DELIMITERS) if choices.delimiter is None else (choices.delimiter,))
    raise refused(
        f"line {at + 1}: rows of numbers are expected", *marks,
        f", but {_short(lines[at])} is none, nor is one above; if that is how samples are written give ",
        Advice(Setting.DELIMITER), " or ", Advice(Setting.DECIMAL),
    )  # fmt: skip


def _short(line: str) -> str:
    """A line in quotes, cut when it is long."""
    line = line.strip()
    return repr(line if len(line) <= 40 else line[:37] + "...")
