"""One table of how fast all of it is, each line against something else in the same run.

Run with ``python -m tests.benchmarks``; some minutes. Times are processor time, all threads together, so that other
work on the machine counts little, but where a line says "by the clock"; ours and theirs take turns, and the ratio is
that of the least of each. With names of groups after it (starts, commands, ...) only those.
"""

import os
import platform
import statistics
from collections.abc import Callable, Sequence
from datetime import date
from importlib.metadata import version
from pathlib import Path

from tests.command_line import call

from .duel import Clock, Duel
from .duels import GROUPS, all_duels
from .quick import rounds

PACKAGES = ("numpy", "scipy", "numba", "pandas")
HEAD = ("what", "against", "ours: least, median, most", "theirs: least, median, most", "theirs / ours")


def main(wanted: Sequence[str] = ()) -> None:
    """Print the table, or the groups of it that are wanted, line by line as each is measured."""
    print(f"{date.today()}; {machine()}", flush=True)
    print("\n| " + " | ".join(HEAD) + " |\n|" + " --- |" * len(HEAD), flush=True)
    for duel in all_duels(wanted):
        print("| " + " | ".join(line(duel)) + " |", flush=True)
    print(f"\nLoad of the machine meanwhile, of 1 a processor: {os.getloadavg()[2] / (os.cpu_count() or 1):.1f}")


def machine() -> str:
    """The processor and the versions that count."""
    info = Path("/proc/cpuinfo")
    names = [row.partition(": ")[2] for row in info.read_text().splitlines() if row.startswith("model name")]
    processor = names[0] if names else platform.processor() or platform.machine()
    packages = ", ".join(f"{name} {version(name)}" for name in PACKAGES)
    return f"{os.cpu_count()} x {processor}, {platform.system()}, Python {platform.python_version()}, {packages}"


def line(duel: Duel) -> tuple[str, ...]:
    """Time both by turns; the cells of the table."""
    ours, theirs = [], []
    for _ in range(rounds(duel.times)):
        theirs.append(duel.share * _spent(duel.theirs, duel.clock))
        duel.before()
        ours.append(sum(_spent(duel.ours, duel.clock) for _ in range(duel.often)) / duel.often)
    return duel.what, duel.against, _spread(ours), _spread(theirs), f"{min(theirs) / min(ours):.3g}"


def _spent(work: Callable[[], object], clock: Clock) -> float:
    begun = clock.now()
    work()
    return clock.now() - begun


def _spread(seconds: list[float]) -> str:
    figures = (min(seconds), statistics.median(seconds), max(seconds))
    return ", ".join(f"{1e3 * s:.3g}" if s < 1 else f"{1e3 * s:.0f}" for s in figures) + " ms"


if __name__ == "__main__":
    call(main, __doc__, names=GROUPS)
