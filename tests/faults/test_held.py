"""What stays held: after many moves of a slider, and after a long capture came through the browser."""

import re
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import pytest

from .slider_moves import Held, grown

ROOT = Path(__file__).resolve().parents[2]


def run(module, *words):
    """Run a command of this folder in a process of its own; what it printed."""
    command = [sys.executable, "-m", f"tests.faults.{module}", *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=600)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.mark.parametrize("name", [each.name for each in fields(Held)])
def test_what_grows_is_named(name):
    before = Held(*(len(fields(Held)) * [0]))
    assert grown(before, before) == []
    assert grown(before, replace(before, **{name: 1 << 30})) == [name]


def test_moving_a_slider_holds_nothing_more():
    assert "30 moves: nothing has grown" in run("slider_moves", "30")


@pytest.mark.skipif(sys.platform == "win32", reason="needs the resource module")
def test_a_long_capture_is_taken_in_bounded_memory():
    said = run("large_upload", "300000")
    size, before, after = (float(found) for found in re.findall(r"(\d+) MB", said))
    assert "taken as it is" in said
    assert after - before < 200 + 8 * size
