"""``inrush parts``: the classes of parts that a build file may name."""

from __future__ import annotations

import argparse
import textwrap
from typing import Any

from inrushlib.answers.terminal import columns
from inrushlib.cli.output import say, sentence, to_json
from inrushlib.errors import UsageError
from inrushlib.parts import TABLES, ClassValue, PartClass, part_classes
from inrushlib.quantities import shown

WIDTH = 100


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "parts",
        description='List the classes that a table of the build file takes as class = "...". What the table gives '
        "itself wins over its class, and the class over the defaults. Exit 0, or 2 when there is no such table or "
        "class.",
    )
    p.add_argument("names", nargs="*", metavar="TABLE|CLASS", help="only these; default all")
    p.add_argument("--json", action="store_true", help="an object by table and class")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the classes for the ``options`` of the command line."""
    found = chosen(options.names)
    if options.json:
        say(to_json(_by_table(found)))
    else:
        say(page(found))
    return 0


def chosen(names: list[str]) -> list[PartClass]:
    """Return the classes of the named tables and the named classes, in the order of the format.

    Parameters
    ----------
    names : list of str
        Tables and classes [text]; empty for all.

    Raises
    ------
    UsageError
        With every name that there is no table or class of.

    Examples
    --------
    >>> [each.name for each in chosen(["plug-in 3 A", "plug-in 1 A"])]
    ['plug-in 1 A', 'plug-in 3 A']
    """
    every = [each for table in TABLES for each in part_classes(table).values()]
    tables = list(dict.fromkeys(each.table for each in every))
    classes = {each.name for each in every}
    wrong = [name for name in names if name not in tables and name not in classes]
    if wrong:
        accepted = f"accepted: {', '.join(tables)}, or a class that inrush parts lists"
        raise UsageError([f"{name}: no such table or class; {accepted}" for name in wrong])
    return [each for each in every if not names or each.table in names or each.name in names]


def page(found: list[PartClass]) -> str:
    """Return the classes as a readable page, by table and group.

    Parameters
    ----------
    found : list of PartClass
        The classes.
    """
    lines: list[str] = []
    table = group = ""
    for each in found:
        if each.table != table:
            lines += ["", f"[{each.table}]"]
            table, group = each.table, ""
        if each.group != group:
            lines += [f"  {sentence(each.group)[:-1]}"]
            group = each.group
        lines += _entry(each)
    return "\n".join(lines).strip("\n")


def _entry(each: PartClass) -> list[str]:
    lines = [f'    class = "{each.name}"', *_wrapped(sentence(each.meaning), 8)]
    table = [(value.key, _value(value), _range(value), value.source) for value in each.values.values()]
    lines += [f"{'':8}{line}" for line in columns(table)]
    for fact in each.facts:
        lines += _wrapped(sentence(f"{fact.name}: {fact.value} ({fact.source})"), 8)
    return lines


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent)


def _value(value: ClassValue) -> str:
    text = _plain(value.value)
    if value.times:
        return f"{text} x {value.times}"
    return f"{text} / {value.over}" if value.over else text


def _range(value: ClassValue) -> str:
    return "" if value.low is None else f"{_plain(value.low)} to {_plain(value.high)}"


def _plain(written: Any) -> str:
    return written if isinstance(written, str) else shown(written).replace('"', "")


def _by_table(found: list[PartClass]) -> dict[str, Any]:
    tables: dict[str, Any] = {}
    for each in found:
        told = {"group": each.group, "meaning": each.meaning, "values": _values(each), "facts": each.facts}
        tables.setdefault(each.table, {})[each.name] = told
    return tables


def _values(each: PartClass) -> dict[str, Any]:
    """Values and ranges in SI [unit of the key], with their source."""
    about, ranges = TABLES[each.table].about, each.ranges()
    values = {}
    for key, written in each.given().items():
        one = about[key].convert_one
        value = [one(entry) for entry in written] if isinstance(written, list) else one(written)
        low, high = ranges.get(key, (None, None))
        values[key] = {
            "value": value, "unit": about[key].unit, "low": low, "high": high, "source": each.values[key].source,
        }  # fmt: skip
    return values
