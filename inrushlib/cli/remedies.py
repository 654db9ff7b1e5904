"""``inrush remedies``: what to change so that it starts, side by side."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.remedies import WIDTH, remedies_answer
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import print_answer, save_picture
from inrushlib.remedies import NoRemedy, Remedy, compare_remedies

HELPS, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "remedies",
        description="Try each remedy on the model and search the part value that it takes. Exit 0 when one boots at "
        "the first try and overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_picture(p, "--plot", metavar="OUT.png", help="write the table as a picture")
    p.add_argument("--json", action="store_true", help="SI numbers as a list")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the remedies for the ``options`` of the command line."""
    build = load_build(options.build)
    found = compare_remedies(build)
    answer = remedies_answer(build.title, found)
    print_answer(answer, [to_dict(r) for r in found], build, as_json=options.json)
    if options.plot is not None:
        from inrushlib.plots import draw_remedies, height_for

        height = height_for(found)
        save_picture(options.plot, WIDTH, height, lambda figure: draw_remedies(found, figure.add_subplot()))
    return HELPS if answer.good else NONE


def to_dict(r: Remedy | NoRemedy) -> dict[str, Any]:
    """Return a remedy ready for JSON; what only one that was tried has is null.

    Parameters
    ----------
    r : Remedy or NoRemedy
        The remedy, or why it does not apply.
    """
    flat: dict[str, Any] = {
        "name": r.name,
        "change": r.change.words,
        "applicable": isinstance(r, Remedy),
        "why": r.why,
        "combined_with": [],
        "needed": [],
        "verdict": None,
        "helps": r.helps,
        "before": r.before.to_dict(),
        "after": None,
        "peak_lead_current": None,
        "lit_before_data": None,
        "lowest_rail_voltage": None,
        "highest_junction_temperature": None,
        "could_go_wrong": [],
    }
    return flat | (_tried(r) if isinstance(r, Remedy) else {})


def _tried(r: Remedy) -> dict[str, Any]:
    figures = r.start.figures
    return {
        "combined_with": r.combined_with,
        "needed": r.needed,
        "verdict": r.verdict,
        "after": r.start.headline.to_dict(),
        "peak_lead_current": figures.peak_lead_current,
        "lit_before_data": figures.lit_before_data,
        "lowest_rail_voltage": figures.lowest_rail_voltage,
        "highest_junction_temperature": r.hottest_junction,
        "could_go_wrong": r.could_go_wrong,
    }
