"""The file of what has been measured: ``NAME.measured.toml`` beside ``NAME.toml``.

``log_beside``  its name
``read_log``    its content
``add_to_log``  more rows, below what stands in it
``log_with``    the same as a text, for what is written together
``log_text``, ``parse_log``
                a whole log as a text, and back

    [[measured]]
    key = "adapter.limit_current"
    value = "3.52 A"
    low = "3.4 A"          # left out where that side was not told
    high = "3.61 A"
    level = 0.95
    how = "capture"        # or "bench"
    source = "evening.csv"
    day = 2026-03-01
    modelled = "3.6 A"     # what the build had before

    [[together]]
    source = "evening.csv"
    keys = ["adapter.limit_current", "lead.resistance"]
    correlation = [[1.0, 0.3], [0.3, 1.0]]
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomlkit

from inrushlib.document import as_written, read_given, read_text
from inrushlib.errors import BuildError
from inrushlib.files import Name, write_safely
from inrushlib.measurements.log import How, Measurement, MeasurementLog, Together, problem_of
from inrushlib.parts import TABLES, KeyInfo, build_keys
from inrushlib.parts.part import ValueKind
from inrushlib.parts.tables import written
from inrushlib.quantities import format_quantity, parse_gauge, parse_quantity, shown

ENDING: Final = ".measured.toml"
_HEAD = "# What has been measured of this build. Rows may be added by hand; of two for one key the later one holds.\n"
_ROW = ("key", "value", "low", "high", "level", "how", "source", "day", "modelled")
_TOGETHER = ("source", "keys", "correlation")
_MEASURABLE = (ValueKind.NUMBER, ValueKind.COUNT, ValueKind.GAUGE, ValueKind.LIST)


def log_beside(build: Name) -> Path:
    """Return the path of the log that belongs to a build file.

    Parameters
    ----------
    build : str or path
        The build file; it need not be there.

    Examples
    --------
    >>> log_beside("six_tiles.toml").name
    'six_tiles.measured.toml'
    """
    path = Path(os.fspath(build))
    return path.with_name((path.stem if path.suffix == ".toml" else path.name) + ENDING)


def read_log(path: Name) -> MeasurementLog:
    """Return what stands in a log.

    Parameters
    ----------
    path : str or path
        The log.

    Raises
    ------
    BuildError
        Where it cannot be read, with every row that is not right.
    """
    return parse_log(read_text(path), os.fspath(path))


def parse_log(text: str, source: str = "") -> MeasurementLog:
    """Return the log that a text holds.

    Parameters
    ----------
    text : str
        As :func:`log_text` writes it.
    source : str
        Name for messages.

    Raises
    ------
    BuildError
        With every row that is not right.

    Examples
    --------
    >>> parse_log('[[measured]]\\nkey = "bus.ceramic"\\nvalue = "1 uF"\\nhow = "bench"\\nsource = "LCR meter"\\n'
    ...           'day = 2026-03-01\\n').rows[0].value
    1e-06
    """
    given = read_given(text, source)
    problems = [
        f"{shown(name)}: unknown; accepted: [[measured]], [[together]]" for name in given if name not in _PLACES
    ]
    found: dict[str, list[Any]] = {name: [] for name in _PLACES}
    for name, reader in _PLACES.items():
        entries = given.get(name, [])
        if not isinstance(entries, list) or not all(isinstance(entry, Mapping) for entry in entries):
            problems.append(f"{name}: not rows; accepted: [[{name}]] before each")
            continue
        for number, entry in enumerate(entries, 1):
            try:
                found[name].append(reader(entry))
            except _Wrong as wrong:
                problems.append(f"{name} row {number}: {wrong}")
    if problems:
        raise BuildError(problems, source)
    return MeasurementLog(tuple(found["measured"]), tuple(found["together"]))


def add_to_log(path: Name, rows: Sequence[Measurement], together: Sequence[Together] = ()) -> None:
    """Add rows to a log, below what stands in it; it is made where there is none.

    Parameters
    ----------
    path : str or path
        The log.
    rows : sequence of Measurement
        The rows.
    together : sequence of Together
        How errors of keys of one source go together.

    Raises
    ------
    BuildError
        Where the log cannot be read or written, or a row is not right; it is left as it was.
    """
    write_safely(log_with(path, rows, together), path)


def log_with(path: Name, rows: Sequence[Measurement], together: Sequence[Together] = ()) -> str:
    """Return the text of a log with rows added, for one that is written together with its build.

    Parameters
    ----------
    path : str or path
        The log; it need not be there.
    rows : sequence of Measurement
        The rows.
    together : sequence of Together
        How errors of keys of one source go together.

    Returns
    -------
    str
        What is to stand in it.

    Raises
    ------
    BuildError
        Where the log cannot be read, or a row is not right.
    """
    added = log_text(MeasurementLog(tuple(rows), tuple(together)), os.fspath(path))
    text = _HEAD
    if os.path.lexists(path):
        read_log(path)
        text = read_text(path)
    return f"{text.rstrip()}\n\n{added}"


def log_text(log: MeasurementLog, source: str = "") -> str:
    """Return a log as a text, without a line of what it is.

    Parameters
    ----------
    log : MeasurementLog
        Any log.
    source : str
        Name for messages.

    Raises
    ------
    BuildError
        Where a row is not right.
    """
    problems = [f"{row.key}: {problem}" for row in log.rows if (problem := _checked(row))]
    if problems:
        raise BuildError(problems, source)
    document = tomlkit.document()
    for name, entries in (
        ("measured", [_row(row) for row in log.rows]),
        ("together", [_tied(each) for each in log.together]),
    ):
        if entries:
            tables = tomlkit.aot()
            for entry in entries:
                table = tomlkit.table()
                table.update(entry)
                tables.append(table)
            document[name] = tables
    return tomlkit.dumps(document)


class _Wrong(Exception):
    """What is wrong with a row."""


def _info(key: Any) -> KeyInfo:
    info = build_keys().get(key) if isinstance(key, str) else None
    if info is None or not info.table or info.kind not in _MEASURABLE:
        raise _Wrong(f"key {shown(key)}: not a number of a build; accepted: one that `inrush keys` lists")
    return info


def _only(entry: Mapping[str, Any], names: Sequence[str], needed: Sequence[str]) -> None:
    for name in entry:
        if name not in names:
            raise _Wrong(f"{shown(name)}: unknown; accepted: {', '.join(names)}")
    for name in needed:
        if name not in entry:
            raise _Wrong(f"{name}: missing")


def _measured(entry: Mapping[str, Any]) -> Measurement:
    _only(entry, _ROW, ("key", "value", "how", "source", "day"))
    info = _info(entry["key"])
    level, day, source = entry.get("level", 0.95), entry["day"], entry["source"]
    if isinstance(level, bool) or not isinstance(level, int | float):
        raise _Wrong(f"level: {shown(level)}; accepted: above 0 and below 1")
    if type(day) is not date:
        raise _Wrong(f"day: {shown(day)}; accepted: a date such as 2026-03-01, without quotes")
    if not isinstance(source, str):
        raise _Wrong(f"source: {shown(source)}; accepted: text")
    if entry["how"] not in list(How):
        raise _Wrong(f"how: {shown(entry['how'])}; accepted: {', '.join(How)}")
    row = Measurement(
        key=entry["key"], level=float(level), how=How(entry["how"]), source=source, day=day,
        value=_number(info, "value", entry["value"]),
        low=_optional(info, "low", entry), high=_optional(info, "high", entry),
        modelled=_optional(info, "modelled", entry),
    )  # fmt: skip
    if problem := _checked(row):
        raise _Wrong(problem)
    return row


def _optional(info: KeyInfo, name: str, entry: Mapping[str, Any]) -> float | None:
    return _number(info, name, entry[name]) if name in entry else None


def _number(info: KeyInfo, name: str, value: Any) -> float:
    try:
        if info.kind is ValueKind.GAUGE:
            return parse_gauge(value)
        return parse_quantity(value, info.unit)
    except (ValueError, TypeError) as error:
        raise _Wrong(f"{name}: {shown(value)}; accepted: {info.accepted}") from error


def _together(entry: Mapping[str, Any]) -> Together:
    _only(entry, _TOGETHER, _TOGETHER)
    keys, rows = entry["keys"], entry["correlation"]
    if not isinstance(entry["source"], str):
        raise _Wrong(f"source: {shown(entry['source'])}; accepted: text")
    if not isinstance(keys, list) or len(keys) < 2 or len(set(map(str, keys))) < len(keys):
        raise _Wrong("keys: accepted: a list of two keys or more, each once")
    for key in keys:
        _info(key)
    try:
        table = tuple(tuple(float(each) for each in row) for row in rows)
    except (TypeError, ValueError):
        table = ()
    found = Together(source=entry["source"], keys=tuple(keys), correlation=table)
    if not found.is_possible:
        raise _Wrong("correlation: accepted: a row for each key, symmetric, 1 on the diagonal, from -1 to 1")
    return found


_PLACES: dict[str, Any] = {"measured": _measured, "together": _together}


def _checked(row: Measurement) -> str:
    try:
        info = _info(row.key)
    except _Wrong as wrong:
        return str(wrong)
    problem = problem_of(row, info.low, info.high)
    if not problem:
        return ""
    about = TABLES[info.table].about[info.key]
    numbers = {"low": row.low, "value": row.value, "high": row.high}
    said = ", ".join(f"{name} {written(about, each)}" for name, each in numbers.items() if each is not None)
    return f"{problem} ({said}); accepted: {info.accepted}, low to high around it"


def _row(row: Measurement) -> dict[str, Any]:
    info = build_keys()[row.key]
    numbers = {
        name: _spelled(info, value)
        for name in ("value", "low", "high", "modelled")
        if (value := getattr(row, name)) is not None
    }
    told = {"key": row.key, **numbers, "level": row.level, "how": str(row.how), "source": row.source, "day": row.day}
    return {name: told[name] for name in _ROW if name in told}


def _spelled(info: KeyInfo, value: float) -> Any:
    if info.kind is ValueKind.GAUGE or not info.unit:
        return as_written(TABLES[info.table].about[info.key], value)
    return format_quantity(value, info.unit, digits=7)


def _tied(each: Together) -> dict[str, Any]:
    rows = [[round(float(entry), 4) for entry in row] for row in each.correlation]
    return {"source": each.source, "keys": list(each.keys), "correlation": rows}
