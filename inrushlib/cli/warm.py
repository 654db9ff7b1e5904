"""``inrush warm``: compile the model now, so that no command and no page has to wait for it later."""

from __future__ import annotations

import argparse
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from inrushlib.build import Build, new_build
from inrushlib.cli.output import say
from inrushlib.odds import spread
from inrushlib.startup import is_compiled, screen_many, simulate

BUILD: dict[str, Any] = {
    "title": "two sections behind a switch", "adapter.rated_current": "3 A", "wiring.sections": 2,
    "wiring.pixels_per_section": 16, "switch": {},
}  # fmt: skip
RUNS = 64  # the fewest
EVERY = 1.0  # [s] between two reports of the time on a terminal


def _steps(build: Build) -> tuple[tuple[str, Callable[[], object]], ...]:
    """What is compiled, in the order in which it is needed."""
    return (
        ("a start", lambda: simulate(build)),
        ("its margins", lambda: simulate(build).slack),
        ("many starts at once", lambda: screen_many([build, build])),
        ("odds", lambda: spread(build, runs=RUNS)),
    )


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "warm",
        description="Compile the model for this machine now, once; later commands and the workbook then begin at once. "
        "Commands that need it compile it by themselves otherwise.",
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Compile, and say how far it is; the ``options`` have nothing to say."""
    new = not is_compiled()
    build = new_build(BUILD)
    begun = time.monotonic()
    steps = _steps(build)
    for number, (what, step) in enumerate(steps, 1):
        with _told(f"{number} of {len(steps)}: {what}"):
            step()
    took = time.monotonic() - begun
    say(f"Compiled for this machine in {took:.0f} s." if new else "It was compiled for this machine before.")
    return 0


@contextmanager
def _told(what: str) -> Iterator[None]:
    """Say what is being done, on a terminal with the seconds that it has taken so far."""
    begun, over = time.monotonic(), threading.Event()
    live = sys.stderr.isatty()

    def tell() -> None:
        while not over.wait(EVERY):
            print(f"\r{what}, {time.monotonic() - begun:.0f} s", end="", file=sys.stderr, flush=True)

    teller = threading.Thread(target=tell, daemon=True)
    if live:
        print(what, end="", file=sys.stderr, flush=True)
        teller.start()
    try:
        yield
    finally:
        over.set()
        if live:
            teller.join()
    seconds = f"{time.monotonic() - begun:.1f} s"
    print(f"\r{what}, {seconds}" if live else f"{what}, {seconds}", file=sys.stderr, flush=True)
