"""``inrush keys``: every key that a build file may have."""

from __future__ import annotations

import argparse
import textwrap
from dataclasses import asdict
from typing import Any

from inrushlib.build import build_keys
from inrushlib.cli.output import say, sentence, to_json
from inrushlib.errors import UsageError
from inrushlib.parts import KeyInfo

WIDTH = 100


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "keys",
        description="List the keys of the build file; a table may also name a class of its part (inrush parts). "
        "Exit 0, or 2 when there is no such table or key.",
    )
    p.add_argument("names", nargs="*", metavar="TABLE[.KEY]", help="only these; default all")
    p.add_argument("--json", action="store_true", help="an object by key")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the keys for the ``options`` of the command line."""
    found = chosen(options.names)
    if options.json:
        say(to_json({name: _described(info) for name, info in found.items()}))
    else:
        say(page(found))
    return 0


def chosen(names: list[str]) -> dict[str, KeyInfo]:
    """Return the keys of the named tables and the named keys, in the order of the format.

    Parameters
    ----------
    names : list of str
        Tables and dotted keys; empty for all.

    Raises
    ------
    UsageError
        With every name that there is none of.

    Examples
    --------
    >>> list(chosen(["lead.gauge", "limiter"]))[:2]
    ['lead.gauge', 'limiter.cold_resistance']
    """
    keys = build_keys()
    tables = list(dict.fromkeys(info.table for info in keys.values() if info.table))
    wrong = [name for name in names if name not in keys and name not in tables]
    if wrong:
        accepted = f"accepted: {', '.join(tables)}, or one of their keys such as adapter.limit_current"
        raise UsageError([f"{name}: no such table or key; {accepted}" for name in wrong])
    return {key: info for key, info in keys.items() if not names or key in names or info.table in names}


def _described(info: KeyInfo) -> dict[str, Any]:
    told = asdict(info)
    for key in ("table", "key", "kind", "low", "high", "low_included", "one_for_all"):
        del told[key]
    return told


def page(keys: dict[str, KeyInfo]) -> str:
    """Return the keys as a readable page, by table.

    Parameters
    ----------
    keys : dict of str to KeyInfo
        What is known of each key, by its dotted name.
    """
    lines: list[str] = []
    table = None
    for info in keys.values():
        if info.table != table:
            lines += ["", f"[{info.table}]" if info.table else "(above all tables)"]
            table = info.table
        lines += _entry(info)
    return "\n".join(lines).strip("\n")


def _entry(info: KeyInfo) -> list[str]:
    default = "" if info.required or not info.default_text else f" (default: {info.default_text})"
    head = f"  {info.key}: {'required' if info.required else 'optional'}{default}"
    about = f"{sentence(info.meaning)} Accepted: {info.within}. Where to find it: {info.where_found}."
    return [head, *textwrap.wrap(about, WIDTH, initial_indent="      ", subsequent_indent="      ")]
