"""Lines among the samples that are no samples: repeated headers and preambles, comments, a last line cut short."""

from __future__ import annotations

from inrushlib.trace.read.body import Table
from inrushlib.trace.read.cells import is_gap, is_number
from inrushlib.trace.read.header import Column, Header, header_cells
from inrushlib.trace.read.layout import Layout
from inrushlib.trace.read.parse import OddLine, Rows
from inrushlib.trace.read.preamble import collect_facts, known_key
from inrushlib.trace.read.settings import Advice, Setting, Wording, refused, wording
from inrushlib.trace.read.units import find_unit, is_unit_cell, split_label

_FREE_KEYS = ("segment", "trigger", "date", "time stamp", "timestamp")


class Stitcher:
    """Adds rows to a table in the order and unit of the first header, whatever a later header says.

    Parameters
    ----------
    header : Header
        What stands before the samples.
    layout : Layout
        Where the samples stand.
    table : Table
        Where the rows go.
    """

    def __init__(self, header: Header, layout: Layout, table: Table) -> None:
        self._header, self._layout, self._table = header, layout, table
        self._order = list(range(len(header.columns)))
        self._factors = [1.0] * len(header.columns)
        self._known_lines = {line.strip() for line in header.lines}
        self._known_facts = {(fact.key, fact.values) for fact in header.facts.found}
        self.repeats: list[tuple[int, int]] = []
        self.sentences: list[str] = []
        self._footer: list[tuple[int, Wording]] = []

    def take(self, item: Rows | OddLine) -> None:
        """Add rows as the last header orders them, or interpret a line that is not a sample row.

        Parameters
        ----------
        item : Rows or OddLine
            Rows, or a line that is no row of samples.
        """
        if isinstance(item, Rows):
            self._refuse_footer()
            self._table.append(item, self._order, self._factors)
        else:
            self._odd_line(item)

    def finish(self) -> None:
        """Say what was left out below the samples."""
        if self._footer:
            count = len(self._footer)
            lines = "1 line" if count == 1 else f"{count} lines"
            self.sentences.append(f"line {self._footer[0][0]}: a footer of {lines} was left out")

    def _refuse_footer(self) -> None:
        """An error where samples follow what would else be a footer."""
        if self._footer:
            line, expected = self._footer[0]
            raise refused(f"line {line}: ", *expected.parts)

    def _is_footer(self, cells: list[str], line: int) -> bool:
        """Whether a line is words only, and none of those that say how to read the samples."""
        numbers = any(is_number(cell, mark) for cell in cells for mark in ".,")
        words = any(not is_gap(cell, self._layout.words) for cell in cells)
        told = collect_facts([(line, cells)], self._layout.decimal).found
        return bool(self._table.count) and words and not numbers and not any(known_key(fact.key) for fact in told)

    def _odd_line(self, odd: OddLine) -> None:
        """Take a line that is no row of samples; an error when it has no place there."""
        text = odd.text.strip()
        cells = header_cells(text, self._layout)
        if odd.last and not any(cells):
            self.sentences.append(f"line {odd.line}: the rows from here on are blank and were left out")
        elif self._is_header(cells):
            self._take_names(cells, odd.line)
        elif self.repeats and self.repeats[-1][0] == self._table.count and self._is_units(cells):
            self._take_units(cells, odd.line)
        elif text.startswith(("#", "%", "//")) or text in self._known_lines or self._is_known_fact(cells, odd.line):
            return
        elif odd.last and len(cells) < self._layout.width and self._table.count:
            self.sentences.append(f"line {odd.line}: the last line is cut short and was left out")
        elif self._is_footer(cells, odd.line):
            self._footer.append((odd.line, self._expected(cells)))
        else:
            self._refuse_footer()
            raise refused(f"line {odd.line}: ", *self._expected(cells).parts)

    def _is_header(self, cells: list[str]) -> bool:
        """Whether a row repeats the names of the first header, in any order."""
        if self._header.rows == 0 or len(cells) <= max(self._layout.columns):
            return False
        wanted = sorted(split_label(column.label)[0] for column in self._header.columns)
        return sorted(split_label(cells[c])[0] for c in self._layout.columns) == wanted

    def _take_names(self, cells: list[str], line: int) -> None:
        """Order and units of the rows that follow, from a repeated header."""
        here = [split_label(cells[c]) for c in self._layout.columns]
        names = [name for name, _ in here]
        self._order = [names.index(split_label(column.label)[0]) for column in self._header.columns]
        if len(set(self._order)) < len(self._order):
            self._order = list(range(len(here)))
        self.repeats.append((self._table.count, line))
        if self._header.rows == 1:
            self._take_factors([here[at][1] for at in self._order], line)
        if self._order != sorted(self._order):
            self.sentences.append(f"line {line}: the header is repeated with its columns in another order")

    def _is_units(self, cells: list[str]) -> bool:
        held = [cells[c] for c in self._layout.columns if c < len(cells)]
        return self._header.rows == 2 and len(held) == len(self._order) and all(map(is_unit_cell, filter(None, held)))

    def _take_units(self, cells: list[str], line: int) -> None:
        held = [cells[c] for c in self._layout.columns]
        self._take_factors([held[at] for at in self._order], line)

    def _take_factors(self, units: list[str], line: int) -> None:
        """How the rows that follow are scaled to the unit of the first header."""
        factors = []
        for column, text in zip(self._header.columns, units, strict=True):
            factors.append(_factor(column, text, line))
        self._factors = factors

    def _is_known_fact(self, cells: list[str], line: int) -> bool:
        """Whether a line repeats one of the preamble; an error when it says something else that matters."""
        found = collect_facts([(line, cells)], self._layout.decimal).found
        if not found:
            return False
        fact = found[0]
        if (fact.key, fact.values) in self._known_facts or fact.key.startswith(_FREE_KEYS):
            return True
        before = next((f for f in self._header.facts.found if f.key == fact.key), None)
        if before is not None:
            raise refused(
                f"line {line}: {fact.key} is {', '.join(fact.values)!r} from here on, "
                f"but line {before.line} says {', '.join(before.values)!r}; save the parts as files of their own"
            )
        return False

    def _expected(self, cells: list[str]) -> Wording:
        """What a row of samples should have been."""
        width, columns = self._layout.width, self._layout.columns
        if len(cells) != width:
            said = f"{width} cell{'s' if width > 1 else ''} of numbers expected, {len(cells)} found; mend the line, or "
            return wording(said, "give ", Advice(Setting.DELIMITER), " if it is cut in the wrong places")
        for c in columns:
            if not is_number(cells[c], self._layout.decimal) and not is_gap(cells[c], self._layout.words):
                other = "," if self._layout.decimal == "." else "."
                said = f"a number is expected in cell {c + 1}, not {cells[c][:40]!r}; give "
                if is_number(cells[c], other):
                    return wording(said, Advice(Setting.DECIMAL, other), " if that is its decimal mark")
                ways = (Advice(Setting.GAP_WORDS, cells[c][:40]), " for a gap, ", Advice(Setting.IGNORE, str(c + 1)))
                return wording(said, *ways, " to leave the column out")
        free = [c for c in range(width) if c not in columns and c not in self._layout.ignored and cells[c]]
        extra = free[0] if free else 0
        said = f"an empty cell {extra + 1} is expected as in the rows above, not {cells[extra][:40]!r}; give "
        return wording(said, Advice(Setting.IGNORE, str(extra + 1)), " to leave the column out")


def _factor(column: Column, text: str, line: int) -> float:
    """From a unit in a repeated header to the unit of the first one."""
    text = text.strip("[]() ")
    if text == column.unit:
        return 1.0
    first, here = find_unit(column.unit), find_unit(text)
    if first is None or here is None or first.base != here.base:
        raise refused(
            f"line {line}: {column.name or 'a column'} is in {column.unit!r} above, but in {text!r} here; "
            "save the parts as files of their own"
        )
    return 10.0 ** (here.exponent - first.exponent)
