"""``inrush brightness``: how bright the display may run, and the constants for its firmware."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.brightness import brightness_answer
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import print_answer
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.errors import UsageError
from inrushlib.search import brightness_caps, delay_window, firmware_constants

WITHIN, NOT = 0, 1
DEFAULT_TABLE = "chassis wiring"
NAMES = ", ".join(f"'{name}'" for name in AMPACITY_TABLES)


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "brightness",
        description="The largest level, 0 to 255, of full white and of the build's picture that adapter and wires "
        "carry. Exit 0, 1 when the build does not start, overstresses a part, or not even a dark display is within the "
        "ratings, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument(
        "--ampacity", default=DEFAULT_TABLE, metavar="TABLE",
        help=f"handbook table for the wires: {NAMES}; default {DEFAULT_TABLE}",
    )  # fmt: skip
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the caps and the constants for the ``options`` of the command line.

    Raises
    ------
    UsageError
        For an ampacity table that there is none of.
    """
    build = load_build(options.build)
    if options.ampacity not in AMPACITY_TABLES:
        raise UsageError(f"--ampacity {options.ampacity}; accepted: {NAMES}")
    caps = brightness_caps(build, options.ampacity)
    window = delay_window(build) if build.switch is not None else None
    constants = firmware_constants(build, caps, window)
    answer = brightness_answer(build, caps, constants)
    found = {"title": build.title} | caps.to_dict() | {"firmware": constants}
    print_answer(answer, found, build, as_json=options.json)
    return WITHIN if answer.good else NOT
