"""Every benchmark still runs: once, with one round and small sizes. What it measures is not looked at."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "benchmarks"


def test_all_benchmarks_run():
    files = sorted(FOLDER.glob("bench_*.py"))
    assert len(files) >= 5
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *map(str, files), "-q", "-x", "-p", "no:cacheprovider"],
        # A worker that shares the suite out would switch the timing off.
        env={k: v for k, v in os.environ.items() if not k.startswith("PYTEST_XDIST")} | {"INRUSH_BENCH_QUICK": "1"},
        cwd=FOLDER.parent.parent,
        capture_output=True,
        text=True,
        timeout=900,
        check=False,
    )
    assert done.returncode == pytest.ExitCode.OK, done.stdout[-4000:] + done.stderr[-2000:]
    assert "skipped" not in done.stdout
