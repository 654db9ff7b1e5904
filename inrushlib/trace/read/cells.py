"""One line, one cell: splitting at the delimiter, and what a cell says (a number, a gap, or neither)."""

from __future__ import annotations

import csv
import math
import re

#: From here on a number is a scope's code for over range; SCPI-99 (IEEE 488.2) writes 9.9E37 for infinity.
OVER_RANGE = 9.9e37

#: Cells that stand for a sample that is over range or missing, in lower case.
_GAP_SPELLINGS = (
    ("inf", "+inf", "-inf", "infinity", "+infinity", "-infinity", "∞", "+∞", "-∞"),
    ("1.#inf", "-1.#inf", "1.#qnan", "-1.#ind", "nan", "+nan", "-nan", "na", "n/a", "#n/a", "null", "none"),
    # The codes of SCPI with a decimal point, for files whose decimal mark is the comma.
    ("9.9e37", "9.9e+37", "+9.9e+37", "-9.9e37", "-9.9e+37", "9.91e37", "9.91e+37", "+9.91e+37"),
    ("ovl", "ovf", "ol", "o.l.", "over", "overflow", "overload", "overrange", "over-range", "clip", "clipped"),
)
GAP_WORDS = frozenset(word for words in _GAP_SPELLINGS for word in words)

_GAP_RUN = re.compile(r"\*+|-+|\?+")
#: An exponent, that of double precision with its sign ("1.5D-03") as well.
_EXPONENT = r"(?:[eE][+-]?[0-9]+|[dD][+-][0-9]{1,3})?"
_NUMBERS = {
    ".": re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)" + _EXPONENT),
    ",": re.compile(r"[+-]?[0-9]+(?:,[0-9]+)?" + _EXPONENT),
}
_DOUBLE = re.compile(rb"(?<=[0-9.])[dD](?=[+-][0-9])")
#: A name with its unit in brackets is one cell even where blanks part the cells.
_BLANK_CELL = re.compile(r"[^\s(\[]\S*(?:\s*[\[(][^\])]*[\])])?|[\[(][^\])]*[\])]|\S+")
_LONGEST_BLANK_LINE = 2000


def split_line(line: str, delimiter: str) -> list[str]:
    """Cells of a line, without blanks and quotes around them.

    Parameters
    ----------
    line : str
        The line.
    delimiter : str
        One character; ``" "`` for any run of blanks, empty when the line is one cell.

    Returns
    -------
    list of str
        The cells.

    Examples
    --------
    >>> split_line('"time [s]"; "0,5" ;', ";")
    ['time [s]', '0,5', '']
    """
    if delimiter == " ":
        parts = _BLANK_CELL.findall(line) if len(line) < _LONGEST_BLANK_LINE else line.split()
        return [cell.strip().strip('"') for cell in parts]
    if delimiter == "":
        return [line.strip().strip('"').strip()]
    if '"' in line:
        try:
            quoted = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
            return [cell.strip() for cell in quoted]
        except csv.Error:
            line = line.replace('"', "")
    return [cell.strip() for cell in line.split(delimiter)]


def is_gap(cell: str, words: frozenset[str] = GAP_WORDS) -> bool:
    """Whether a cell is empty or a word for a sample that is over range or missing.

    Parameters
    ----------
    cell : str
        The cell, without blanks around it.
    words : frozenset of str
        The words, in lower case.

    Returns
    -------
    bool
        True for a gap.

    Examples
    --------
    >>> is_gap("****"), is_gap("0.1")
    (True, False)
    """
    return not cell or cell.lower() in words or _GAP_RUN.fullmatch(cell) is not None


def is_number(cell: str, decimal: str) -> bool:
    """Whether a cell is a number.

    Parameters
    ----------
    cell : str
        The cell, without blanks around it.
    decimal : str
        The decimal mark, point or comma.

    Returns
    -------
    bool
        True for a number.

    Examples
    --------
    >>> is_number("-1,5e-3", ","), is_number("-1,5e-3", ".")
    (True, False)
    """
    return _NUMBERS[decimal].fullmatch(cell) is not None


def with_usual_exponents(data: bytes) -> bytes:
    """Lines with an E in place of each D of an exponent, lengths unchanged.

    Parameters
    ----------
    data : bytes
        Lines of numbers.

    Returns
    -------
    bytes
        The lines.

    Examples
    --------
    >>> with_usual_exponents(b"1.5D-03,clipped")
    b'1.5E-03,clipped'
    """
    return _DOUBLE.sub(b"E", data) if b"D" in data or b"d" in data else data


def cell_value(cell: str, decimal: str, words: frozenset[str] = GAP_WORDS) -> float | None:
    """What a cell says: a number, NaN for a gap, None when it is neither.

    Parameters
    ----------
    cell : str
        The cell, without blanks around it.
    decimal : str
        The decimal mark, point or comma.
    words : frozenset of str
        Words that stand for a gap, in lower case.

    Returns
    -------
    float or None
        The value.

    Examples
    --------
    >>> cell_value("1,5", ","), cell_value("9.9E+37", "."), cell_value("Volt", ".")
    (1.5, nan, None)
    """
    if is_number(cell, decimal):
        value = float(cell.replace(",", ".").lower().replace("d", "e"))
        return value if abs(value) < OVER_RANGE else math.nan
    return math.nan if is_gap(cell, words) else None
