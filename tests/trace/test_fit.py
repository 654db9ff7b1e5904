"""Fits on made captures, whose true values are known; what they say about what they cannot know."""

import sys
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from inrushlib.build import load_build
from inrushlib.errors import TraceError, UsageError
from inrushlib.startup import Cancelled, run_curves
from inrushlib.trace import read_trace
from inrushlib.trace.fit.alarm import Cause
from inrushlib.trace.fit.fit import Stage, fit_build
from inrushlib.trace.fit.status import Status
from inrushlib.trace.prepare import Measured, measure

from .. import fit_study, make_captures

LIMIT = "adapter.limit_current"


def captured(name, quantities=None):
    """Recipe, build and measured curves of a sample capture."""
    recipe = make_captures.recipe_of(make_captures.TRACES / f"{name}.csv")
    build = make_captures.start_build(recipe)
    names = {n: c["shows"] for n, c in recipe["channel"].items() if not quantities or c["shows"] in quantities}
    return recipe, build, measure(read_trace(make_captures.TRACES / f"{name}.csv"), names, build)


@cache
def fitted_in_stages(name):
    """The fit of all values that a sample capture's recipe changed, and the stages that it told."""
    recipe, build, measured = captured(name)
    told = []
    return fit_build(build, measured, list(recipe["changed"]), progress=told.append), told


def fitted(name):
    """The fit alone; of a capture that another test of the same process has asked for it is there already."""
    return fitted_in_stages(name)[0]


@pytest.mark.parametrize("path", make_captures.captures(), ids=lambda path: path.stem)
def test_true_values_of_every_sample_capture(path):
    recipe, _, _ = captured(path.stem)
    true = make_captures.true_build(recipe)
    fit = fitted(path.stem)
    assert fit.alarm == ()
    # One of the captures begins at its channel's lowest level, so noise below zero is clipped; nothing else is said.
    assert [finding.cause for finding in fit.remedied] == ([Cause.CLIPPED] if "with_switch" in path.stem else [])
    for key, found in fit.keys.items():
        assert found.value == pytest.approx(true.get(key), rel=0.03), key
        # Three standard errors: of all these values one in some 370 would be farther off by chance.
        assert abs(found.value - true.get(key)) < 3 * found.error, key
        assert found.status is Status.INTERVAL
        assert fit.build.get(key) == found.value
    for settings in recipe["channel"].values():
        # Differences are noise: nothing is left that the model does not explain.
        assert fit.excess[settings["shows"]] == pytest.approx(1.0, abs=0.15)
        assert fit.memory[settings["shows"]] < 1.5


def test_zeros_of_the_channels_are_found_along():
    recipe, _, _ = captured("tide_panel_boots")
    fit = fitted("tide_panel_boots")
    for settings in recipe["channel"].values():
        number, unit = settings["offset"].split()
        assert unit in ("mV", "mA")
        assert fit.zeros[settings["shows"]] == pytest.approx(1e-3 * float(number), abs=1e-3)


@pytest.mark.parametrize("factor", [0.4, 2.5])
def test_starts_far_away(factor):
    recipe, _, measured = captured("tide_panel_boots")
    keys = ("adapter.limit_current", "controller.boot_time")
    true = make_captures.true_build(recipe)
    away = true.with_values({key: factor * true.get(key) for key in keys})
    fit = fit_build(away, measured, keys)
    for key in keys:
        assert fit.keys[key].value == pytest.approx(true.get(key), rel=0.003)


