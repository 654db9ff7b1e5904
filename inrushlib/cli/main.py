"""The command line: reads the arguments, calls a subcommand, turns errors into messages."""

from __future__ import annotations

import argparse
import os
import sys
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
    switch,
    window,
    workbook,
)
from inrushlib.cli.output import say
from inrushlib.errors import InrushError
from inrushlib.text import one_line

NOT_RIGHT = 2
SUBCOMMANDS = (check, size, remedies, reservoir, window, switch, map, panel, brightness, compare, pixel, keys, workbook)


class _Parser(argparse.ArgumentParser):
    """A parser whose messages do nothing to the terminal, whatever was typed."""

    def error(self, message: str) -> NoReturn:
        super().error(one_line(message))


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command."""
    top = _Parser(
        prog="inrush",
        description="Will this adapter start the display, and what to change if not.",
        epilog="Exit status: 0 yes, 1 no, 2 a file or an argument is not right.",
    )
    top.add_argument("--version", action="version", version=f"inrush {__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for module in SUBCOMMANDS:
        module.add(commands)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status."""
    options = parser().parse_args(arguments)
    try:
        status: int = options.run(options)
        sys.stdout.flush()
        return status
    except InrushError as error:
        say(str(error), to_stderr=True)
        return NOT_RIGHT
    except BrokenPipeError:
        # Whoever read the output has gone; leave quietly, as command-line tools do.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOT_RIGHT
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
