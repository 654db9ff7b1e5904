"""The stored captures are what their recipes give, and say that they are made."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from inrushlib.trace import read_trace

TESTS = Path(__file__).resolve().parents[1]
spec = importlib.util.spec_from_file_location("make_captures_again", TESTS / "make_captures.py")
make_captures = importlib.util.module_from_spec(spec)
spec.loader.exec_module(make_captures)


@pytest.mark.parametrize("path", make_captures.captures(), ids=lambda path: path.name)
def test_stored_capture_is_what_the_recipe_gives(path):
    recipe = make_captures.recipe_of(path)
    assert "nothing here was measured" in recipe["made"]
    assert "made, not measured" in path.with_suffix(".recipe.toml").read_text(encoding="utf-8")
    stored, again = read_trace(path), read_trace(make_captures.file_of(recipe))
    assert stored.time == pytest.approx(again.time, abs=1e-6)
    for name, channel in again.channels.items():
        kept, fresh = stored.channels[name].values, channel.values
        assert np.array_equal(np.isnan(kept), np.isnan(fresh))
        levels = np.unique(fresh[np.isfinite(fresh)])
        step = np.diff(levels).min()
        away = np.abs(kept - fresh)[np.isfinite(fresh)]
        # Rounding may put a sample on the next step on another machine.
        assert away.max() < 1.01 * step
        assert np.mean(away > 0.5 * step) < 0.002
        assert len(levels) <= make_captures.STEPS


def test_every_capture_has_a_recipe():
    assert {path.name for path in make_captures.TRACES.glob("*.csv")} == {p.name for p in make_captures.captures()}
