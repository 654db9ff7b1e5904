"""``inrush remedies``: what to change so that it starts, side by side."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import celsius, quantity, rows, save_picture, say, sentence, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.remedies import Remedy, compare_remedies

HELPS, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
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
    """Print the remedies."""
    build = load_build(options.build)
    found = compare_remedies(build)
    if options.json:
        say(to_json([to_dict(r) for r in found]))
    else:
        head = overstress_lines(found[0].before)
        say("\n".join([title(build.title), "", *head, *(line for r in found for line in block(r))]).rstrip())
    tell_unused([build], as_json=options.json)
    if options.plot is not None:
        from inrushlib.plots import draw_remedies, height_for

        height = height_for(found)
        save_picture(options.plot, 13.0, height, lambda figure: draw_remedies(found, figure.add_subplot()))
    return HELPS if any(r.helps for r in found) else NONE


def to_dict(r: Remedy) -> dict[str, Any]:
    """Return a remedy ready for JSON."""
    return {
        "name": r.name,
        "change": r.change.words,
        "applicable": r.applicable,
        "why": r.why,
        "combined_with": list(r.combined_with),
        "needed": [{"key": n.key, "value": n.value, "unit": n.unit, "words": n.words} for n in r.needed],
        "verdict": None if r.verdict is None else r.verdict.value,
        "helps": r.helps,
        "before": r.before.to_dict(),
        "after": None if r.start is None else r.start.headline.to_dict(),
        "peak_lead_current": r.peak_lead_current,
        "lit_before_data": r.lit_before_data,
        "lowest_rail_voltage": r.lowest_rail_voltage,
        "highest_junction_temperature": r.hottest_junction,
        "could_go_wrong": list(r.could_go_wrong),
    }


def block(r: Remedy) -> list[str]:
    """Return a remedy as lines."""
    verdict = "not for this build" if r.start is None else r.start.headline.title
    together = f" (with {' and '.join(r.combined_with)})" if r.combined_with else ""
    lines = [f"  {r.name}{together}: {verdict}", f"    {sentence(r.why)}"]
    if r.start is None:
        return [*lines, ""]
    table = [("changes", r.change.words), *(("takes", n.words) for n in r.needed)]
    if r.rerun is not None and r.needed:
        table.append(("start", r.rerun.words))
    table += [
        ("peak lead current", quantity(r.peak_lead_current, "A")),
        ("lit before data", quantity(r.lit_before_data, "s")),
        ("lowest rail voltage", quantity(r.lowest_rail_voltage, "V")),
    ]
    if r.hottest_junction is not None:
        table.append(("hottest junction", celsius(r.hottest_junction)))
    lines += [f"  {row}" for row in rows(table)]
    return [*lines, *(f"    Still: {sentence(text)}" for text in r.could_go_wrong), ""]
