"""A desk with builds so small that every command answers quickly, and a capture of one."""

from pathlib import Path

import numpy as np
import pytest

from inrushlib.build import parse_build
from inrushlib.startup import simulate
from tests.faults.writing import STUCK, TINY


@pytest.fixture(scope="session")
def capture():
    """The tiny build's start as a file of 400 rows."""
    times = np.arange(400) * 1e-4
    curves = simulate(parse_build(TINY)).at(times)
    rows = zip(times, curves["lead_current"], curves["bus_voltage"], strict=True)
    lines = [f"{t:.4f},{i:.4f},{v:.3f}" for t, i, v in rows]
    return "\n".join(["time [s],lead_current [A],bus_voltage [V]", *lines, ""])


@pytest.fixture
def desk(tmp_path, monkeypatch, capture):
    """A folder with builds and capture, in which commands run."""
    monkeypatch.chdir(tmp_path)
    for name, text in (("tiny.toml", TINY), ("stuck.toml", STUCK), ("capture.csv", capture)):
        Path(name).write_text(text)
    return tmp_path
