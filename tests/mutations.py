"""Break one rule at a time in a copy of the package and see whether a test notices.

    python -m tests.mutations [WORD ...]

With words only the mutations whose name, or whose file in the package, has one of them: ``search/ panel/ safety/ fit/
answers/`` are those of what is not compiled, a second or two each. A mutation of the model compiles afresh. Times are
the processor's. Exit status 1 where one was not caught. A text that is not found exactly once is an error: the list is
then out of date.
"""

import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.command_line import call

from .mutation_lists import (
    adapter,
    answers,
    firmware,
    fit,
    hold_and_peak,
    laws,
    lumps,
    panel,
    safety,
    search,
    solver,
    verdict,
)

ROOT = Path(__file__).resolve().parents[1]
LISTS = (adapter, firmware, hold_and_peak, laws, lumps, solver, verdict, search, panel, safety, fit, answers)
MUTATIONS = [change for part in LISTS for change in part.MUTATIONS]
COMPILED = ("model/", "laws/")
# Processor time [s]: a run that takes longer hangs, which counts as caught.
LONGEST, LONGEST_COMPILED = 30, 200
LONGEST_UNBROKEN = 1800  # for all the tests at once, without a mutation


def copy_to(folder):
    """Copy what the tests need."""
    unwanted = shutil.ignore_patterns("__pycache__", ".*")
    for name in ("inrushlib", "tests", "workbook/builds", "sample_traces"):
        shutil.copytree(ROOT / name, folder / name, ignore=unwanted)
    shutil.copy(ROOT / "pyproject.toml", folder)
    if "INRUSH_CACHE_DIR" in os.environ:  # what is compiled there need not be compiled again
        shutil.copytree(os.environ["INRUSH_CACHE_DIR"], folder / "cache")


def mutated(text, change):
    """The text of a file with a mutation's pieces replaced."""
    for old, new in change.pieces:
        if text.count(old) != 1:
            raise SystemExit(f"{change.name}: found {text.count(old)} times in {change.file}, not once: {old!r}")
        text = text.replace(old, new)
    return text


def pytest_in(folder, tests, longest):
    """Run tests in the copy, up to the first that fails; returns the ended process, whose output is text."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(folder),
        "INRUSH_CACHE_DIR": str(folder / "cache"),
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",  # loading them takes four times as long as most of the tests
    }
    command = [sys.executable, "-m", "pytest", "-x", "-q", "--no-header", "--tb=no", "-p", "no:cacheprovider", *tests]

    def limit():
        resource.setrlimit(resource.RLIMIT_CPU, (longest, longest))

    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, check=False, preexec_fn=limit
    )


def run_tests(folder, tests, longest):
    """Run tests in the copy; returns whether all passed, and the first one that failed."""
    done = pytest_in(folder, tests, longest)
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        return False, "the tests did not end"
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode == 0:
        return True, ""
    if done.returncode == 1 and failed:
        return False, failed[0].split(" ")[1].rpartition("/")[2]
    raise SystemExit(f"the tests could not be run:\n{done.stdout}{done.stderr}")


def processor_time():
    """Of all tests so far [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main(words):
    """Try the mutations whose name or file has one of the words; all without words."""
    wanted = [
        change for change in MUTATIONS if not words or any(word in f"{change.name} {change.file}" for word in words)
    ]
    missed = []
    with tempfile.TemporaryDirectory(prefix="mutations-") as place:
        folder = Path(place)
        copy_to(folder)
        originals = {change.file: (folder / "inrushlib" / change.file).read_text("utf-8") for change in wanted}
        texts = [mutated(originals[change.file], change) for change in wanted]
        tests = sorted({path for change in wanted for path in change.tests})
        passed, failed = run_tests(folder, tests, LONGEST_UNBROKEN)
        if not passed:
            raise SystemExit(f"a test fails without any mutation: {failed}")
        for change, text in zip(wanted, texts, strict=True):
            path = folder / "inrushlib" / change.file
            began = processor_time()
            path.write_text(text, "utf-8")
            longest = LONGEST_COMPILED if change.file.startswith(COMPILED) else LONGEST
            passed, failed = run_tests(folder, change.tests, longest)
            path.write_text(originals[change.file], "utf-8")
            if passed:
                missed.append(change.name)
            said = "NOT CAUGHT" if passed else "caught    "
            print(f"{said}  {change.name}  [{processor_time() - began:.1f} s] {failed}", flush=True)
    print(f"{len(wanted)} mutations, {len(missed)} not caught; {processor_time():.0f} s of processor time")
    print("".join(f"    {name}\n" for name in missed), end="")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