def test_tied_resistances_are_said_to_be_tied():
    # Bus voltage and lead current show the sum of both resistances only.
    recipe, build, measured = captured("tide_board_boots")
    pair = ("adapter.output_resistance", "lead.resistance")
    fit = fit_build(build, measured, [*recipe["changed"], "lead.resistance"])
    (sentence,) = fit.tied
    assert all(key in sentence for key in pair)
    for key in pair:
        assert fit.keys[key].error is None
        assert fit.keys[key].interval is None
        assert fit.keys[key].note == sentence
        assert (fit.keys[key].status, fit.keys[key].told_together) == (Status.ONLY_TOGETHER, True)
    true = make_captures.true_build(recipe)
    total = sum(fit.keys[key].value for key in pair)
    combination = fit.keys[pair[0]].combination
    assert combination.keys == pair
    assert combination.factors == pytest.approx((1.0, 1.0), abs=0.02)
    assert combination.value == pytest.approx(total, rel=0.01)
    assert abs(total - sum(true.get(key) for key in pair)) < 3 * combination.error < 0.05 * total
    assert fit.keys["controller.boot_time"].error is not None


def test_what_the_capture_does_not_show_stays_at_its_start():
    # The adapter trips long before the program would run.
    recipe, _, measured = captured("tide_panel_latch_off")
    true = make_captures.true_build(recipe)
    fit = fit_build(true.with_values({LIMIT: "6 A"}), measured, ["controller.boot_time", "adapter.limit_current"])
    boot = fit.keys["controller.boot_time"]
    assert (boot.error, boot.value, fit.build.controller.boot_time) == (None, 0.15, 0.15)
    assert fit.alarm == ()
    # Sooner it would have been seen.
    assert (boot.status, boot.stays, boot.told_together) == (Status.AT_LEAST, True, False)
    assert boot.interval[0] < true.get("controller.boot_time")
    assert boot.interval[1] is None
    assert fit.keys["adapter.limit_current"].error is not None
    assert fit.correlation.shape == (2, 2)


def test_boot_time_is_tied_to_the_shift_where_the_start_is_not_shown():
    # From 240 ms on everything happens a fixed time after the program began to run.
    recipe, _, measured = captured("tide_board_with_switch")
    build = make_captures.true_build(recipe).with_values({LIMIT: "6 A", "controller.boot_time": "280 ms"})
    late = measured.time > -0.055
    cut = Measured(measured.time[late], {q: v[late] for q, v in measured.curves.items()}, measured.noise, 0)
    fit = fit_build(build, cut, ["controller.boot_time", "adapter.limit_current"])
    assert fit.keys["controller.boot_time"].error is None
    assert fit.keys["controller.boot_time"].status is Status.ONLY_TOGETHER
    assert "controller.boot_time and the time shift" in fit.keys["controller.boot_time"].note
    assert fit.keys["adapter.limit_current"].value == pytest.approx(5.6, rel=0.003)


def test_a_model_that_does_not_lie_on_the_capture_is_seen():
    # The capture tells nothing of this key; with an alarm that is not said.
    _, build, measured = captured("tide_panel_boots")
    wrong = build.with_values({"bus.bulk": "4700 uF", "pixel.forward_voltages": [1.7, 2.4, 2.5]})
    fit = fit_build(wrong, measured, ["pixel.channel_current"])
    assert max(fit.excess.values()) > 2
    assert fit.alarm
    key = fit.keys["pixel.channel_current"]
    assert (key.status, key.error, key.interval) == (Status.WITHHELD, None, None)
    assert key.note == "no interval, since the model does not lie on this capture"


def test_a_limit_that_is_never_reached_has_no_error():
    # The controller takes 240 mA at most; any larger limit of its regulator gives the same curves.
    recipe, _, measured = captured("tide_panel_boots")
    away = make_captures.true_build(recipe).with_values({"controller.regulator_limit": "0.15 A"})
    fit = fit_build(away, measured, ["controller.regulator_limit", "adapter.limit_current"])
    limit = fit.keys["controller.regulator_limit"]
    assert (limit.status, limit.error) == (Status.AT_LEAST, None)
    assert limit.interval == (pytest.approx(0.24, rel=0.02), None)
    assert limit.value > 0.235
    assert fit.excess["rail_voltage"] < 1.1
    assert fit.keys["adapter.limit_current"].error is not None


