"""``inrush workbook``: the sliders, in the browser."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from inrushlib.cli.check import verdict_line


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "workbook",
        help="open the workbook: builds behind sliders, captures laid over the model",
        description="Serve the workbook on this machine only (127.0.0.1, with a token) and open the browser.",
    )
    p.add_argument("--port", type=int, default=None, metavar="N", help="port to serve on; default: a free one")
    p.add_argument("--no-browser", action="store_true", help="print the address, open no browser")
    p.add_argument("--lab", action="store_true", help="open the notebooks for editing")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the default build's verdict, then serve until stopped."""
    from inrushlib import launch

    print(verdict_line(launch.default_build()), flush=True)
    launch.serve(Path.cwd(), port=options.port, lab=options.lab, open_browser=not options.no_browser)
    return 0
