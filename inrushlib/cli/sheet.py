"""``inrush sheet``: one or two pages to take to the bench."""

from __future__ import annotations

import argparse
from typing import Any, Final

from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input, add_output
from inrushlib.cli.output import say, tell_share, tell_unused, title, to_json
from inrushlib.errors import BuildError, UsageError
from inrushlib.measurements import log_beside, read_log
from inrushlib.quantities import parse_quantity

GOOD, NOT_GOOD = 0, 1
KINDS: Final = (".pdf", ".html")
SIZES: Final = ("A4", "letter")


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "sheet",
        description="Write one or two pages to take to the bench: verdict, adapter, drawings, parts, wires, order of "
        "switching, what to measure, and what has been measured, from BUILD.measured.toml beside it. Exit 0 when the "
        "build boots and overstresses no part, 1 otherwise, 2 when a file or an argument is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_output(p, "-o", dest="output", metavar="SHEET.pdf", help="the file to write, .pdf or .html")
    p.add_argument("--paper", choices=SIZES, default=SIZES[0], help="size of the paper (default A4)")
    p.add_argument("--no-odds", action="store_true", help="leave out the odds, which take some hundred starts")
    p.add_argument("--feed-length", default="0.5 m", metavar="LENGTH", help="of feeds, where the build does not say it")
    p.add_argument("--hop-length", default="0.1 m", metavar="LENGTH", help="of jumpers, alike")
    p.add_argument("--json", action="store_true", help="SI numbers of the sheet as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write the sheet for the ``options`` of the command line.

    Raises
    ------
    UsageError
        For an argument that is not accepted.
    """
    if options.output is None and not options.json:
        raise UsageError("sheet: no file to write; accepted: -o SHEET.pdf, -o SHEET.html, or --json")
    if options.output is not None and options.output.suffix.lower() not in KINDS:
        raise UsageError(f"-o {options.output}: no kind of sheet; accepted: a file name that ends in .pdf or .html")
    lengths = {name: _length(f"--{name}-length", getattr(options, f"{name}_length")) for name in ("feed", "hop")}
    build = load_build(options.build)

    from inrushlib.sheet import RUNS, Lengths, Paper, collect, sheet_answer, to_dict, write_html, write_pdf

    runs = None if options.no_odds else RUNS
    beside = log_beside(options.build)
    log = read_log(beside) if beside.exists() else None
    facts = collect(build, runs=runs, lengths=Lengths(**lengths), log=log, progress=_progress)
    answer = sheet_answer(facts)
    if options.json:
        say(to_json(to_dict(facts)))
    if options.output is not None:
        write = write_pdf if options.output.suffix.lower() == ".pdf" else write_html
        verdict = f"{title(build.title)}: {facts.start.headline.words}"
        try:
            write(answer, options.output, Paper(options.paper))
        except BuildError:
            say(verdict, to_stderr=options.json)  # known all the same
            raise
        say(f"{verdict}; written to {title(str(options.output))}", to_stderr=options.json)
    tell_unused([build], as_json=options.json)
    return GOOD if answer.good else NOT_GOOD


def _length(option: str, text: str) -> float:
    try:
        return parse_quantity(text, "m")
    except ValueError as error:
        raise UsageError(f"{option}: {error}") from None


def _progress(share: float) -> None:
    tell_share(share, "of the runs")
