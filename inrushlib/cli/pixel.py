"""``inrush pixel``: a pixel's law from a bench table."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import quantity, rows, say, title, to_json
from inrushlib.document import build_lines
from inrushlib.trace import BenchFit, BenchTable, BenchValue, fit_bench, read_bench
from inrushlib.trace.bench import UNITS


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "pixel",
        help="a pixel's channel current, resistance and quiescent current from a bench table",
        description="Fit the pixel's law to a table with the columns voltage, current, count (pixels lit) and colour, "
        "one header row with units. Exit 0, or 2 when the table is not right.",
    )
    add_input(p, "table", metavar="TABLE.csv", help="readings, one a row")
    p.add_argument("--pixels", type=int, metavar="N", help="pixels on the supply, where the table has no such column")
    p.add_argument("--other-current", type=float, default=0.0, metavar="A", help="what else hangs on the supply")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the values."""
    table = read_bench(options.table, pixels=options.pixels)
    fit = fit_bench(table, other_current=options.other_current)
    if options.json:
        found = {"values": fit.values, "forward_voltages": fit.forward_voltages, "rms": fit.rms}
        say(to_json(found | {"residual": fit.residual}))
    else:
        say(page(table, fit))
    return 0


def page(table: BenchTable, fit: BenchFit) -> str:
    """Return the values, ready to be put into a build file."""
    lines = [f"{title(table.name)}: {len(table.current)} readings", ""]
    lines += rows([(f"pixel.{key}", _value(value, UNITS[key])) for key, value in fit.values.items()])
    forward = ", ".join(quantity(volts, "V", 0.0) for volts in fit.forward_voltages)
    more = [("pixel.forward_voltages", forward), ("readings off the law, rms", quantity(fit.rms, "A", 0.0))]
    return "\n".join([*lines, *rows(more), "", *build_lines(fit.build_values)])


def _value(value: BenchValue, unit: str) -> str:
    if value.error is None:
        return f"{quantity(value.value, unit, 0.0)}, {value.note}"
    return f"{quantity(value.value, unit, 0.0)} +- {quantity(value.error, unit, 0.0)}"
