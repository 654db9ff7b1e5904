"""``inrush check``: will it boot?"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from inrushlib.answers.start import start_answer
from inrushlib.answers.terminal import render
from inrushlib.build import Build
from inrushlib.cli import report
from inrushlib.cli.arguments import add_input, add_output, add_picture
from inrushlib.cli.measured import load_with_log, measured_list
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import save_picture, say, tell_unused, title, write_each
from inrushlib.errors import InrushError, UsageError
from inrushlib.files import write_safely
from inrushlib.margins import assumed_values, nearest_edges
from inrushlib.startup import Startup, curve_named, simulate

BOOTS, DOES_NOT, NOT_RIGHT = 0, 1, 2
SIZE = 9.0, 6.0  # [in] of the picture


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "check",
        description="Run the start-up of each build. Exit 0 when all boot and no part is past its absolute maximum, "
        "1 when one does not or a part does, 2 when a file is not right. That the verdict hangs on values that were "
        "assumed is said beside it, and does not change the exit status.",
    )
    add_input(p, "builds", nargs="+", metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers: an object for one build, a list for several")
    add_picture(p, "--plot", metavar="OUT.png", help="draw one build: voltages, current, and what each part is doing")
    add_output(p, "--curves", metavar="OUT.csv", help="write the curves of one build, SI")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Check all builds of the ``options``; a file that is not right keeps none of the others from being checked.

    Raises
    ------
    UsageError
        For curves or a picture of several builds.
    """
    for option, given in (("--curves", options.curves), ("--plot", options.plot)):
        if given is not None and len(options.builds) > 1:
            raise UsageError(f"{option} takes one build, and there are {len(options.builds)}")
    starts: list[Startup] = []
    status = BOOTS
    for path in options.builds:
        try:
            starts.append(simulate(load_with_log(path)))
        except InrushError as error:
            say(str(error), to_stderr=True)
            status = NOT_RIGHT
    if starts:
        say(_text(starts, options.builds, options.json))
        tell_unused([s.build for s in starts], as_json=options.json)
        if len(options.builds) == 1:
            step = NextStep.ODDS if starts[0].headline.good else NextStep.REMEDIES
            tell_next(step, options.builds[0], as_json=options.json)
    # The verdict is told first: it counts even where curves or picture cannot be written.
    if starts:
        _write(starts[0], options.curves, options.plot)
    if status == BOOTS and not all(s.headline.good for s in starts):
        return DOES_NOT
    return status


def _write(start: Startup, curves: Path | None, picture: Path | None) -> None:
    writes = []
    if curves is not None:
        writes.append(lambda: write_curves(start, curves))
    if picture is not None:
        writes.append(lambda: _save(start, picture))
    write_each(*writes)


def _save(start: Startup, path: Path) -> None:
    from inrushlib.plots import draw_startup  # long to import, and only pictures need it

    save_picture(path, *SIZE, lambda figure: draw_startup(start, figure), fitted=False)


def _text(starts: list[Startup], paths: list[Path], as_json: bool) -> str:
    single = len(paths) == 1
    if as_json:
        found = [_flat(start) for start in starts]
        return json.dumps(found[0] if single else found, indent=1, allow_nan=False)
    if single:
        edges = nearest_edges(starts[0].build, verdict=starts[0].verdict)
        return render(start_answer(starts[0], assumed_values(starts[0].build, edges), edges))
    return report.table(starts)


def _flat(start: Startup) -> dict[str, Any]:
    """A start ready for JSON, with what alone would turn its verdict and what it assumes."""
    edges = nearest_edges(start.build, verdict=start.verdict)
    assumed = [
        {"key": each.key, "value": each.value, "low": each.low, "high": each.high, "matters": each.matters}
        for each in assumed_values(start.build, edges)
    ]
    return start.to_dict() | {
        "edges": [edge.to_dict() for edge in edges],
        "assumed": assumed,
        "measured": measured_list(start.build.measured.newest().values(), start.build),
    }


def write_curves(start: Startup, path: Path) -> None:
    """Write the curves as CSV, one column each, units in the header.

    Parameters
    ----------
    start : Startup
        Whose curves to write.
    path : Path
        File to write.
    """
    frame = start.frame()
    frame.columns = [curve_named(name).column for name in frame.columns]
    frame.index.name = "time [s]"
    write_safely(frame.to_csv(float_format="%.9g", lineterminator="\n"), path)


def verdict_line(build: Build) -> str:
    """Return title, headline and reason of a build in one line.

    Parameters
    ----------
    build : Build
        What to start.
    """
    headline = simulate(build).headline
    damage = f"{headline.damage}; " if headline.overstressed else ""
    return f"{title(build.title)}: {headline.words}; {damage}{headline.reason}."
