"""``inrush reservoir``: the smallest capacitor behind a diode that carries the controller through."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.reservoir import reservoir_answer
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import print_answer
from inrushlib.search import smallest_reservoir

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "reservoir",
        description="Search the smallest controller.reservoir behind a diode that boots at the first try, and the next "
        "E6 value up with its tolerance of 20 % counted. Exit 0 when a value does it and "
        "overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer for the ``options`` of the command line."""
    build = load_build(options.build)
    size = smallest_reservoir(build)
    answer = reservoir_answer(build.title, size)
    print_answer(answer, size.to_dict(), build, as_json=options.json)
    return FOUND if answer.good else NONE
