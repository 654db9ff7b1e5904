"""Processes that are ended at random instants while they save builds and add to logs.

    python -m tests.faults.killed_writers [COUNT [SEED]]

Each writer tells, after each file, that it is written; then it is ended, by a kill, a hang-up or a request to end.
What it has told must be there, and either nothing or the whole of the next. Prints how many were ended, how many
files they had written and what was wrong; exit status 1 where something was.
"""

import os
import random
import signal
import sys
import tempfile
import time
import traceback
from datetime import date
from pathlib import Path

from inrushlib.build import load_build, new_build, save_build
from inrushlib.files import write_safely
from inrushlib.measurements import How, Measurement, add_to_log, read_log
from tests.command_line import call

COUNT = 500
LONGEST = 0.03  # [s] until a writer is ended
SIGNALS = (signal.SIGKILL, signal.SIGHUP, signal.SIGTERM)
BUILD = new_build(
    {"title": "0", "adapter.rated_current": 3, "wiring.sections": 1, "wiring.pixels_per_section": 8}
)  # fmt: skip


def row(number):
    """A measurement that tells its number, in milliamperes."""
    return Measurement(
        key="adapter.limit_current", value=number / 1e3, low=None, high=(number + 1) / 1e3, level=0.95, how=How.BENCH,
        source=f"reading {number}", day=date(2026, 3, 1), modelled=3.3,
    )  # fmt: skip


def write_on(folder, first, told):
    """Save builds titled by their number and add rows of that number, one after the other, until ended."""
    number = first
    while True:
        number += 1
        save_build(BUILD.with_values({"title": str(number)}), folder / "build.toml")
        os.write(told, b"b")
        add_to_log(folder / "build.measured.toml", [row(number)])
        os.write(told, b"r")


def end_one(folder, first, draw):
    """Start a writer and end it; returns how many builds and rows it told to be written."""
    reading, telling = os.pipe()
    child = os.fork()
    if child == 0:
        for number in SIGNALS[1:]:
            signal.signal(number, signal.SIG_DFL)
        try:
            write_on(folder, first, telling)
        except BaseException:
            traceback.print_exc()  # nothing else tells why
        finally:
            os._exit(1)
    os.close(telling)
    told = os.read(reading, 1)  # it has begun
    time.sleep(draw.uniform(0.0, LONGEST))
    wanted = draw.choice(SIGNALS)
    os.kill(child, wanted)
    _, status = os.waitpid(child, 0)
    while more := os.read(reading, 1 << 16):
        told += more
    os.close(reading)
    if not os.WIFSIGNALED(status) or os.WTERMSIG(status) != wanted:
        raise SystemExit(f"a writer ended by itself: {status}")
    return told.count(b"b"), told.count(b"r")


def wrong(folder, first, builds, rows):
    """What is not as it must be, in words; the numbers that stand there now."""
    found = []
    build = int(load_build(folder / "build.toml").title)
    if build - first not in (builds, builds + 1):
        found.append(f"build {build} where {first + builds} was told")
    log = folder / "build.measured.toml"
    numbers = [round(1e3 * each.value) for each in read_log(log).rows] if log.exists() else []
    if len(numbers) not in (rows, rows + 1) or numbers != [first + k + 1 for k in range(len(numbers))]:
        found.append(f"rows {numbers} where {rows} were told from {first + 1} on")
    return found, build


def end_many(count, seed):
    """End writers; returns how many files they had written, how much litter they left, and what was wrong."""
    draw = random.Random(seed)
    found, written, litter, number = [], 0, 0, 0
    with tempfile.TemporaryDirectory(prefix="killed-") as place:
        folder = Path(place)
        for _ in range(count):
            builds, rows = end_one(folder, number, draw)
            problems, number = wrong(folder, number, builds, rows)
            found += problems
            written += builds + rows
            litter += len(list(folder.glob(".*")))
            (folder / "build.measured.toml").unlink(missing_ok=True)
            write_safely("", folder / "next")
            found += [f"{path.name} stays" for path in folder.glob(".*")]
    return written, litter, found


def main(count=COUNT, seed=1):
    """End as many as said."""
    written, litter, found = end_many(count, seed)
    print(f"{count} writers ended, {written} files written, {litter} part files left and removed, {len(found)} wrong")
    print("".join(f"    {problem}\n" for problem in found), end="")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
