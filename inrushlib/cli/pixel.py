"""``inrush pixel``: a pixel's law from a bench table."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.pixel import pixel_answer
from inrushlib.answers.terminal import render
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import say, to_json
from inrushlib.trace import fit_bench, read_bench


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "pixel",
        description="Fit the pixel's law to a table with the columns voltage, current, count (pixels lit) and colour, "
        "one header row with units. Exit 0, or 2 when the table is not right.",
    )
    add_input(p, "table", metavar="TABLE.csv", help="readings, one a row")
    p.add_argument("--pixels", type=int, metavar="N", help="pixels on the supply, where the table has no such column")
    p.add_argument("--other-current", type=float, default=0.0, metavar="A", help="what else hangs on the supply")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the values for the ``options`` of the command line."""
    table = read_bench(options.table, pixels=options.pixels)
    fit = fit_bench(table, other_current=options.other_current)
    if options.json:
        found = {"values": fit.values, "forward_voltages": fit.forward_voltages, "rms": fit.rms}
        say(to_json(found | {"residual": fit.residual}))
    else:
        say(render(pixel_answer(table, fit)))
    return 0
