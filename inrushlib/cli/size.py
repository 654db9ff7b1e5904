"""``inrush size``: the smallest adapter, and the next standard rating up."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.adapter import adapter_answer
from inrushlib.answers.terminal import render
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import say, tell_unused, to_json
from inrushlib.search import AdapterSize, rating_ladder, smallest_adapter

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "size",
        description="Search the smallest limit current that boots at the first try, to 1 %. Exit 0 when a standard "
        "rating does it and overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer for the ``options`` of the command line."""
    build = load_build(options.build)
    size = smallest_adapter(build)
    say(to_json(size.to_dict()) if options.json else render(adapter_answer(build, size, rating_ladder(build))))
    tell_unused([build], as_json=options.json)
    return FOUND if isinstance(size, AdapterSize) else NONE
