"""How long until the workbook is there: from command to address, from address to each page's picture.

Run with ``python -m tests.benchmarks.pages``, some minutes; with a number, so many page views more, after which the
kernels are counted. A real browser, wall clock: on a machine that does other work at the same time the figures say
little; its load stands below them.
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from inrushlib import serve
from tests.browser.conftest import FLAGS, find_browser
from tests.command_line import call
from tests.kernel_processes import is_kernel

from .quick import rounds

COMMAND = "import sys; from inrushlib.cli import main; sys.exit(main(['workbook', '--no-browser', *sys.argv[1:]]))"
VIEWS = 5
WAIT = 120_000  # [ms]
SETTLE = 6.0  # [s] until the next kernel to spare is ready
DRAWN = """() => {
  const picture = document.querySelector('.wb-picture img, img.wb-plot, svg.wb-plot');
  const there = picture && (picture.tagName === 'svg' || (picture.complete && picture.naturalWidth > 100));
  return there || document.querySelectorAll('.wb-answer').length > 0;
}"""
SHOWN = "() => document.querySelectorAll('.wb-answered .wb-line').length > 0"


@contextmanager
def workbook(folder: Path, *options: str) -> Iterator[tuple[str, float]]:
    """Run the command, with more options; its address and how long that took [s]."""
    begun = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-c", COMMAND, *options],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert process.stdout is not None
        address = next(m[0] for line in process.stdout if (m := re.search(r"http://\S+token=\w+", line)))
        yield address, time.monotonic() - begun
    finally:
        process.terminate()
        process.wait(30)


def view(page: Page, address: str) -> tuple[float, float]:
    """Open a page; how long until its answer and until its picture [s]."""
    begun = time.monotonic()
    page.goto(address, wait_until="domcontentloaded")
    page.wait_for_function(SHOWN, timeout=WAIT)
    answered = time.monotonic() - begun
    page.wait_for_function(DRAWN, timeout=WAIT)
    return answered, time.monotonic() - begun


def kernels(folder: Path) -> int:
    """Return how many kernels there are for a folder."""
    found = 0
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            words = (entry / "environ").read_bytes().split(b"\0")
        except OSError:
            continue
        found += f"INRUSH_FOLDER={folder}".encode() in words and is_kernel(entry)
    return found


def main(views: int = 0) -> None:
    """Print the table, and the kernels after so many views more."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name).resolve()
        browser = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        times = []
        for _ in range(rounds(VIEWS)):
            with workbook(folder) as (_, took):
                times.append(took)
        print("| what | least, median, most [s] |\n| --- | --- |")
        print(f"| command to address | {_spread(times)} |", flush=True)
        with workbook(folder) as (address, _):
            page = browser.new_page()
            for notebook in sorted(path.name for path in serve.workbook_folder().glob("[1-9]_*.ipynb")):
                seen = []
                for _ in range(rounds(VIEWS)):
                    time.sleep(SETTLE)
                    seen.append(view(page, address.replace(serve.FIRST_NOTEBOOK, notebook)))
                answered, drawn = zip(*seen, strict=True)
                print(
                    f"| {notebook}: answer | {_spread(answered)} |\n| {notebook}: picture | {_spread(drawn)} |",
                    flush=True,
                )
            if views:
                for _ in range(views):
                    view(page, address)
                time.sleep(SETTLE)
                print(f"\nKernels after {views} more views of one page: {kernels(folder)}")
    print(f"\nLoad of the machine meanwhile, of 1 a processor: {os.getloadavg()[1] / (os.cpu_count() or 1):.1f}")


def _spread(seconds: list[float] | tuple[float, ...]) -> str:
    return f"{min(seconds):.2f}, {statistics.median(seconds):.2f}, {max(seconds):.2f}"


if __name__ == "__main__":
    call(main, __doc__)
