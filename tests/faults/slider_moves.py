"""A slider moved many times on the first page: what is held afterwards that was not held before.

    python -m tests.faults.slider_moves [COUNT]

Prints memory, blocks, threads, figures, widgets and files before and after; exit status 1 where one has grown.
"""

import gc
import os
import sys
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "workbook"))

import ipywidgets  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from widgets.boot_page import BootPage  # noqa: E402

from tests.command_line import call  # noqa: E402

COUNT = 2000
BEFORE = 30  # moves, and half as many as are counted, after which everything that is made once has been made
SLIDERS = (("Adapter", "adapter.soft_start"), ("Capacitors", "bus.bulk"), ("Lead", "lead.length"))
# Growth that is no leak, but caches of fonts, of numbers, of the interpreter: some 1,700 blocks and 12 MB in the first
# six hundred moves, then 100 blocks and 0.1 MB in as many more. The memory has room for two arrays that lie otherwise.
# (Tracing every allocation tells more, and takes three times as long.)
MOST_BLOCKS = 1000
MOST_MEMORY = 16 << 20  # [bytes]


@dataclass(frozen=True)
class Held:
    """What a page holds.

    Attributes
    ----------
    memory : int
        Of the process, that is in the machine's [bytes]; 0 where the system does not say.
    blocks : int
        Of memory that Python's objects have; an array has its numbers elsewhere, and one or two of these.
    threads, figures, widgets, files : int
        Counts; files are those that the process has open.
    """

    memory: int
    blocks: int
    threads: int
    figures: int
    widgets: int
    files: int


def held(page):
    """Count what is held now; without the steps that can be undone, 200 at most."""
    page.state.history.before.clear()
    gc.collect()
    everything = gc.get_objects()
    files, pages = Path("/proc/self/fd"), Path("/proc/self/statm")
    return Held(
        memory=int(pages.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") if pages.exists() else 0,
        blocks=sys.getallocatedblocks(),
        threads=threading.active_count(),
        figures=sum(isinstance(each, Figure) for each in everything),
        widgets=sum(isinstance(each, ipywidgets.Widget) for each in everything),
        files=len(os.listdir(files)) if files.is_dir() else 0,
    )


def move(page, number):
    """Move a slider to the next place, and back at the end of its way."""
    group, key = SLIDERS[number // 10 % len(SLIDERS)]
    page.frame.controls.open(group)
    slider = page.frame.controls.groups[group].keys[key].slider
    way = slider.max - slider.min
    at = number % (2 * way)
    slider.value = slider.min + (at if at <= way else 2 * way - at)


def moves(count):
    """Move sliders; returns what is held before and after."""
    page = BootPage(threaded=False)
    begin = max(BEFORE, count // 2)
    for number in range(begin):
        move(page, number)
    before = held(page)
    for number in range(begin, begin + count):
        move(page, number)
    return before, held(page)


def grown(before, after):
    """What has grown, in words."""
    counts = [
        name for name in ("threads", "figures", "widgets", "files") if getattr(after, name) > getattr(before, name)
    ]
    if after.blocks > before.blocks + MOST_BLOCKS:
        counts.append("blocks")
    if after.memory > before.memory + MOST_MEMORY:
        counts.append("memory")
    return counts


def main(count=COUNT):
    """Move as often as said."""
    with tempfile.TemporaryDirectory(prefix="moves-") as folder:
        os.environ["INRUSH_FOLDER"] = folder
        before, after = moves(count)
    found = grown(before, after)
    print(
        f"before  {before}\nafter   {after}\n{count} moves: "
        + (f"grown: {', '.join(found)}" if found else "nothing has grown")
    )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
