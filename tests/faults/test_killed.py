"""Writers that are ended at random instants: what was told to be written is there, the next whole or not at all."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs fork and signals")


def test_what_was_written_stays_whole_and_the_litter_goes():
    # In a process of its own, which has no threads that a fork would lose.
    command = [sys.executable, "-m", "tests.faults.killed_writers", "40"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode == 0, done.stdout + done.stderr
    count, written, _, wrong = (int(found) for found in re.findall(r"\d+(?= w| p| f)", done.stdout.splitlines()[0]))
    assert (count, wrong) == (40, 0)
    assert written >= 40
