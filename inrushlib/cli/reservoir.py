"""``inrush reservoir``: the smallest capacitor behind a diode that carries the controller through."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.by_odds import recommended
from inrushlib.answers.reservoir import reservoir_answer
from inrushlib.cli.arguments import add_input
from inrushlib.cli.by_odds import add_odds, asked, odds_dict
from inrushlib.cli.measured import load_with_log
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import print_answer
from inrushlib.odds import decide, reservoirs_to_try
from inrushlib.search import ReservoirSize, StandardValue, smallest_reservoir

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "reservoir",
        description="Search the smallest controller.reservoir behind a diode that boots at the first try, and the next "
        "E6 value up with its tolerance of 20 % counted, and the smallest E6 value that boots in 95 % of the runs over "
        "the ranges of all values; that one is recommended. Exit 0 when a value does it and "
        "overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_odds(p)
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer for the ``options`` of the command line."""
    with_odds = asked(options)
    build = load_with_log(options.build)
    size = smallest_reservoir(build)
    standard = size.standard if isinstance(size, ReservoirSize) else None
    nominal = standard.value if isinstance(standard, StandardValue) else None
    decision = None
    if with_odds and nominal is not None and isinstance(size, ReservoirSize):
        decision = decide(reservoirs_to_try(build, size.smallest / 2), options.odds)
    answer = reservoir_answer(build.title, size, decision)
    taken = None if nominal is None else recommended(decision, nominal)
    print_answer(answer, size.to_dict() | odds_dict(decision, taken), build, as_json=options.json)
    if not answer.good:
        tell_next(NextStep.REMEDIES, options.build, as_json=options.json)
    return FOUND if answer.good else NONE
