"""The captures that come with the workbook: made as their recipes say, and saying so."""

import numpy as np
import pytest

from inrushlib.trace import read_trace

from .. import make_captures

CAPTURES = make_captures.captures()


def test_there_are_eight_or_more_with_different_layouts_and_they_are_small():
    layouts = {make_captures.recipe_of(path)["layout"]["kind"] for path in CAPTURES}
    assert len(CAPTURES) >= 8
    assert layouts == set(make_captures.LAYOUTS)
    assert sum(path.stat().st_size for path in CAPTURES) < 3e6
    assert all(make_captures.recipe_of(path)["scope"]["samples"] <= 10_000 for path in CAPTURES)


@pytest.mark.parametrize("path", CAPTURES, ids=lambda path: path.stem)
def test_what_is_stored_is_what_the_recipe_gives_and_the_reader_gives_it_back(path):
    recipe = make_captures.recipe_of(path)
    time, channels = make_captures.capture(recipe)
    encoding = recipe["layout"].get("encoding", "utf-8")
    stored = path.read_bytes().decode(encoding).splitlines()
    made = make_captures.written(recipe, time, channels).decode(encoding).splitlines()
    assert len(stored) == len(made)
    # Another processor may round a sample to the next step of the converter.
    assert sum(a != b for a, b in zip(stored, made, strict=True)) <= len(made) // 1000
    trace = read_trace(path)
    np.testing.assert_allclose(trace.time, time, atol=1e-9)
    assert list(trace.channels) == [c.name for c in channels]
    for made in channels:
        read = trace.channels[made.name]
        over = made.over_range if "over_range" in recipe["layout"] else np.zeros_like(made.over_range)
        assert read.unit == made.unit
        assert read.gaps == over.sum()
        np.testing.assert_allclose(read.values[~over], made.values[~over], atol=0.01 * made.step)


@pytest.mark.parametrize("path", CAPTURES, ids=lambda path: path.stem)
def test_every_recipe_says_that_it_is_made(path):
    text = path.with_suffix(".recipe.toml").read_text(encoding="utf-8")
    assert "made, not measured" in text
    assert path.name in (make_captures.TRACES / "README.md").read_text(encoding="utf-8")
