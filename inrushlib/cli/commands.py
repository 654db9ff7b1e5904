"""The commands: their arguments, and calling the one that was asked for."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import NoReturn

from inrushlib import __version__
from inrushlib.cli import (
    brightness,
    check,
    compare,
    keys,
    map,
    panel,
    pixel,
    remedies,
    reservoir,
    size,
    spread,
    switch,
    window,
    workbook,
)
from inrushlib.cli.arguments import check_files
from inrushlib.text import one_line

SUBCOMMANDS = (
    check,
    spread,
    size,
    remedies,
    reservoir,
    window,
    switch,
    map,
    panel,
    brightness,
    compare,
    pixel,
    keys,
    workbook,
)


class _Parser(argparse.ArgumentParser):
    """A parser whose messages do nothing to the terminal, whatever was typed."""

    def error(self, message: str) -> NoReturn:
        super().error(one_line(message))


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command."""
    top = _Parser(
        prog="inrush",
        description="Will this adapter start the display, and what to change if not.",
        epilog="Exit status: 0 yes, 1 no, 2 a file or an argument is not right or an answer cannot be written, "
        "3 something unforeseen (INRUSH_TRACEBACK=1 shows where), 130 stopped.",
    )
    top.add_argument("--version", action="version", version=f"inrush {__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for module in SUBCOMMANDS:
        module.add(commands)
    return top


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status."""
    options = parser().parse_args(arguments)
    check_files(options)
    status: int = options.run(options)
    return status
