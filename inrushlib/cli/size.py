"""``inrush size``: the smallest adapter, and the next standard rating up."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.adapter import adapter_answer, rating_to_take
from inrushlib.cli.arguments import add_input
from inrushlib.cli.by_odds import add_odds, asked, odds_dict
from inrushlib.cli.measured import load_with_log
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import print_answer
from inrushlib.odds import Decision, decide, ratings_to_try
from inrushlib.search import AdapterSize, NoAdapter, rating_ladder, smallest_adapter

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "size",
        description="Search the smallest current limit that boots at the first try, to 1 %, and the smallest standard "
        "rating that boots in 95 % of the runs over the ranges of all values; that one is recommended. Exit 0 when a "
        "standard rating does it and overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_odds(p)
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer for the ``options`` of the command line."""
    with_odds = asked(options)
    build = load_with_log(options.build)
    size = smallest_adapter(build)
    found = isinstance(size, AdapterSize)
    decision = None
    if with_odds and isinstance(size, AdapterSize):
        decision = decide(ratings_to_try(build, size.starting.rated_current / 2), options.odds)
    answer = adapter_answer(build, size, rating_ladder(build), decision)
    taken = rating_to_take(size, decision) if isinstance(size, AdapterSize) else None
    print_answer(answer, size.to_dict() | odds_dict(decision, taken), build, as_json=options.json)
    tell_next(_next(size, decision), options.build, as_json=options.json)
    return FOUND if found else NONE


def _next(size: AdapterSize | NoAdapter, decision: Decision | None) -> NextStep:
    """What else would help where it does not start, what is not known where no rating is sure, else the sheet."""
    if not size.start.before.boots:
        return NextStep.REMEDIES
    return NextStep.MEASURE if decision is not None and decision.chosen is None else NextStep.SHEET
