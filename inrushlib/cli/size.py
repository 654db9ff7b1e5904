"""``inrush size``: the smallest adapter, and the next standard rating up."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import quantity, rows, say, sentence, tell_unused, title, to_json
from inrushlib.safety import CONTINUOUS_SHARE
from inrushlib.search import AdapterSize, smallest_adapter

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "size",
        description="Search the smallest limit current that boots at the first try, to 1 %. Exit 0 when a standard "
        "rating does it and overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer."""
    build = load_build(options.build)
    size = smallest_adapter(build)
    say(to_json(size) if options.json else page(build, size))
    tell_unused([build], as_json=options.json)
    return NONE if size.standard_rating is None else FOUND


def start_words(size: AdapterSize) -> str:
    """Return how it starts as it is, and with the rating that was taken."""
    if size.standard_rating is None:
        return f"as it is: {size.start.before.title}"
    return f"as it is: {size.start.before.title}; with {quantity(size.standard_rating, 'A')}: {size.start.after.title}"


def page(build: Build, size: AdapterSize) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), ""]
    if size.standard_rating is None:
        lines += [f"  NO STANDARD RATING: {sentence(size.reason)}", ""]
    else:
        lines += [
            f"  TAKE {quantity(size.standard_rating, 'A')}: the next standard rating up.",
            f"  What decides: the {size.decided_by}.",
            "",
        ]
    style = build.adapter.limit_style
    share = f"{CONTINUOUS_SHARE:.0%} of the rating"
    table = [
        (f"smallest limit current that boots ({style})", quantity(size.smallest_limit_current, "A")),
        ("label rating that goes with it", quantity(size.smallest_rated_current, "A")),
        ("running picture", size.picture),
        ("running picture draws", quantity(size.running_current, "A")),
        (f"rating that carries it ({share})", quantity(size.running_rating, "A")),
    ]
    lines += rows([*table, ("start", start_words(size))])
    if len(size.islands) > 1:
        lines += ["", "  It boots only within these limit currents (more is not always better here):"]
        for island in size.islands:
            lines.append(f"    {quantity(island.low, 'A')} to {quantity(island.high, 'A')}")
    lines += [
        "",
        f"  From {size.runs} starts of the model. A supply runs hot and ages: see the cautions in the README.",
    ]
    return "\n".join(lines)
