"""The commands: their names, and calling the one that was asked for.

Only that one is imported: most take longer to import than to answer.
"""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NoReturn

from inrushlib import __version__
from inrushlib.cli.arguments import check_files
from inrushlib.text import one_line

SUBCOMMANDS = {
    "check": "will it boot? verdict, reason and figures of one build or several",
    "spread": "how sure that is: the odds over the ranges of all values, and what to measure first",
    "size": "the smallest adapter that starts a build, and the next standard rating up",
    "remedies": "what to change so that it starts: adapter, switch, reservoir, feed, firmware, pixels, side by side",
    "reservoir": "the smallest capacitor behind a diode that carries the controller through, by the model and by hand",
    "window": "how long to wait between closing the switch and the first frame",
    "switch": "what the switch has to stand: heat, gate drive, plugging in, a bare pin as its driver",
    "map": "the verdict over any two keys of a build, with the boundary of what boots",
    "panel": "the display in steady state: every pixel's voltage, every wire's current, what can get hot",
    "wires": "every wire: length, gauge now and needed, rating, drop, connector, fuse; what to buy",
    "sheet": "one or two pages for the bench: verdict, drawings, parts, wires, order of switching, what to measure",
    "guide": "what to measure on the bench, the most telling reading first, and what the readings say",
    "brightness": "how bright it may run, and the constants to carry into the firmware",
    "compare": "lay a scope capture over the model, say how far apart they are, fit keys of the build",
    "pixel": "a pixel's channel current, resistance and quiescent current from a bench table",
    "from": "lines for the build file from what can be seen: current of a tile, wire, track, voltage at two loads",
    "parts": "classes of adapters, leads, pixels, controllers and other parts, each value with its range and source",
    "keys": "every key that a build file may have: meaning, default, what is accepted, where to find the value",
    "warm": "compile the model for this machine now, so that nothing has to wait for it later",
    "workbook": "open the workbook: builds behind sliders, captures laid over the model",
}
"""What each command answers; it is the module of that name, but for those in ``MODULES``."""
MODULES = {"from": "observed"}  # a word of the language names no module


class _Parser(argparse.ArgumentParser):
    """A parser whose messages do nothing to the terminal, whatever was typed."""

    def error(self, message: str) -> NoReturn:
        super().error(one_line(message))


class _Listed:
    """The commands of a parser, each with its line in the list of all."""

    def __init__(self, top: argparse.ArgumentParser) -> None:
        self._parsers = top.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def add_parser(self, name: str, **more: Any) -> argparse.ArgumentParser:
        """Add a command, as argparse does."""
        return self._parsers.add_parser(name, help=SUBCOMMANDS[name], **more)


def parser(wanted: str | None = None) -> argparse.ArgumentParser:
    """Return the parser of the whole command.

    Parameters
    ----------
    wanted : str or None
        The command that has all its arguments; the others are only listed.
    """
    top = _Parser(
        prog="inrush",
        description="Will this adapter start the display, and what to change if not.",
        epilog="Exit status: 0 yes, 1 no, 2 a file or an argument is not right or an answer cannot be written, "
        "3 something unforeseen (INRUSH_TRACEBACK=1 shows where), 130 stopped.",
    )
    top.add_argument("--version", action="version", version=f"inrush {__version__}")
    commands = _Listed(top)
    for name in SUBCOMMANDS:
        if name == wanted:
            import_module(f"inrushlib.cli.{MODULES.get(name, name)}").add(commands)
        else:
            commands.add_parser(name)
    return top


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status [1].

    Parameters
    ----------
    arguments : sequence of str or None
        Words after the command's name; None for those of the process.
    """
    words = sys.argv[1:] if arguments is None else list(arguments)
    # The first word that is no option is the command: before it there are only options without a value.
    top = parser(next((word for word in words if not word.startswith("-")), None))
    if arguments is None:
        gc.freeze()  # what has been imported
        gc.enable()
    for option, _, value in (word.partition("=") for word in words):
        if value == "--" and option.startswith("-"):  # which Python 3.11 takes for an empty list
            top.error(f"argument {option}: expected one argument")
    options = top.parse_args(words)
    check_files(options)
    status: int = options.run(options)
    return status
