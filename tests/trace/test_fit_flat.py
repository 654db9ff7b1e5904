"""Keys that a capture tells nothing about, or from one side only: no confident number, and no stray one either."""

import numpy as np
import pytest

from inrushlib.cli.compare import with_note
from inrushlib.errors import TraceError
from inrushlib.trace.fit.fit import fit_build
from inrushlib.trace.fit.status import Status
from inrushlib.trace.prepare import Measured

from .. import make_captures
from . import made
from .test_fit import captured

BOTH = ("bus_voltage", "lead_current")
LIMIT = "adapter.limit_current"


@pytest.mark.parametrize("factor", [0.75, 1.18, 1.3])
def test_a_limit_that_is_not_reached_gets_no_number(factor):
    # Its adapter never gives more than 7.377 A of the 8.7 A at which it would limit; 7.377 A are 97 % of 7.61 A.
    build = made.reference("1417")
    measured = made.capture(build, BOTH, window=(-0.02, 0.5), count=5000, levels=4096, zero=0.003)
    fit = fit_build(made.moved(build, (factor,), (LIMIT,)), measured, [LIMIT])
    key = fit.keys[LIMIT]
    assert (key.status, key.error) == (Status.AT_LEAST, None)
    # With a gain that is known to 3 % only, a little less may have been the limit as well.
    assert key.interval[1] is None
    assert 7.377 / 1.06 < key.interval[0] < 7.65
    if factor > 1:
        assert key.value == factor * build.get(LIMIT)
    else:
        # Such a limit would have been reached.
        assert key.value >= key.interval[0]


def test_a_run_before_the_capture_begins_tells_nothing():
    recipe, _, measured = captured("tide_panel_boots")
    build = make_captures.true_build(recipe).with_values({LIMIT: "6 A"})
    late = measured.time > measured.time[-1] - 0.02
    cut = Measured(measured.time[late], {q: v[late] for q, v in measured.curves.items()}, measured.noise, 0)
    key = fit_build(build, cut, [LIMIT]).keys[LIMIT]
    assert key.status is not Status.INTERVAL
    assert key.value == build.get(LIMIT)


def test_keys_that_are_not_told_are_saved_with_their_start():
    build = made.reference("0101")
    measured = made.capture(build, ("lead_current",), window=(0.0, 0.7), count=20000, noise=0.01)
    start = made.moved(build, (1.07, 1.18, 1.2, 0.9))
    fit = fit_build(start, measured, made.KEYS)
    for key, found in fit.keys.items():
        assert fit.build.get(key) == found.value
        if found.error is None:
            assert f"({found.note})" in with_note(fit)
    # Any channel current above some is as good: the start is one of these, to the last digit.
    current = fit.keys["pixel.channel_current"]
    assert (current.error, current.value) == (None, start.get("pixel.channel_current"))
    assert current.note.endswith("it stays at its start")


def test_a_channel_that_does_not_move_tells_nothing():
    recipe, _, measured = captured("tide_board_never_starts", ("lead_current",))
    true = make_captures.true_build(recipe)
    build = true.with_values({LIMIT: 1.1 * true.get(LIMIT)})
    flat = np.full(len(measured.time), 1.5)
    beside = Measured(
        measured.time, measured.curves | {"rail_voltage": flat}, measured.noise | {"rail_voltage": 1e-9}, 0
    )
    fit = fit_build(build, beside, [LIMIT])
    assert "rail_voltage: all samples are alike, so the fit leaves it out" in fit.tied
    assert list(fit.excess) == ["lead_current"]
    assert fit.keys[LIMIT].value == pytest.approx(true.get(LIMIT), rel=0.003)
    alone = Measured(measured.time, {"rail_voltage": flat}, {"rail_voltage": 1e-9}, 0)
    with pytest.raises(TraceError, match="rail_voltage: all samples are alike, which tells nothing about any key"):
        fit_build(build, alone, [LIMIT])
