"""Mutated build files: each must give a build or a ``BuildError``, in under a second and 200 MB.

Run as a command, ``python -m tests.fuzz.fuzz_build --files 100000 --seed 1``; the suite runs fewer. Files are changed
as bytes and as what they are: keys moved, renamed, doubled, given the values of others, tables nested, quoted, emptied.
What gives a build must be the same build when it is written and read again. A file that breaks a rule is printed as a
Python literal, so that it can become a test.
"""

from __future__ import annotations

import argparse
import random
import re
import resource
import sys
import time
import tomllib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from inrushlib.build import build_keys, parse_build, to_toml
from inrushlib.errors import BuildError

LONGEST_SECONDS = 1.0
MOST_MEGABYTES = 200.0
LONGEST_MESSAGE = 100_000  # characters
LARGEST = 40_000  # bytes of a mutated file
VALUES = [
    "0", "-1", "1", "1e308", "-1e308", "1e-320", "nan", "inf", "-inf", "true", "false", '""', '"5 V"', '"5 kA"',
    '"470 uF"', '"22 AWG"', '"0 AWG"', '"0.5 mm2"', '"4u7"', '"10k"', '"2,5 A"', '"1,000 A"', '"5 \u00b5s"',
    '"\u221e V"', '"1e400 V"', '"0x10 V"', '"1_000 A"', "9" * 400, '"' + "9" * 5000 + ' V"', "[]",
    "[[]]", "[1, 1, 1]", "[0, 0]",
    "[" * 300 + "]" * 300, "[" + "1, " * 3000 + "1]", "{}", "{ low = 1, high = 2 }", "{ relative = 0.1 }",
    "{ sigma = -1 }", '{ relative = 0.1, group = "reel" }', "2026-03-01", "07:00:00", "'''a\nb'''", '"\\u0000"',
    '"\U0001f600"', '"<script>"', '"auto"', '"plug"', '"own"', '"hiccup"', '"p-channel"', "0o17", "0b1", "1.5",
    "4096", "4097", "64", "65", "99", "100", '"  5 V  "', '"5V"', '"5 v"', '"5 mV mV"', '"-5 V"', '"+5 V"',
]  # fmt: skip
PIECES = [
    b"[", b"]", b"[[", b"]]", b"=", b'"', b"'", b"#", b"\n", b"\r", b"\r\n", b"\0", b",", b".", b"{", b"}", b"\\",
    b"\t", b"\xff", b"\xc2\xb5", b"\xef\xbb\xbf", b"\xe2\x80\xa8", b'"""', b"'''", b"[tolerance]\n", b"[adapter]\n",
    b"format = 99\n", b"class = 3\n",
]  # fmt: skip


@dataclass
class Tally:
    """What came of the files."""

    outcomes: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    megabytes: float = 0.0
    broken: list[str] = field(default_factory=list)


def seeds() -> list[str]:
    """Builds with few keys and with many, by hand and as the library writes them."""
    root = Path(__file__).resolve().parents[2]
    files = [
        *sorted((root / "workbook" / "builds").glob("*.toml")),
        *sorted((root / "tests/reference").glob("*.toml"))[:12],
    ]
    texts = [path.read_text() for path in files]
    return [*texts, *(to_toml(parse_build(text)) for text in texts[:4])]


