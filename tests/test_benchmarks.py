"""Every benchmark still runs: once, with one round and small sizes. What it measures is not looked at."""

import os
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "benchmarks"


QUICKLY = {"INRUSH_BENCH_QUICK": "1"}


def test_the_table_compares_every_line():
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks"],
        env=os.environ | QUICKLY,
        cwd=FOLDER.parent.parent,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    head, _, *rows = [line.strip("| ").split(" | ") for line in done.stdout.splitlines() if line.startswith("|")]
    assert len(rows) >= 9
    assert all(len(row) == len(head) and float(row[-1]) > 0 for row in rows)
    assert all(f"{name} {version(name)}" in done.stdout for name in ("numpy", "scipy", "numba"))


def test_all_benchmarks_run():
    files = sorted(FOLDER.glob("bench_*.py"))
    assert len(files) >= 4
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *map(str, files), "-q", "-x", "-p", "no:cacheprovider"],
        # A worker that shares the suite out would switch the timing off.
        env={k: v for k, v in os.environ.items() if not k.startswith("PYTEST_XDIST")} | QUICKLY,
        cwd=FOLDER.parent.parent,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == pytest.ExitCode.OK, done.stdout[-4000:] + done.stderr[-2000:]
    assert "skipped" not in done.stdout
