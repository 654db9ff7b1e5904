"""What is timed against what: each a pair of the same job, or a job and the least that it can take.

``all_duels``
    them, in the order of the table
``GROUPS``
    their names by which some of them can be asked for
"""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

from inrushlib.panel import solve_panel
from inrushlib.search import Axis, delay_window, smallest_adapter, verdict_map
from inrushlib.startup import screen
from inrushlib.startup.many import screen_many
from inrushlib.trace import read_trace

from . import bench_panel, bench_read, bench_search, bench_startup
from .duel import Clock, Duel, child
from .long_duels import pages, studies
from .panel_rival import solve_afresh
from .quick import QUICK

BUILDS = Path(__file__).parents[2] / "workbook" / "builds"
BUILD = BUILDS / "tide_board_boots.toml"
INRUSH = "import sys; from inrushlib.cli import main; sys.exit(main())"
STARTS = 100 if QUICK else 2_000
ROWS = 100_000 if QUICK else 1_000_000
GRIDS = (1_000,) if QUICK else (10_000, 100_000)


def all_duels(wanted: Sequence[str] = ()) -> Iterator[Duel]:
    """Every pair of the table, or of the groups that are wanted; each makes what it needs when its turn comes."""
    for name, group in GROUPS.items():
        if not wanted or name in wanted:
            yield from group()


def _starts() -> Iterator[Duel]:
    contest = bench_startup.usual_contest()
    aim = contest.error(contest.ours())
    rivals = {"odeint": contest.by_odeint}
    if not QUICK:
        rivals |= {
            name: partial(contest.by_solve_ivp, name) for name in ("LSODA", "Radau", "BDF")
        }  # fmt: skip
    for name, solve in rivals.items():
        tolerance = next(t for t in bench_startup.LADDER if contest.error(solve(t)) <= aim)
        yield Duel(
            what=f"start, {contest.n} states, error {aim:.0e}",
            against=f"scipy's {name} at {tolerance:.0e}, same compiled equations, switchings given",
            ours=bench_startup.our_run, theirs=partial(solve, tolerance), often=10,
        )  # fmt: skip
    build = bench_search.BUILDS["busy"]
    yield Duel(
        what=f"{STARTS} starts, six sections, one call", against=f"{STARTS} times one start",
        ours=lambda: screen_many([build] * STARTS), theirs=lambda: [screen(build) for _ in range(100)],
        times=3, share=STARTS / 100,
    )  # fmt: skip


def _fresh() -> object:
    with tempfile.TemporaryDirectory() as folder:
        return child("-c", INRUSH, "check", str(BUILD), INRUSH_CACHE_DIR=folder)


def _commands() -> Iterator[Duel]:
    def warm() -> object:
        return child("-c", INRUSH, "check", str(BUILD))

    warm()
    numpy, numba = (partial(child, "-c", f"import {name}") for name in ("numpy", "numba"))
    yield Duel(what="import inrushlib", against="import numpy", ours=partial(child, "-c", "import inrushlib"),
               theirs=numpy, clock=Clock.CHILDREN)  # fmt: skip
    yield Duel(what="inrush --help", against="import numpy", ours=partial(child, "-c", INRUSH, "--help"),
               theirs=numpy, clock=Clock.CHILDREN)  # fmt: skip
    yield Duel(what="inrush check, warm", against="import numba", ours=warm, theirs=numba, clock=Clock.CHILDREN)
    if not QUICK:
        for name in ("tide_board_with_switch", "stairway_strip"):
            other = partial(child, "-c", INRUSH, "check", str(BUILDS / f"{name}.toml"))
            what = f"inrush check, warm, {name.replace('_', ' ')}"
            yield Duel(what=what, against="import numba", ours=other, theirs=numba, clock=Clock.CHILDREN)
            yield Duel(what=f"{what}, by the clock", against="import numba", ours=other, theirs=numba,
                       clock=Clock.WALL)  # fmt: skip
        yield Duel(what="inrush check, first on a machine", against="inrush check, warm", ours=_fresh, theirs=warm,
                   times=1, clock=Clock.CHILDREN)  # fmt: skip


def _grid(pixels: int) -> list[tuple[int, int, float]]:
    """Links between the rows of a square panel whose chain runs to and fro."""
    w = int(pixels**0.5)
    pairs = ((k, 2 * (k // w + 1) * w - 1 - k) for k in range(pixels) if k % w != w - 1)
    return [(a, b, 0.01) for a, b in pairs if b < pixels]


def _panels() -> Iterator[Duel]:
    against = "the same equations, each Newton step by scipy's spsolve"
    for pixels, links in [(10_000, []), *((pixels, _grid(pixels)) for pixels in GRIDS)]:
        build = bench_panel.panel(pixels)
        ours, theirs = partial(solve_panel, build, extra_links=links), partial(solve_afresh, build, links)
        assert np.abs(ours().voltages - theirs()).max() < 1e-8
        kind = f", grid of {len(links)} links" if links else ", sagging chain"
        yield Duel(what=f"panel of {pixels} pixels{kind}", against=against, ours=ours, theirs=theirs,
                   times=1 if pixels > 10_000 else 3)  # fmt: skip


def _searches() -> Iterator[Duel]:
    for name in ["switch"] if QUICK else ["switch", "busy"]:
        build = bench_search.BUILDS[name]
        one = partial(screen, build)
        searches = [
            ("smallest adapter", partial(smallest_adapter, build)),
            ("delay window", partial(delay_window, build)),
        ]
        if name == "switch" and not QUICK:
            bulk = Axis("bus.bulk", 1e-5, 1e-2, log=True)
            searches.append(("map of 60 x 60", partial(verdict_map, build, bench_search.RATING, bulk)))
        for what, search in searches:
            runs = search().runs
            yield Duel(what=f"{what}, {name}, {runs} starts", against=f"{runs} times one start",
                       ours=search, theirs=lambda one=one: [one() for _ in range(20)], times=3,
                       share=runs / 20)  # fmt: skip


def _captures() -> Iterator[Duel]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        bench_read.write_capture(path, ROWS)
        yield Duel(what=f"capture of {ROWS} rows", against="pandas' compiled reader, same file",
                   ours=lambda: read_trace(path), theirs=lambda: pd.read_csv(path, engine="c"),
                   times=3)  # fmt: skip


GROUPS: dict[str, Callable[[], Iterator[Duel]]] = {
    "starts": _starts, "commands": _commands, "panels": _panels, "searches": _searches, "studies": studies,
    "captures": _captures, "pages": pages,
}  # fmt: skip
