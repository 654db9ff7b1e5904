"""A bench table of pixel currents, from a CSV file.

``read_bench``    rows of a file
``BenchTable``    them
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.trace.prepare import FloatArray
from inrushlib.trace.read.cells import cell_value, is_gap, split_line
from inrushlib.trace.read.source import find_encoding
from inrushlib.trace.read.units import find_unit, split_label

COLUMNS = ("voltage", "current", "count", "colour")
WORDS = {
    "voltage": ("voltage", "supply voltage", "supply"),
    "current": ("current", "supply current"),
    "count": ("count", "lit", "lit pixels"),
    "colour": ("colour", "color"),
    "pixels": ("pixels", "connected"),
}
NAMED = {
    "dark": (0.0, 0.0, 0.0),
    "off": (0.0, 0.0, 0.0),
    "red": (1.0, 0.0, 0.0),
    "green": (0.0, 1.0, 0.0),
    "blue": (0.0, 0.0, 1.0),
    "white": (1.0, 1.0, 1.0),
}
MOST_BYTES = 10_000_000


@dataclass(frozen=True, kw_only=True)
class BenchTable:
    """Readings of the supply's current, one a row.

    Attributes
    ----------
    voltage, current : (n,) array
        At the pixels, and of all of them together [V, A].
    count, pixels : (n,) array
        Pixels that show the colour, and all that hang on the supply [1].
    duty : (n, 3) array
        Red, green and blue of the lit ones [1], 0 to 1.
    step : float
        Last digit of the currents as written, the finest of all rows [A].
    name : str
        Of the file.
    """

    voltage: FloatArray
    current: FloatArray
    count: FloatArray
    pixels: FloatArray
    duty: FloatArray
    step: float
    name: str = ""


def read_bench(path_or_bytes: str | os.PathLike[str] | bytes, *, pixels: int | None = None) -> BenchTable:
    """Read a bench table: columns voltage, current, count, colour, and pixels or one number for all rows.

    Columns stand in any order under one header row with units, such as ``current [mA]``, parted by comma,
    semicolon or tab. A colour is white, red, green, blue, dark, or three duties such as ``0.5 0.5 0``.

    Parameters
    ----------
    path_or_bytes : str, path or bytes
        The file, or its bytes.
    pixels : int or None
        Pixels on the supply [1], at least 1; None where the table has a column for it.

    Raises
    ------
    TraceError
        With the number of the line and what was expected there, all problems at once.

    Examples
    --------
    >>> table = read_bench(b"voltage [V],current [mA],count,colour\\n5,45,1,white\\n5,178,5,white\\n", pixels=14)
    >>> table.current.tolist(), table.duty[0].tolist()
    ([0.045, 0.178], [1.0, 1.0, 1.0])
    """
    name = "bench table" if isinstance(path_or_bytes, bytes) else Path(path_or_bytes).name
    lines = [(i, text) for i, text in enumerate(_text(path_or_bytes, name).splitlines(), 1) if text.strip()]
    if len(lines) < 2:
        raise TraceError("a header row and at least one row of readings are expected", name)
    header = lines[0][1]
    delimiter = next((mark for mark in ("\t", ";", ",") if mark in header), ",")
    decimal = "," if delimiter == ";" and not any("." in text for _, text in lines[1:]) else "."
    places, factors = _columns(split_line(header, delimiter), pixels, name)
    problems: list[str] = []
    rows = []
    for number, text in lines[1:]:
        cells = split_line(text, delimiter)
        if len(cells) <= max(places.values()):
            problems.append(f"line {number}: {max(places.values()) + 1} cells are expected, not {len(cells)}")
            continue
        row = {
            column: _number(cells[at], decimal, factors.get(column, 1.0), f"line {number}: {column}", problems)
            for column, at in places.items()
            if column != "colour"
        }
        duty = _duty(cells[places["colour"]], decimal, number, problems)
        row.setdefault("pixels", float(pixels or 0))
        _check_row(row, number, problems)
        rows.append((row, duty))
    if problems:
        raise TraceError(problems, name)
    columns = {key: np.array([row[key] for row, _ in rows]) for key in ("voltage", "current", "count", "pixels")}
    step = factors["current"] * min(_last_digit(split_line(t, delimiter)[places["current"]]) for _, t in lines[1:])
    return BenchTable(**columns, duty=np.array([duty for _, duty in rows]), step=step, name=name)


def _text(path_or_bytes: str | os.PathLike[str] | bytes, name: str) -> str:
    if isinstance(path_or_bytes, bytes):
        data = path_or_bytes
    else:
        try:
            data = Path(path_or_bytes).read_bytes()
        except OSError as error:
            raise TraceError(f"cannot be read: {error.strerror}", name) from None
    if len(data) > MOST_BYTES:
        raise TraceError(f"{len(data)} bytes; accepted: a bench table of at most {MOST_BYTES} bytes", name)
    encoding, mark, _ = find_encoding(data)
    return data[mark:].decode(encoding, "replace")


def _columns(header: list[str], pixels: int | None, name: str) -> tuple[dict[str, int], dict[str, float]]:
    """Where each column stands, and the factor of its unit."""
    places: dict[str, int] = {}
    factors: dict[str, float] = {}
    problems = []
    for at, cell in enumerate(header):
        label, unit_text = split_label(cell)
        column = next((c for c, words in WORDS.items() if label.strip().lower() in words), None)
        if column is None:
            continue
        if column in places:
            problems.append(f"line 1: two columns of {column}; accepted: one")
        places[column] = at
        base = {"voltage": "V", "current": "A"}.get(column)
        if base is None:
            continue
        unit = find_unit(unit_text) if unit_text else None
        if unit is None or unit.base != base:
            problems.append(f"line 1: {cell!r}; accepted: {column} with its unit, such as [{base}] or [m{base}]")
        else:
            factors[column] = 10.0**unit.exponent
    problems += [f"line 1: no column {c}; accepted: {', '.join(COLUMNS)}" for c in COLUMNS if c not in places]
    if "pixels" not in places and pixels is None:
        accepted = "accepted: a column pixels, or the number given beside the table"
        problems.append(f"how many pixels hang on the supply is not said; {accepted}")
    if pixels is not None and ("pixels" in places or pixels < 1):
        problems.append(f"pixels {pixels}; accepted: a whole number from 1, where the table has no column for it")
    if problems:
        raise TraceError(problems, name)
    return places, factors


def _number(cell: str, decimal: str, factor: float, where: str, problems: list[str]) -> float:
    value = cell_value(cell, decimal)
    if value is None or is_gap(cell) or not np.isfinite(value):
        problems.append(f"{where}: {cell!r}; accepted: a number")
        return 0.0
    return value * factor


def _last_digit(cell: str) -> float:
    """Worth of the last digit of a number as written: 0.1 for 22.5."""
    digits, _, power = cell.replace(",", ".").lower().partition("e")
    decimals = len(digits.partition(".")[2])
    return float(10.0 ** (int(power or 0) - decimals))


def _duty(cell: str, decimal: str, number: int, problems: list[str]) -> tuple[float, float, float]:
    known = NAMED.get(cell.strip().lower())
    if known is not None:
        return known
    parts = [cell_value(part, decimal) for part in cell.replace("/", " ").split()]
    found = [part for part in parts if part is not None and 0.0 <= part <= 1.0]
    if len(found) == len(parts) == 3:
        return found[0], found[1], found[2]
    names = ", ".join(NAMED)
    problems.append(f"line {number}: colour {cell!r}; accepted: {names}, or three duties from 0 to 1 such as 0.5 0.5 0")
    return 0.0, 0.0, 0.0


def _check_row(row: dict[str, float], number: int, problems: list[str]) -> None:
    if row["voltage"] < 0:
        problems.append(f"line {number}: voltage {row['voltage']:g} V; accepted: 0 or above")
    for column in ("count", "pixels"):
        if row[column] < 0 or row[column] != int(row[column]):
            problems.append(f"line {number}: {column} {row[column]:g}; accepted: whole numbers from 0")
    if row["count"] > row["pixels"]:
        problems.append(
            f"line {number}: {row['count']:g} lit of {row['pixels']:g} pixels; accepted: at most all of them"
        )
