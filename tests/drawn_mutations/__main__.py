"""Break the package at places drawn at random and see whether a test notices.

    python -m tests.drawn_mutations [COUNT [SEED [WORKERS [PART ...]]]]

COUNT places in each of searches, panel, safety, fits and answers, by cosmic-ray's operators: a copy of the package is
broken at one of them at a time, and the tests that run that statement are run, the quick ones first. Which those are is
known from one run of the tests under coverage, which takes some ten minutes and is kept in ``.mutations`` until one of
these sources changes. What survives is printed with what was changed: look at each. Exit status 1 where fewer than 85 %
of a part were caught.
"""

from __future__ import annotations

import hashlib
import sys
import tempfile
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue
from random import Random

from tests.command_line import call
from tests.mutations import ROOT, copy_to, pytest_in

from .covering import Covering, watched
from .places import Place, broken, places, statement_around

PARTS = ("search", "panel", "safety", "trace/fit", "answers")
ASKED = 0.85
SPARE = 30  # more than the tests of one mutant took unbroken may a run take [s of the processor], times three


@dataclass(frozen=True)
class Mutant:
    """One file broken at one place."""

    part: str
    file: str
    place: Place
    text: str
    change: str
    tests: tuple[str, ...]


def drawn(part: str, count: int, draw: Random, covering: Covering) -> list[Mutant]:
    """Return ``count`` mutants of a part of the package."""
    texts = {
        str(path.relative_to(ROOT / "inrushlib")): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "inrushlib" / part).rglob("*.py"))
    }
    everywhere = [(file, place) for file, text in texts.items() for place in places(text)]
    draw.shuffle(everywhere)
    found: list[Mutant] = []
    for file, place in everywhere:
        if len(found) == count:
            break
        text = broken(texts[file], place, draw)
        if text is None:
            continue
        lines, imported = statement_around(texts[file], place.line)
        tests = covering.of(file, range(1) if imported else lines)
        found.append(Mutant(part, file, place, text, said(texts[file], text), tests))
    return found


def said(before: str, after: str) -> str:
    """Return the first line in which two texts differ, as it was and as it is."""
    old, new = before.splitlines(), after.splitlines()
    for was, became in zip(old, new, strict=False):
        if was != became:
            return f"{was.strip()}  ->  {became.strip()}"
    return "lines at the end"


def is_caught(mutant: Mutant, folder: Path, seconds: float) -> bool:
    """Say whether a test fails on a ``mutant`` in the copy in a ``folder``.

    Unbroken its tests take some ``seconds``.
    """
    if not mutant.tests:
        return False
    path = folder / "inrushlib" / mutant.file
    whole = path.read_text(encoding="utf-8")
    path.write_text(mutant.text, encoding="utf-8")
    try:
        return pytest_in(folder, mutant.tests, int(3 * seconds + SPARE)).returncode != 0
    finally:
        path.write_text(whole, encoding="utf-8")


def kept_at(parts: Sequence[str]) -> Path:
    """Return the folder for what the tests of these sources ran."""
    digest = hashlib.sha256()
    for part in parts:
        for path in sorted((ROOT / "inrushlib" / part).rglob("*.py")):
            digest.update(path.read_bytes())
    folder = ROOT / ".mutations" / digest.hexdigest()[:16]
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def tried(mutants: Sequence[Mutant], covering: Covering, workers: int, say: Callable[[Mutant, bool], None]) -> int:
    """Try all mutants, a copy of the package for each of some workers, and return how many were caught."""
    with tempfile.TemporaryDirectory(prefix="mutations-") as place, ThreadPoolExecutor(workers) as pool:
        free: Queue[Path] = Queue()
        for number in range(workers):
            folder = Path(place, str(number))
            folder.mkdir()
            copy_to(folder)
            free.put(folder)

        def one(mutant: Mutant) -> bool:
            folder = free.get()
            try:
                return is_caught(mutant, folder, sum(covering.times[test] for test in mutant.tests))
            finally:
                free.put(folder)

        caught = 0
        for mutant, was_caught in zip(mutants, pool.map(one, mutants), strict=True):
            caught += was_caught
            say(mutant, was_caught)
        return caught


def main(count: int = 80, seed: int = 1, workers: int = 2, parts: Sequence[str] = ()) -> int:
    """Draw and try the mutants of each part, and print what survived and each part's share."""
    covering = watched(ROOT, PARTS, kept_at(PARTS))

    def say(mutant: Mutant, was_caught: bool) -> None:
        if not was_caught:
            looked = f"{len(mutant.tests)} tests" if mutant.tests else "no test runs it"
            where = f"{mutant.file}:{mutant.place.line} {mutant.place.operator}, {looked}"
            print(f"{where}\n    {mutant.change}", flush=True)

    shares = {}
    for part in parts or PARTS:
        mutants = drawn(part, count, Random(f"{seed} {part}"), covering)
        shares[part] = tried(mutants, covering, workers, say) / len(mutants)
        print(f"{part}: {shares[part]:.0%} of {len(mutants)} caught", flush=True)
    return 1 if min(shares.values()) < ASKED else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__, names=PARTS))
