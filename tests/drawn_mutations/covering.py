"""Which tests run a line, and how long each takes: the tests of the package, once, under coverage's eye."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import coverage

from .watch import TIMES

# What does not look at single values is left out: it would make the figure no better, and takes longest.
FOLDERS = (
    "answers", "guide", "margins", "odds", "panel", "plots", "published", "remedies", "safety", "search", "sheet",
    "trace",
)  # fmt: skip
SLOW = ("tests/test_benchmarks.py", "tests/test_commands_of_the_guides.py", "tests/trace/test_fit_fifty.py")
LONGEST = 20.0  # of the tests that look at one mutant, the quick ones first [s of the processor]


@dataclass(frozen=True)
class Covering:
    """What the tests ran.

    Parameters
    ----------
    tests : dict of (str, dict of (int, tuple of str))
        For each file of the package the tests that run each of its lines; line 0 for all of them, and for those that
        import from it.
    times : dict of (str, float)
        How long each test took [s].
    """

    tests: dict[str, dict[int, tuple[str, ...]]]
    times: dict[str, float]

    def of(self, file: str, lines: range) -> tuple[str, ...]:
        """Return the tests that run any of the ``lines`` of a ``file``, the quick ones first, up to a time."""
        ran = self.tests.get(file, {})
        found = sorted(
            {test for line in lines for test in ran.get(line, ())}, key=lambda test: (self.times[test], test)
        )
        chosen, spent = [], 0.0
        for test in sorted(found, key=lambda test: (self.times[test], test)):
            spent += self.times[test]
            if spent > LONGEST and chosen:
                break
            chosen.append(test)
        return tuple(chosen)


def watched(root: Path, parts: tuple[str, ...], place: Path) -> Covering:
    """Run the tests of the checkout at ``root`` and return which lines of the ``parts`` each ran.

    What was recorded lies at ``place`` and is taken from there where it is there already.
    """
    recorded, times = place / "lines.sqlite", place / "times.json"
    if not times.exists():
        files = sorted(str(path.relative_to(root)) for path in (root / "tests").glob("test_*.py"))
        folders = [f"tests/{name}" for name in FOLDERS]
        left_out = [f"--ignore={name}" for name in SLOW]
        sources = ",".join(f"inrushlib/{part}" for part in parts)
        coverages = [sys.executable, "-m", "coverage", "run", f"--data-file={recorded}", f"--source={sources}"]
        pytests = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "tests.drawn_mutations.watch"]
        command = [*coverages, *pytests, *folders, *files, *left_out]
        done = subprocess.run(command, cwd=root, env={**os.environ, TIMES: str(times)}, check=False)
        if done.returncode != 0:
            times.unlink(missing_ok=True)
            raise SystemExit("a test fails without any mutation")
    data = coverage.CoverageData(str(recorded))
    data.read()
    took = json.loads(times.read_text(encoding="utf-8"))
    tests = {}
    for file in data.measured_files():
        ran = {line: tuple(test for test in by if test) for line, by in data.contexts_by_lineno(file).items()}
        inside = Path(file).relative_to(root)
        ran[0] = tuple({test for by in ran.values() for test in by} | naming(inside, root, took))
        tests[str(inside.relative_to("inrushlib"))] = ran
    return Covering(tests, took)


def naming(module: Path, root: Path, tests: Iterable[str]) -> set[str]:
    """Return those of the ``tests`` whose file imports from a ``module``: they may look at what only an import runs."""
    dotted = ".".join(module.with_suffix("").parts)
    texts = {file: (root / file).read_text(encoding="utf-8") for file in {test.partition("::")[0] for test in tests}}
    return {test for test in tests if f"from {dotted} import" in texts[test.partition("::")[0]]}
