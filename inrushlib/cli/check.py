"""``inrush check``: will it boot?"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli import report
from inrushlib.cli.output import say, title
from inrushlib.errors import BuildError, InrushError
from inrushlib.startup import Startup, simulate

BOOTS, DOES_NOT, NOT_RIGHT = 0, 1, 2


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "check",
        help="will it boot? verdict, reason and figures of one build or several",
        description="Run the start-up of each build. Exit 0 when all boot, 1 when one does not, "
        "2 when a file is not right.",
    )
    p.add_argument("builds", nargs="+", type=Path, metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers: an object for one build, a list for several")
    p.add_argument("--curves", type=Path, metavar="OUT.csv", help="write the curves of one build, SI")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Check all builds; a file that is not right does not keep the others from being checked."""
    if options.curves is not None and len(options.builds) > 1:
        raise BuildError(f"--curves takes one build, and there are {len(options.builds)}")
    starts: list[Startup] = []
    status = BOOTS
    for path in options.builds:
        try:
            starts.append(simulate(load_build(path)))
        except InrushError as error:
            say(str(error), to_stderr=True)
            status = NOT_RIGHT
    if options.curves is not None and starts:
        write_curves(starts[0], options.curves)
    if starts:
        say(_text(starts, options.builds, options.json))
    if status == BOOTS and not all(s.verdict.starts for s in starts):
        return DOES_NOT
    return status


def _text(starts: list[Startup], paths: list[Path], as_json: bool) -> str:
    single = len(paths) == 1
    if as_json:
        found = [s.to_dict() for s in starts]
        return json.dumps(found[0] if single else found, indent=1, allow_nan=False)
    return report.page(starts[0]) if single else report.table(starts)


def write_curves(start: Startup, path: Path) -> None:
    """Write the curves as CSV, one column each, units in the header."""
    frame = start.frame()
    units = {name: "A" if name.endswith("current") else "V" for name in frame.columns}
    frame.columns = [f"{name} [{units[name]}]" for name in frame.columns]
    frame.index.name = "time [s]"
    try:
        frame.to_csv(path, float_format="%.9g")
    except OSError as error:
        raise BuildError(f"the curves cannot be written to {path}: {error.strerror}") from None


def verdict_line(build: Build) -> str:
    """Return title, verdict and reason of a build in one line."""
    start = simulate(build)
    return f"{title(build.title)}: {start.verdict.value}; {start.reason}."
