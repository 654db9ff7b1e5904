"""The text of a build file: read, changed in place with its comments or written anew.

``read_text``, ``read_given``
    a file's text, a text's values
``build_lines``
    values as lines for a build file
``rewrite``
    the text with changed values, comments and layout kept
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping, MutableMapping
from decimal import Decimal
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Comment, Table, Whitespace

from inrushlib.errors import BuildError
from inrushlib.files import read_bytes
from inrushlib.parts.classes import CLASS_KEY
from inrushlib.parts.part import KeySpec, ValueKind
from inrushlib.parts.raw_values import Given
from inrushlib.parts.tables import TABLES, KeyInfo, build_keys
from inrushlib.parts.tolerance import Spread
from inrushlib.quantities import format_gauge, format_quantity, parse_quantity

_TOP = ("format", "title")
# What tomlkit has been seen to raise, its own errors aside, when a rare layout is changed.
_LAYOUT_ERRORS = (TOMLKitError, ValueError, KeyError, TypeError, IndexError, AttributeError, RecursionError)


def read_text(path: str | os.PathLike[str]) -> str:
    """Text of a file.

    Parameters
    ----------
    path : str or path
        A file in UTF-8, with or without a byte-order mark.

    Returns
    -------
    str
        The text, line ends as they are.

    Raises
    ------
    BuildError
        Where it cannot be read.
    """
    data = read_bytes(path, accepted="a TOML file of at most 1 MiB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        problem = f"line {line}: byte 0x{data[error.start]:02x} is not UTF-8; accepted: text saved as UTF-8"
    raise BuildError(problem, source=os.fspath(path))


def read_given(text: str, source: str) -> Given:
    """Values of a text, as it gives them.

    Parameters
    ----------
    text : str
        TOML.
    source : str
        Name for messages.

    Returns
    -------
    dict
        Tables of keys; nothing is checked yet.

    Raises
    ------
    BuildError
        Where it is not TOML, with the line.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        problem = _not_toml(str(error), text)
    except RecursionError:
        problem = "not a build file: values nested too deeply; accepted: tables of keys"
    except ValueError:  # Python's own bound on digits
        problem = "a whole number with too many digits; accepted: what the key's bounds allow"
    raise BuildError(problem, source=source)


def rewrite(text: str, given: Given) -> str:
    """The text of a build file with these values.

    Parameters
    ----------
    text : str
        The text that it was read from, empty for none.
    given : dict
        Tables, keys and values to stand in it [as a file gives them].

    Returns
    -------
    str
        TOML; what has not changed is written as it was.

    Examples
    --------
    >>> print(rewrite('title = "t" # mine\\n', {"title": "u"}), end="")
    title = "u" # mine
    """
    before = tomllib.loads(text)
    if text and before == given:
        return text
    wanted = _spelled(given, before)
    if text:
        try:
            # One kind of line end inside; the file's own again outside.
            document = tomlkit.parse(text.replace("\r\n", "\n").rstrip("\n") + "\n")
            _change(document, wanted)
            changed = tomlkit.dumps(document)
            if tomllib.loads(changed) == wanted:
                return changed.replace("\n", "\r\n") if "\r\n" in text else changed
        except _LAYOUT_ERRORS:
            pass  # The values matter more than the layout: write a clean file.
    return _anew(wanted)


def as_written(about: KeySpec, value: Any) -> Any:
    """A resolved value as a file gives it: lists for tuples, a gauge with its unit, exactly.

    Parameters
    ----------
    about : KeySpec
        What is known of the key.
    value : object
        The resolved value, in SI [unit of the key].

    Returns
    -------
    object
        What reads back as the same value.
    """
    if about.kind is ValueKind.GAUGE:
        # Shifted as a decimal number, so that it reads back as the very same area.
        return f"{Decimal(repr(value)).scaleb(6):f} mm2"
    if isinstance(value, tuple):
        return [list(entry) if isinstance(entry, tuple) else entry for entry in value]
    return value


def spread_as_written(spread: Spread) -> dict[str, Any]:
    """A tolerance as a file gives it.

    Parameters
    ----------
    spread : Spread
        How one value scatters.

    Returns
    -------
    dict of str to object
        Its low and high, or relative, or sigma; and its group, where it has one.

    Examples
    --------
    >>> spread_as_written(Spread(key="lead.gauge", low=3e-7, high=5e-7))
    {'low': '0.3 mm2', 'high': '0.5 mm2'}
    """
    table, _, key = spread.key.partition(".")
    about = TABLES[table].about[key]
    given = spread.model_dump(exclude={"key"}, exclude_none=True, exclude_defaults=True)
    plain = ("relative", "group")
    return {name: value if name in plain else as_written(about, value) for name, value in given.items()}