def change_lines(text: str, draw: random.Random) -> str:
    """One mutation of what a build file is made of."""
    lines = text.split("\n")
    places = [i for i, line in enumerate(lines) if "=" in line and not line.lstrip().startswith("#")] or [0]
    heads = [i for i, line in enumerate(lines) if line.startswith("[")] or [0]
    at, other = draw.choice(places), draw.choice(places)
    key, _, value = lines[at].partition("=")
    known = draw.choice(list(build_keys()))

    def put(line: str) -> str:
        return "\n".join([*lines[:at], line, *lines[at + 1 :]])

    ways: list[Callable[[], str]] = [
        lambda: put(f"{key}= {draw.choice(VALUES)}"),
        lambda: put(f"{key}={lines[other].partition('=')[2]}"),
        lambda: put(f"{known.partition('.')[2]} ={value}"),
        lambda: put(f"{known} ={value}"),
        lambda: put(f"{key.strip()}{draw.choice('xe_9.')} ={value}"),
        lambda: put(f'"{key.strip()}" ={value}'),
        lambda: put(re.sub(r"[0-9.]+", lambda _: draw.choice(("0", "1e9", "-3", "0.001", "1e-12")), lines[at])),
        lambda: put(lines[at] + "\n" + lines[at]),
        lambda: put(""),
        lambda: "\n".join([*lines[: draw.choice(heads)], *lines[draw.choice(heads) :]]),
        lambda: "\n".join([*lines, *lines[draw.choice(heads) :]]),
        lambda: text + f'\n[tolerance]\n"{known}" = {draw.choice(VALUES)}\n',
        lambda: text + f"\n[{known.partition('.')[0]}]\n{known.partition('.')[2]} = {draw.choice(VALUES)}\n",
        lambda: text.replace(draw.choice(("A", "V", "ohm", "F", "s", "H")), draw.choice(("V", "kA", "", "m")), 3),
        lambda: "\n".join(draw.sample(lines, len(lines))),
    ]
    return draw.choice(ways)()


def change_bytes(data: bytes, draw: random.Random) -> bytes:
    """One mutation of a file's bytes."""
    at, end = sorted((draw.randrange(len(data) + 1), draw.randrange(len(data) + 1)))
    end = min(end, at + draw.choice((1, 4, 40)))
    ways: list[Callable[[], bytes]] = [
        lambda: data[:at] + bytes([draw.randrange(256)]) + data[at + 1 :],
        lambda: data[:at] + draw.choice(PIECES) + data[at:],
        lambda: data[:at] + data[end:],
        lambda: data[:at],
        lambda: data[:at] + data[at:end] * draw.choice((2, 300)) + data[end:],
    ]
    return draw.choice(ways)()


def try_file(data: bytes, tally: Tally) -> None:
    """Read one file and note what comes of it."""
    computed = time.process_time()
    try:
        build = parse_build(data.decode("utf-8"))
        outcome = "build"
        if parse_build(to_toml(build)) != build:
            tally.broken.append(f"not the same when it is read again: {data!r}")
    except UnicodeDecodeError:
        outcome = "no text"  # what a file's reader says of it has its own tests
    except BuildError as error:
        outcome = "BuildError"
        if len(str(error)) > LONGEST_MESSAGE or not error.problems or not all(error.problems):
            tally.broken.append(f"a message that no one reads, of {len(str(error))} characters: {data!r}")
    except Exception as error:
        outcome = type(error).__name__
        tally.broken.append(f"{outcome} ({str(error)[:200]}): {data!r}")
    seconds = time.process_time() - computed
    tally.outcomes[outcome] += 1
    tally.slowest = max(tally.slowest, seconds)
    if seconds > LONGEST_SECONDS:
        tally.broken.append(f"{seconds:.2f} s: {data[:2000]!r}")


def fuzz(files: int, seed: int) -> Tally:
    """Read so many mutated files."""
    draw, tally, originals = random.Random(seed), Tally(), seeds()
    for text in originals:
        tomllib.loads(text)
        parse_build(text)
    before = peak_megabytes()
    for _ in range(files):
        text = draw.choice(originals)
        for _ in range(draw.choice((0, 1, 1, 2, 3, 6))):
            text = change_lines(text, draw)
        data = text.encode("utf-8", "surrogatepass")
        for _ in range(draw.choice((0, 0, 0, 1, 2))):
            data = change_bytes(data, draw)
        try_file(data[:LARGEST], tally)
    tally.megabytes = peak_megabytes() - before
    if tally.megabytes > MOST_MEGABYTES:
        tally.broken.append(f"{tally.megabytes:.0f} MB")
    return tally


def peak_megabytes() -> float:
    """Return the most memory [MB] that this process has had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> int:
    """Run as a command; 1 when a file broke a rule."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    tally = fuzz(options.files, options.seed)
    counted = ", ".join(f"{number} {outcome}" for outcome, number in tally.outcomes.most_common())
    print(f"{options.files} build files, seed {options.seed}: {counted}")
    print(f"slowest {tally.slowest * 1e3:.0f} ms of computing, {tally.megabytes:.0f} MB more than before")
    print(f"{len(tally.broken)} broke a rule")
    for line in tally.broken[:10]:
        print(line[:3000])
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
