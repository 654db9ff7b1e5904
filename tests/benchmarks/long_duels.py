"""What takes seconds, and what needs a browser, timed against what it comes to.

``studies``
    odds, remedies, fits
``pages``
    the workbook by the clock
"""

import tempfile
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from inrushlib.odds import spread
from inrushlib.remedies import compare_remedies, recommend_remedies
from inrushlib.startup import run_curves, screen
from inrushlib.trace import fit_build, measure, read_trace

from .. import make_captures
from . import bench_search, bench_spread
from .duel import Clock, Duel, child
from .quick import QUICK

SPREAD = 64 if QUICK else 10_000
KERNEL = """
from jupyter_client.manager import start_new_kernel
manager, client = start_new_kernel(extra_arguments=["--log-level=ERROR"])
client.execute_interactive("1 + 1", output_hook=lambda said: None)
client.stop_channels()
manager.shutdown_kernel(now=True)
"""


def studies() -> Iterator[Duel]:
    """What takes seconds: odds, remedies, a fit."""
    build = bench_spread.SWITCH
    one = partial(screen, build)
    yield Duel(what=f"odds of {SPREAD} runs, six sections with a switch", against=f"{SPREAD} times one start",
               ours=lambda: spread(build, runs=SPREAD), theirs=lambda: [one() for _ in range(20)], times=1,
               share=SPREAD / 20)  # fmt: skip
    weak = bench_search.BUILDS["plain"].with_values({"adapter.rated_current": 1})
    remedies = [("remedies", lambda: compare_remedies(weak))]
    if not QUICK:
        remedies.append(("remedies with odds", lambda: recommend_remedies(weak)))
    for what, work in remedies:
        yield Duel(what=f"{what}, six sections on 1 A", against="1000 times one start", ours=work,
                   theirs=lambda: [screen(weak) for _ in range(20)], times=1, share=50)  # fmt: skip
    for name in ("harbour_lamp",) if QUICK else ("harbour_lamp", "ferry_board"):
        yield _fit(name)


def _fit(name: str) -> Duel:
    capture = make_captures.TRACES / f"{name}.csv"
    recipe = make_captures.recipe_of(capture)
    build, keys = make_captures.start_build(recipe), list(recipe["changed"])
    shown = {channel: row["shows"] for channel, row in recipe["channel"].items()}
    measured = measure(read_trace(capture), shown, build)
    return Duel(
        what=f"fit of {len(keys)} keys to {name.replace('_', ' ')}", against="500 times one run with its curves",
        ours=lambda: fit_build(build, measured, keys), theirs=lambda: [run_curves(build) for _ in range(10)],
        times=1, share=50,
    )  # fmt: skip


def pages() -> Iterator[Duel]:
    """The workbook by the clock: until there is an address, and until a page has its answer and its picture."""
    if QUICK:  # a browser, and half a minute
        return
    from playwright.sync_api import sync_playwright

    from .pages import FLAGS, SETTLE, find_browser, view, workbook

    against = "a new Jupyter kernel that says 1 + 1"
    kernel = partial(child, "-c", KERNEL)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name).resolve()

        def command() -> None:
            with workbook(folder):
                pass

        yield Duel(what="command to address, by the clock", against=against, ours=command, theirs=kernel,
                   clock=Clock.WALL)  # fmt: skip
        with workbook(folder) as (address, _):
            page = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS).new_page()
            view(page, address)
            # Until the next kernel to spare is ready: whoever opens pages one after the other looks at each.
            yield Duel(what="first page with its picture, by the clock", against=against,
                       ours=partial(view, page, address), theirs=kernel, before=partial(time.sleep, SETTLE),
                       clock=Clock.WALL)  # fmt: skip
