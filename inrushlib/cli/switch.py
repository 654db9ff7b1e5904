"""``inrush switch``: the stress of the switch."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.switch import switch_answer
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import print_answer
from inrushlib.safety import switch_stress

STANDS, DOES_NOT = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "switch",
        description="The switch's junction temperature in the build's start, with a display that stays lit and in the "
        "long run; its gate's drive; what it lets through while off. Exit 0 when no finding is a danger and no part "
        "is past its absolute maximum, 1 otherwise, 2 when the file is not right or has no switch.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file with a switch")
    p.add_argument("--json", action="store_true", help="SI numbers as an object, temperatures in degrees Celsius")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the findings and the figures behind them for the ``options`` of the command line."""
    build = load_build(options.build)
    stress = switch_stress(build)
    answer = switch_answer(build.title, stress)
    print_answer(answer, stress, build, as_json=options.json)
    return STANDS if answer.good else DOES_NOT
