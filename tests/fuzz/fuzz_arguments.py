"""Random arguments to every command: each ends with a status and a message of the command's own, in under a second and
200 MB.

Run as a command, ``python -m tests.fuzz.fuzz_arguments --calls 100000 --seed 1``; the suite runs fewer. The words
come from each command's own parser: its options, its choices, and values that are near to right. The build that they
name lacks what is required, so that all that stands in front of the computing is tried, and nothing is computed.
Status 3, an exception, silence or a message of many lines break the rule, and are printed so that they can become a
test.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import shlex
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from inrushlib.cli import main as inrush
from inrushlib.cli.commands import SUBCOMMANDS, parser

from .fuzz_build import LONGEST_SECONDS, MOST_MEGABYTES, peak_megabytes

MOST_LINES = 30
LEFT = {"workbook", "warm"}  # one serves until it is ended, the other has no arguments and compiles
WORDS = [
    "", " ", "0", "-1", "1", "2", "3.5", "1e9", "1e400", "nan", "inf", "-inf", "5 V", "5V", "2,5 A", "1,000", "10k",
    "4u7", "22 AWG", "0.5 mm2", "1..3", "1:3:5", "1,1,1", "0.3,0.3", "a=b", "=",
    "adapter.rated_current=2", "adapter.colour=2",
    "adapter.rated_current", "pixel.wake", "5.08 V @ 0.1 A", "4.98V@2A", "@", "@@", "red", "white", "plug", "--", "-",
    "-x", "--json", "--help=", "\u00b5", "\U0001f600", "\x1b[31m", "a\nb", "a" * 3000, "../..",
    "/", ".", "*.toml", "%s",
    "{0}", "all", "stated", "all none", "none", "0..0", "9" * 40,
]  # fmt: skip


@dataclass
class Tally:
    """What came of the calls."""

    statuses: Counter[int] = field(default_factory=Counter)
    slowest: float = 0.0
    megabytes: float = 0.0
    broken: list[str] = field(default_factory=list)


def leaves(top: argparse.ArgumentParser, names: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Every command that ends a line, with the words that its own arguments know: options and choices."""
    inner = [action for action in top._actions if isinstance(action, argparse._SubParsersAction)]
    for action in inner:
        for name, below in action.choices.items():
            yield from leaves(below, (*names, name))
    if not inner:
        known = [
            option for action in top._actions for option in action.option_strings if option not in ("-h", "--help")
        ]
        known += [str(choice) for action in top._actions for choice in action.choices or ()]
        yield names, known


def commands() -> list[tuple[tuple[str, ...], list[str]]]:
    """All commands but those that are left."""
    found = []
    for name in SUBCOMMANDS:
        found += [leaf for leaf in leaves(parser(name)) if leaf[0][0] == name and name not in LEFT]
    return found


def call(words: list[str], tally: Tally) -> None:
    """Call the command once and note what comes of it."""
    out, errors = io.StringIO(), io.StringIO()
    computed = time.process_time()
    status, broken = -1, ""
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(errors):
            status = inrush(words)
    except SystemExit as end:
        status = int(end.code or 0)
    except Exception as error:
        broken = f"{type(error).__name__}: {error}"
    seconds = time.process_time() - computed
    said = errors.getvalue()
    tally.statuses[status] += 1
    tally.slowest = max(tally.slowest, seconds)
    if not broken and status not in (0, 1, 2):
        broken = f"status {status}"
    elif not broken and status == 2 and not said.strip():
        broken = "silence"
    elif not broken and (said.count("\n") > MOST_LINES or "Traceback" in said or "\x1b" in said):
        broken = "a message that no one wants to read"
    elif not broken and seconds > LONGEST_SECONDS:
        broken = f"{seconds:.2f} s"
    if broken:
        tally.broken.append(f"inrush {shlex.join(words)[:600]}\n    {broken}: {said[:400]!r}")


def fuzz(calls: int, seed: int) -> Tally:
    """Call so many times, in a folder of its own."""
    draw, tally, known = random.Random(seed), Tally(), commands()
    before, megabytes = os.getcwd(), peak_megabytes()
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "lacking.toml").write_text('title = "lacking"\n[adapter]\nrated_voltage = "5 V"\n')
        Path(folder, "capture.csv").write_text("time [us],bus [V]\n" + "".join(f"{i},{i % 5}\n" for i in range(30)))
        files = ["lacking.toml", "capture.csv", "missing.toml", "out.png", "out.json", "no/where.png", "out.xyz"]
        try:
            os.chdir(folder)
            for _ in range(calls):
                names, own = draw.choice(known)
                words = list(names)
                for _ in range(draw.choice((0, 1, 2, 3, 4, 6))):
                    words.append(draw.choice((draw.choice(own or WORDS), draw.choice(files), draw.choice(WORDS))))
                    if draw.random() < 0.3 and words[-1].startswith("--"):
                        words[-1] += "=" + draw.choice(WORDS)
                call(words, tally)
        finally:
            os.chdir(before)
    tally.megabytes = peak_megabytes() - megabytes
    if tally.megabytes > MOST_MEGABYTES:
        tally.broken.append(f"{tally.megabytes:.0f} MB")
    return tally


def main() -> int:
    """Run as a command; 1 when a call broke the rule."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--calls", type=int, default=100_000)
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    tally = fuzz(chosen.calls, chosen.seed)
    counted = ", ".join(f"{number} with status {status}" for status, number in sorted(tally.statuses.items()))
    print(f"{chosen.calls} calls, seed {chosen.seed}: {counted}; slowest {tally.slowest * 1e3:.0f} ms of computing, "
          f"{tally.megabytes:.0f} MB more than before")  # fmt: skip
    print(f"{len(tally.broken)} broke the rule")
    for line in tally.broken[:20]:
        print(line)
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
