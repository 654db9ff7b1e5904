"""What pages say of how sure something is, each figure against the result's own."""

from types import SimpleNamespace as Made

import matplotlib.pyplot as plt
import numpy as np
import pytest

from inrushlib.answers.measured import _before_and_after
from inrushlib.answers.sure import bands_answer
from inrushlib.odds import Estimate
from inrushlib.odds.bands import CURVES, bands_of
from inrushlib.plots import Scheme
from inrushlib.startup.verdict import Verdict

from .reading import told


@pytest.fixture
def bands(start):
    """Eleven curves a kind, which end at 0, 1, ... 10 in units of their own place."""
    time = np.linspace(0.0, 0.25, 6)
    spread = {
        curve: bands_of(time, (place + 1) * np.arange(11.0)[:, None] * time / 0.25)
        for place, curve in enumerate(CURVES)
    }
    return Made(start=start, bands=spread, nominal={curve: spread[curve].middle for curve in CURVES}, runs=11, failed=0)


def test_where_nine_in_ten_end_on_the_bus(bands):
    answer = bands_answer(bands)
    verdict, *pictures, note = answer.blocks
    assert told(verdict.sentences[0]) == [
        "At ", (0.25, "s"), " nine in ten are between ", (0.5, "V"), " and ", (9.5, "V"), " on the bus.",
    ]  # fmt: skip
    assert len(verdict.sentences) == 1
    assert answer.title == bands.start.build.title
    assert (answer.good, verdict.good) == (bands.start.headline.good,) * 2
    assert len(pictures) == len(CURVES)
    assert told(note.words)[0].endswith("From 11 starts of the model.")
    bands.failed = 2
    words = told(bands_answer(bands).blocks[0].sentences[1])
    assert words == ["2 of 11 runs could not be finished; they are left out."]


def test_each_curve_is_drawn_with_its_own_bands_over_its_own_unit(bands):
    _, *pictures, _ = bands_answer(bands).blocks
    for place, (picture, curve) in enumerate(zip(pictures, CURVES, strict=True)):
        figure, axes = plt.subplots()
        picture.draw(axes, Scheme.LIGHT)
        assert picture.about.startswith(f"The {curve.words} over time")
        assert axes.get_ylabel() == curve.label
        ends = sorted(line.get_ydata()[-1] for line in axes.lines if len(line.get_ydata()) > 2)
        assert ends[0] == ends[-1] == 5.0 * (place + 1)
        plt.close(figure)


def odds(share):
    """Odds of one verdict, of 200 runs."""
    return Made(odds={Verdict.BOOTS: Estimate(share, share - 0.1, share + 0.1)}, failed=0, runs=200)


def test_odds_before_and_after_side_by_side():
    before, after = odds(0.5), odds(0.75)
    table = _before_and_after(Made(before=before, after=after))
    assert table.rows == (("boots", "50 %", "40 % to 60 %", "75 %", "65 % to 85 %"),)
    assert table.numbers == (1, 2, 3, 4)
    for one, other, cells in (
        (4, 0, ("2 %", "4 runs", "0 %", "0 runs")),
        (0, 2, ("0 %", "0 runs", "1 %", "2 runs")),
    ):
        before.failed, after.failed = one, other
        assert _before_and_after(Made(before=before, after=after)).rows[1] == ("could not be finished", *cells)