def _spelled(given: Given, before: Given) -> Given:
    """Numbers as text with a unit, where they are new or such text stood before, if that is exact."""

    def spell(table: str, key: str, value: Any) -> Any:
        info = build_keys().get(f"{table}.{key}")
        old = before.get(table, {}).get(key, "")
        if info is None or info.kind is not ValueKind.NUMBER or not info.unit or not isinstance(old, str):
            return value
        if isinstance(value, str | bool):
            return value
        text = format_quantity(value, info.unit, digits=12)
        return text if parse_quantity(text, info.unit) == value else value

    return {
        name: {key: spell(name, key, entry) for key, entry in value.items()} if name in TABLES else value
        for name, value in given.items()
    }


def _change(document: MutableMapping[str, Any], wanted: Mapping[str, Any], *, top: bool = True) -> None:
    for key in [key for key in document if key not in wanted]:
        _remove(document, key)
    for key, value in wanted.items():
        if key not in document:
            _add(document, key, value, top=top)
        elif isinstance(value, Mapping) and isinstance(document[key], MutableMapping):
            _change(document[key], value, top=False)
        elif document[key] != value:
            document[key] = value


def _add(document: MutableMapping[str, Any], key: str, value: Any, *, top: bool) -> None:
    if isinstance(document, Table):
        # After the last key, before the comments that introduce what follows.
        tail = _cut_tail(document)
        document[key] = _inline(value)
        for entry in tail:
            document.add(entry)
        return
    if not (top and isinstance(value, Mapping)):
        document[key] = _inline(value)
        return
    table = tomlkit.table()
    for name, entry in value.items():
        table[name] = _inline(entry)
    if isinstance(document, tomlkit.TOMLDocument) and len(document):
        document.add(tomlkit.nl())
    document[key] = table


def _remove(document: MutableMapping[str, Any], key: str) -> None:
    if isinstance(document, tomlkit.TOMLDocument) and isinstance(document[key], Table):
        # What stands below a blank line at its end introduces the next table: keep that.
        tail = _cut_tail(document[key])
        blank = next((i for i, entry in enumerate(tail) if isinstance(entry, Whitespace)), len(tail))
        tables = [entry for _, entry in document.body if isinstance(entry, Table)]
        place = next((i for i, entry in enumerate(tables) if entry is document[key]), 0)
        for entry in tail[blank + 1 :] if place else []:
            tables[place - 1].add(entry)
    del document[key]


def _cut_tail(table: Table) -> list[Comment | Whitespace]:
    """Take off the comments and blank lines after a table's last key."""
    body = table.value.body
    last = max((i + 1 for i, (key, _) in enumerate(body) if key is not None), default=0)
    tail = [entry for _, entry in body[last:] if isinstance(entry, Comment | Whitespace)]
    del body[last:]
    return tail


def _inline(value: Any) -> Any:
    if not isinstance(value, Mapping):
        return value
    table = tomlkit.inline_table()
    table.update(value)
    return table


def _anew(given: Given) -> str:
    """A clean file, tables and keys in the order of the format."""
    document = tomlkit.document()
    ordered = {"format": 1, **{key: given[key] for key in _TOP if key in given}}
    for table, part in TABLES.items():
        if table in given:
            ordered[table] = {key: given[table][key] for key in (CLASS_KEY, *part.about) if key in given[table]}
    if given.get("tolerance"):
        ordered["tolerance"] = given["tolerance"]
    for key, value in ordered.items():
        _add(document, key, value, top=True)
    return tomlkit.dumps(document)


def _not_toml(message: str, text: str) -> str:
    place = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$", message)
    line = place[1] if place and place[1] else str(text.count("\n") + 1)
    reason = message[: place.start()] if place else message
    return f"line {line}: not TOML: {reason[:120]}; accepted: key = value below a [table]"


def build_lines(values: Mapping[str, Any], digits: int = 4) -> list[str]:
    """Lines ready for a build file, by table.

    Parameters
    ----------
    values : mapping of str to object
        Resolved values by dotted key [unit of the key, SI].
    digits : int
        Significant digits [1] of quantities.

    Returns
    -------
    list of str
        Each table's head, and its keys below.

    Examples
    --------
    >>> build_lines({"pixel.channel_current": 7.6125e-3, "wiring.hop_length": 0.05})
    ['[pixel]', 'channel_current = "7.613 mA"', '[wiring]', 'hop_length = "50 mm"']
    """
    lines: list[str] = []
    tables = dict.fromkeys(key.partition(".")[0] for key in values)
    for table in tables:
        lines.append(f"[{table}]")
        for dotted, value in values.items():
            if dotted.startswith(f"{table}."):
                lines.append(f"{dotted.partition('.')[2]} = {_line_value(build_keys()[dotted], value, digits)}")
    return lines


def _line_value(info: KeyInfo, value: Any, digits: int) -> str:
    if isinstance(value, list | tuple):
        return f"[{', '.join(_line_value(info, each, digits) for each in value)}]"
    if info.kind is ValueKind.GAUGE:
        return f'"{format_gauge(value)}"'
    if info.unit and not isinstance(value, str):
        return f'"{format_quantity(value, info.unit, digits=digits)}"'
    return str(tomlkit.item(value).as_string())
