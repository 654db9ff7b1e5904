"""Names and units of the columns, and the preamble, from the lines above (or beside) the samples."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from inrushlib.trace.read.cells import is_number, split_line
from inrushlib.trace.read.layout import Layout
from inrushlib.trace.read.preamble import Facts, collect_facts, known_key, read_quantity
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.units import find_unit, is_unit_cell, split_label

_COMMENT = re.compile(r"\s*(#|%|//)+\s*")
#: Lines that announce the samples and name nothing.
_MARKERS = frozenset(("data", "waveform", "curve", "values", "samples", "points"))
_START = re.compile(r"start|x ?(start|origin|zero)|t0")
_INCREMENT = re.compile(r"increment|x ?incr(ement)?|interval")


@dataclass(frozen=True)
class Column:
    """One column of samples, its words as written.

    Attributes
    ----------
    cell : int
        Its cell in a row, from 0 [1].
    name, unit : str
        Taken from the header; empty where it says none.
    label : str
        The header's cell above it.
    """

    cell: int
    name: str
    unit: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Header:
    """What stands before the samples.

    Attributes
    ----------
    lines : tuple of str
        As they stand in the file.
    columns : tuple of Column
        The columns of samples.
    facts : Facts
        The preamble.
    rows : int
        How many rows name the columns [1]: names, or names and units.
    names_line : int
        Number of the line that names them, from 1 [1].
    """

    lines: tuple[str, ...]
    columns: tuple[Column, ...]
    facts: Facts
    rows: int
    names_line: int


def read_header(lines: list[str], layout: Layout, choices: ReadChoices) -> tuple[Header, Layout]:
    """Read names, units and preamble.

    Parameters
    ----------
    lines : list of str
        The first lines of the capture.
    layout : Layout
        Where the samples stand.
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    tuple of Header and Layout
        Names and units as written, nothing is scaled here; and the layout with the columns that have a name
        but no sample in the first rows.

    Raises
    ------
    CaptureRefused
        Where the rows that name columns do not fit the samples, or the names given do not.
    """
    cut = [header_cells(line, layout) for line in (lines if layout.beside else lines[: layout.first])]
    above = [i for i in range(layout.first) if any(cut[i])]
    count = _header_rows(cut, above, layout) if choices.header_rows is None else choices.header_rows
    if count > len(above):
        told = Advice(Setting.HEADER_ROWS, str(count))
        raise refused(f"line {layout.first + 1}: ", told, f", but {len(above)} lines stand above")
    if count == 0 and choices.header_rows is None and choices.first_line is None:
        _refuse_lost_rows(cut, above, layout)
    names_at = above[-count] if count else layout.first
    names = cut[names_at] if count else []
    units = cut[above[-1]] if count == 2 else []
    if count == 1 and all(is_unit_cell(cell) for cell in names if cell):
        names, units = [], names
    layout = _with_named_blanks(names, layout)
    rows = [(i + 1, cut[i]) for i in above[: len(above) - count]]
    rows += _beside(cut, layout)
    rows += _named_in_header(names, units, layout, names_at + 1)
    columns = _columns(names, units, layout, choices, names_at + 1)
    kept = layout.first if not layout.beside else max((line for line, _ in rows), default=layout.first)
    header = Header(
        lines=tuple(lines[:kept]),
        columns=columns,
        facts=collect_facts(rows, layout.decimal),
        rows=count,
        names_line=names_at + 1,
    )
    return header, layout


def header_cells(line: str, layout: Layout) -> list[str]:
    """Cells of a line above the samples, a comment mark at its start left out.

    Parameters
    ----------
    line : str
        The line.
    layout : Layout
        Where the samples stand.

    Returns
    -------
    list of str
        The cells, as ``split_line`` gives them.
    """
    comment = _COMMENT.match(line)
    text = line[comment.end() :] if comment else line
    if layout.delimiter == "" or (layout.delimiter == " " and ":" in text):
        # One column of samples says nothing about what parts a key from its value.
        for mark in ("\t", ";", ","):
            if mark in text:
                return split_line(text, mark)
        return [text.strip().strip('"').strip()]
    return split_line(text, layout.delimiter)


def names_the_columns(cells: list[str], layout: Layout, *, units: Sequence[str] = ()) -> bool:
    """Whether a row of cells can be the names of the columns.

    Parameters
    ----------
    cells : list of str
        The row.
    layout : Layout
        Where the samples stand.
    units : sequence of str
        The cells of the row below where that holds units: then a channel may be called ``1``, and the time nothing.

    Returns
    -------
    bool
        True for a row of names.
    """
    named = [cells[c] if c < len(cells) else "" for c in layout.columns]
    if not any(named) or _is_marker(cells) or sum(map(bool, named)) < (len(named) + 1) // 2:
        return False
    if layout.width == 1 and (len(cells) > 1 or ":" in cells[0] or "=" in cells[0]):
        return False
    if units:
        timed = find_unit(units[layout.columns[0]]) if layout.columns[0] < len(units) else None
        if not named[0]:
            return timed is not None and timed.base == "s"
        return read_quantity(named[0], layout.decimal) is None
    texts = all(not is_number(cell, layout.decimal) for cell in named)
    key_and_value = known_key(cells[0]) and len(cells) > 1 and find_unit(cells[0]) is None
    return texts and not (key_and_value and not all(split_label(cell)[1] for cell in named))


def _is_marker(cells: list[str]) -> bool:
    words = set(re.findall(r"\w+", cells[0].lower()))
    return bool(words) and words <= _MARKERS and not any(cells[1:])


def _header_rows(cut: list[list[str]], above: list[int], layout: Layout) -> int:
    """How many of the lines right above the samples hold names and units: 0, 1 or 2."""
    if not above:
        return 0
    last = cut[above[-1]]
    held = [last[c] for c in layout.columns if c < len(last)]
    units = [cell for cell in held if cell]
    if units and all(is_unit_cell(cell) for cell in units) and not _is_marker(last):
        if len(above) > 1 and names_the_columns(cut[above[-2]], layout, units=last):
            return 2
        return 1 if len(held) >= len(layout.columns) else 0
    return 1 if names_the_columns(last, layout) else 0


def _refuse_lost_rows(cut: list[list[str]], above: list[int], layout: Layout) -> None:
    """An error when a row like those of the samples stands above them and no names stand between."""
    for at, below in pairwise(above):
        if len(cut[at]) == layout.width > 1 and all(is_number(cell, layout.decimal) for cell in cut[at]):
            raise refused(
                f"line {below + 1}: a row of numbers is expected as in line {at + 1}; "
                "if the samples begin further down, give ",
                Advice(Setting.FIRST_LINE),
            )


def _with_named_blanks(names: list[str], layout: Layout) -> Layout:
    """A channel that begins with nothing but blank cells is a channel all the same."""
    if layout.beside:
        return layout
    named = {c for c, name in enumerate(names[: layout.width]) if name and not _is_time_base(name)}
    named -= set(layout.ignored)
    return replace(layout, columns=tuple(sorted({*layout.columns, *named})))


def _columns(names: list[str], units: list[str], layout: Layout, choices: ReadChoices, line: int) -> tuple[Column, ...]:
    """The columns of samples with name and unit; names from the caller win."""
    if names:
        _check_width(names, layout, line)
    if choices.names is not None:
        if len(choices.names) != len(layout.columns):
            raise refused(
                f"line {layout.first + 1}: {len(choices.names)} names are given with ",
                Advice(Setting.NAMES),
                f", but there are {len(layout.columns)} columns of samples",
            )
        names = [""] * layout.width
        for cell, name in zip(layout.columns, choices.names, strict=True):
            names[cell] = name
    found = []
    for cell in layout.columns:
        label = names[cell] if cell < len(names) else ""
        below = units[cell] if cell < len(units) else ""
        name, unit = split_label(label)
        if below:
            unit = below.strip("[]() ")
        elif not unit and find_unit(name) is not None:
            unit = name
        found.append(Column(cell, name or label, unit, label or below))
    return tuple(found)


def _check_width(names: list[str], layout: Layout, line: int) -> None:
    """Names and samples must stand in the same cells."""
    named = {c for c, name in enumerate(names) if name and not _is_time_base(name)}
    extra = max(named, default=0) > max(layout.columns) and not named <= set(range(layout.width))
    missing = max(layout.columns) >= len(names)
    if extra or missing:
        raise refused(
            f"line {layout.first + 1}: {len(names)} cells are expected, as line {line} names them, "
            f"but there are {layout.width}; if the comma is the decimal mark too, "
            "another delimiter is needed; else give ",
            Advice(Setting.NAMES),
            " for each or ",
            Advice(Setting.HEADER_ROWS, "0"),
        )


def _is_time_base(name: str) -> bool:
    plain = split_label(name)[0].lower()
    return _START.fullmatch(plain) is not None or _INCREMENT.fullmatch(plain) is not None


def _beside(cut: list[list[str]], layout: Layout) -> list[tuple[int, list[str]]]:
    """Preamble cells that stand in the same rows as samples."""
    if not layout.beside:
        return []
    rows = []
    for i in range(layout.first, len(cut)):
        cells = [cell for c, cell in enumerate(cut[i]) if c not in layout.columns]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            rows.append((i + 1, cells))
    return rows


def _named_in_header(names: list[str], units: list[str], layout: Layout, line: int) -> list[tuple[int, list[str]]]:
    """Start and increment that stand in the header rows, to the right of the columns."""
    return [
        (line, [name, units[c]])
        for c, name in enumerate(names)
        if c not in layout.columns and c < len(units) and _is_time_base(name)
    ]
