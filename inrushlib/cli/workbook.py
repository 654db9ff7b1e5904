"""``inrush workbook``: the sliders, in the browser."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "workbook",
        description="Serve the workbook on this machine only (127.0.0.1, with a token) and open the browser.",
        epilog="Exit status: 0 after Ctrl-C, 128 and its number after a signal, 3 where the server ended by itself.",
    )
    p.add_argument("--port", type=int, default=None, metavar="N", help="port to serve on; default: a free one")
    p.add_argument("--no-browser", action="store_true", help="print the address, open no browser")
    p.add_argument("--lab", action="store_true", help="open the notebooks for editing")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the default build's verdict, then serve until stopped as the ``options`` say."""
    from inrushlib import serve

    def meanwhile() -> None:
        # Long to import: the server loads at the same time.
        from inrushlib.build import load_build
        from inrushlib.cli.check import verdict_line
        from inrushlib.cli.output import say

        say(verdict_line(load_build(serve.default_build())))

    browser = not options.no_browser
    return serve.serve(Path.cwd(), port=options.port, lab=options.lab, open_browser=browser, meanwhile=meanwhile)
