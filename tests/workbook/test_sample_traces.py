"""The stored captures are what their recipes give, and say that they are made."""

import importlib.util
import tomllib
from pathlib import Path

import numpy as np
import pytest

from inrushlib.trace import read_trace

TESTS = Path(__file__).resolve().parents[1]
spec = importlib.util.spec_from_file_location("make_captures", TESTS / "make_captures.py")
make_captures = importlib.util.module_from_spec(spec)
spec.loader.exec_module(make_captures)


@pytest.mark.parametrize("path", sorted(make_captures.TRACES.glob("*.recipe.toml")), ids=lambda path: path.name)
def test_stored_capture_is_what_the_recipe_gives(path):
    assert "made" in tomllib.loads(path.read_text())
    assert "made, not measured" in path.read_text()
    stored = read_trace(make_captures.csv_of(path))
    time, channels = make_captures.capture(path)
    assert stored.time == pytest.approx(time, abs=1e-6)
    for label, values in channels.items():
        kept = stored.channels[label.split(" ")[0]].values
        step = np.diff(np.unique(values)).min()
        # Rounding may put a sample on the next step on another machine.
        assert np.abs(kept - values).max() < 1.01 * step
        assert np.mean(np.abs(kept - values) > 0.5 * step) < 0.002
        assert len(np.unique(values)) <= 256


def test_every_capture_has_a_recipe():
    captures = {path.name for path in make_captures.TRACES.glob("*.csv")}
    assert captures == {make_captures.csv_of(path).name for path in make_captures.TRACES.glob("*.recipe.toml")}
