"""A capture of ten million rows, uploaded through the scope page: whether it is taken, and how much memory that takes.

    python -m tests.faults.large_upload [ROWS]

Prints bytes of the file, rows read, the time, and the most memory that the process held, beside what it held
before. Exit status 1 where the page did not take it, or where its curves lie elsewhere.
"""

import io
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "workbook"))

from widgets.boot_page import BootPage  # noqa: E402

from tests.command_line import call  # noqa: E402

ROWS = 10_000_000
BLOCK = 100_000  # rows that are the same again but for their time
SPAN = 0.5  # [s]


def capture(rows):
    """A file of times in microseconds and a bus that rises and sags, as bytes."""
    times = np.arange(min(rows, BLOCK))
    volts = [f"{v:.2f}" for v in 5.0 - 0.5 * np.cos(times / 1000.0)]
    file = io.BytesIO()
    file.write(b"time [us],bus [V]\n")
    step = SPAN * 1e6 / rows
    for first in range(0, rows, BLOCK):
        count = min(BLOCK, rows - first)
        at = np.arange(first, first + count) * step
        file.write("".join(f"{t:.2f},{v}\n" for t, v in zip(at, volts, strict=False)).encode())
    return file.getvalue()


def most_memory():
    """The most that this process ever held [bytes]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def upload(rows):
    """Upload a capture; returns the page, bytes of the file, most memory before [bytes] and the time it took [s]."""
    page = BootPage(threaded=False)
    content = capture(rows)
    before, began = most_memory(), time.monotonic()
    page.captures.uploaded({"new": [{"content": memoryview(content), "name": "long.csv"}]})
    return page, len(content), before, time.monotonic() - began


def wrong(page, rows):
    """Why the page did not take all of it as it is; empty where it did."""
    overlay = page.overlay
    if overlay.problem or overlay.trace is None:
        return overlay.problem or "nothing was read"
    volts = overlay.trace.channels["bus"].values
    times = overlay.trace.time
    if len(volts) != rows or abs(times[-1] - times[0] - SPAN * (1 - 1 / rows)) > 1e-6:
        return f"{len(volts)} rows over {times[-1] - times[0]} s"
    return "" if abs(float(np.mean(volts)) - 5.0) < 0.01 else f"a mean of {np.mean(volts)} V"


def main(rows=ROWS):
    """Upload as many rows as said."""
    with tempfile.TemporaryDirectory(prefix="upload-") as folder:
        os.environ["INRUSH_FOLDER"] = folder
        page, size, before, took = upload(rows)
    problem = wrong(page, rows)
    after = most_memory()
    print(
        f"{rows} rows, {size / 1e6:.0f} MB, {took:.1f} s; "
        f"most memory {before / 1e6:.0f} MB before, {after / 1e6:.0f} MB after"
    )
    print(problem or "taken as it is")
    return 1 if problem else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