def test_disturbances_hardly_move_a_robust_fit():
    recipe, _, measured = captured("tide_panel_boots", ("lead_current",))
    build = make_captures.true_build(recipe).with_values({"adapter.limit_current": "6 A"})
    struck = measured.curves["lead_current"].copy()
    # Spikes anywhere, and for 12 ms something else that draws current.
    struck[np.random.default_rng(0).choice(len(struck), 40, replace=False)] = 7.5
    struck[2000:2150] += 1.5
    disturbed = replace(measured, curves={"lead_current": struck})
    fit = fit_build(build, disturbed, ["adapter.limit_current"])
    assert fit.keys["adapter.limit_current"].value == pytest.approx(5.5, rel=0.002)


def test_bootstrap_agrees_with_the_slopes_where_residuals_are_white():
    recipe, build, measured = captured("tide_board_never_starts")
    keys = list(recipe["changed"])
    slopes = fitted("tide_board_never_starts")
    drawn = fit_build(build, measured, keys, bootstrap=200, seed=1)
    assert (slopes.bootstrap, drawn.bootstrap) == (0, 200)
    for key in keys:
        assert drawn.keys[key].value == slopes.keys[key].value
        # The scatter of a standard deviation from 200 draws is 5 %.
        assert drawn.keys[key].error == pytest.approx(slopes.keys[key].error, rel=0.25)
        low, high = drawn.keys[key].interval
        assert low < drawn.keys[key].value < high


def test_true_values_lie_inside_the_stated_intervals():
    # A few repeats; `python -m tests.fit_study 100` runs the study itself.
    recipe = make_captures.recipe_of(make_captures.TRACES / "tide_board_never_starts.csv")
    away, errors, inside = fit_study.study(recipe, 3)
    # Of 9 intervals with 95 % each, fewer than 6 would happen once in some 1,500 times.
    assert inside.sum() >= 6
    assert np.all(np.abs(away.mean(axis=0)) < 3 * np.sqrt(np.mean(errors**2, axis=0) / len(away)))


def test_progress_is_told_and_a_fit_can_be_stopped():
    _, build, measured = captured("tide_board_never_starts")
    # All that differs is fitted: without, causes are sought, which takes twice as long.
    _, told = fitted_in_stages("tide_board_never_starts")
    asked = []
    assert told[:2] == [Stage.START, Stage.WIDE]
    assert told[-1] is Stage.INTERVALS
    shares = [stage.share for stage in told]
    assert shares == sorted(shares)
    assert 0 == shares[0] < shares[-1] < 1

    def stop():
        asked.append(1)
        return len(asked) > 3

    with pytest.raises(Cancelled):
        fit_build(build, measured, ["adapter.limit_current"], cancelled=stop)


def test_a_build_that_cannot_run_is_refused(monkeypatch):
    _, build, measured = captured("tide_board_never_starts")
    # The package has a function of the module's name, so the module is not reached by its dotted name.
    monkeypatch.setattr(sys.modules["inrushlib.startup.simulate"], "MOST_STEPS", 3)
    with pytest.raises(TraceError, match="the model cannot be run at or near the build's values"):
        fit_build(build, measured, ["adapter.limit_current"])


def test_all_problems_with_keys_come_in_one_message():
    build = load_build(make_captures.ROOT / "workbook/builds/tide_board_boots.toml")
    curves = run_curves(build).at(np.linspace(0, 0.1, 100))
    measured = Measured(np.linspace(0, 0.1, 100), {"bus_voltage": curves["bus_voltage"]}, {"bus_voltage": 0.01}, 0)
    with pytest.raises(UsageError) as caught:
        fit_build(build, measured, ["adapter.limit", "panel.bulk", "adapter.limit_style", "title"])
    assert len(caught.value.problems) == 4
    with pytest.raises(UsageError, match="no key is named"):
        fit_build(build, measured, [])


def test_a_key_of_a_part_that_is_not_there_is_refused():
    _, build, measured = captured("tide_board_never_starts")
    with pytest.raises(UsageError, match=r"switch\.on_resistance: not a single number in this build"):
        fit_build(build, measured, ["switch.on_resistance"])
