"""The time shift between a capture and the model."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import lfilter

from inrushlib.quantities import parse_quantity
from inrushlib.startup import run_curves
from inrushlib.trace import read_trace
from inrushlib.trace.align import Coupling, find_shift, line_up
from inrushlib.trace.averages import Integrals, stretches
from inrushlib.trace.prepare import Measured, measure

from .. import make_captures


@pytest.fixture(scope="module", params=make_captures.captures(), ids=lambda path: path.stem)
def sample(request):
    """A capture, the run that it was made from, and the shift between them."""
    recipe = make_captures.recipe_of(request.param)
    build = make_captures.true_build(recipe)
    names = {name: settings["shows"] for name, settings in recipe["channel"].items()}
    return recipe, measure(read_trace(request.param), names, build), run_curves(build, tolerance=1e-6)


def scatter_of_shift(measured, run):
    """Least standard deviation of a shift from noise, and from edges that fall anywhere between two samples."""
    averages = stretches(measured, len(measured.time))
    slopes = Integrals(run, averages.quantities).slopes(averages.edges, find_shift(measured, run))
    information = 0.0
    for i, values in enumerate(measured.curves.values()):
        good = averages.good[:, i]
        edge = np.abs(np.gradient(values))[good] / np.sqrt(12.0)
        information += np.nansum(slopes[good, i] ** 2 / (measured.noise[averages.quantities[i]] ** 2 + edge**2))
    return 1.0 / np.sqrt(information)


def test_shift_within_a_tenth_of_a_sample_interval_and_noise(sample):
    recipe, measured, run = sample
    scope = recipe["scope"]
    interval, trigger = parse_quantity(scope["interval"], "s"), parse_quantity(scope["trigger_at"], "s")
    # A low pass of first order is late by its time constant.
    late = 1.0 / (2 * np.pi * parse_quantity(scope["bandwidth"], "Hz"))
    noise = scatter_of_shift(measured, run)
    assert noise < 0.2 * interval
    assert abs(find_shift(measured, run) - (trigger - late)) < 0.1 * interval + 2 * noise


@pytest.mark.parametrize("quantity", ["bus_voltage", "lead_current", "rail_voltage", "section_3_voltage"])
@pytest.mark.parametrize("shift", [0.0, 0.0123456, -0.31])
def test_a_clean_curve_alone_is_enough(quantity, shift):
    build = make_captures.start_build(make_captures.recipe_of(make_captures.TRACES / "tide_board_with_switch.csv"))
    run = run_curves(build)
    # 5,000 samples 100 us apart; where the shift asks for it they begin before the run or end after it.
    time = 0.2 + 1e-4 * np.arange(5000) - shift
    measured = Measured(time, {quantity: run.at(time + shift)[quantity]}, {quantity: 1e-6}, 0)
    assert abs(find_shift(measured, run) - shift) < 1e-5


def test_gaps_do_not_move_it():
    build = make_captures.start_build(make_captures.recipe_of(make_captures.TRACES / "tide_panel_boots.csv"))
    run = run_curves(build)
    time = 1e-4 * np.arange(5000) - 0.02
    values = run.at(time + 0.01)["lead_current"]
    values[np.random.default_rng(1).random(5000) < 0.2] = np.nan
    values[1000:1400] = np.nan
    measured = Measured(time, {"lead_current": values}, {"lead_current": 1e-6}, 1)
    # A fifth of an interval: where samples of an edge are missing it is told less well.
    assert abs(find_shift(measured, run) - 0.01) < 2e-5


@pytest.fixture(scope="module")
def laid():
    build = make_captures.start_build(make_captures.recipe_of(make_captures.TRACES / "tide_panel_boots.csv"))
    run = run_curves(build)
    time = 1e-4 * np.arange(5500) - 0.02
    noise = np.random.default_rng(2).normal(0.0, 0.02, (2, len(time)))
    names = ("bus_voltage", "lead_current")
    curves = {name: run.at(time + 0.01)[name] + n for name, n in zip(names, noise, strict=True)}
    return run, Measured(time, curves, dict.fromkeys(names, 0.02), 0)


def test_lining_up_says_how_sure_it_is(laid):
    run, measured = laid
    found = line_up(measured, run)
    assert abs(found.shift - 0.01) < max(5 * found.error, 2e-5)
    assert 0 < found.error < 1e-4
    assert (found.rival, found.unlike, found.doubts) == (None, False, ())


def test_a_channel_turned_round_is_found_and_lined_up_turned_back(laid):
    run, measured = laid
    turned = replace(measured, curves=measured.curves | {"lead_current": -measured.curves["lead_current"]})
    found = line_up(turned, run)
    assert found.couplings == {"lead_current": Coupling.TURNED}
    assert found.shift == pytest.approx(0.01, abs=2e-5)
    assert "lead_current is turned round" in found.doubts


def test_an_ac_coupled_channel_is_said(laid):
    run, measured = laid
    level = measured.curves["lead_current"]
    coupled = replace(measured, curves={"lead_current": level - level.mean()})
    found = line_up(coupled, run)
    assert found.couplings == {"lead_current": Coupling.AC}
    assert "AC-coupled" in found.doubts[0]
    # Its level is lost, its edges are not.
    assert found.shift == pytest.approx(0.01, abs=2e-5)
    assert find_shift(coupled, run) == pytest.approx(0.01, abs=2e-5)
    assert not found.unlike


def test_a_high_level_without_its_mean_is_no_channel_turned_round(laid):
    # Mostly a little above zero and far below it before power-on, as a voltage turned round is, too.
    run, measured = laid
    level = measured.curves["bus_voltage"]
    found = line_up(replace(measured, curves={"bus_voltage": level - level.mean()}), run)
    assert found.couplings == {"bus_voltage": Coupling.AC}
    assert found.shift == pytest.approx(0.01, abs=2e-5)


@pytest.mark.parametrize("time_constant", [0.1, 0.02])
@pytest.mark.parametrize("quantity", ["bus_voltage", "lead_current"])
def test_ac_coupling_that_takes_plateaus_away_is_off_by_little_or_said(laid, quantity, time_constant):
    run, measured = laid
    values = measured.curves[quantity]
    keep = np.exp(-1e-4 / time_constant)
    passed = lfilter([1.0, -1.0], [1.0, -keep], values, zi=[-values[0]])[0]
    found = line_up(replace(measured, curves={quantity: passed}), run)
    assert found.doubts
    assert found.couplings or found.unlike or abs(found.shift - 0.01) < 1e-3


def test_edges_that_look_alike_give_a_rival():
    # An adapter that tries again and again: a capture of one trial may be of any.
    run = run_curves(make_captures.start_build(make_captures.recipe_of(make_captures.TRACES / "tide_board_hiccup.csv")))
    whole = run.at(np.linspace(0.0, run.build.run.duration, 20001))["lead_current"]
    assert whole.max() > 1.0
    time = 2e-5 * np.arange(3000)
    found = line_up(
        Measured(time, {"lead_current": run.at(time - 0.005)["lead_current"]}, {"lead_current": 0.01}, 0), run
    )
    assert found.rival is not None
    assert "almost as well" in found.doubts[0]


def test_a_ramp_that_is_early_against_the_release_is_said():
    # The capture's board boots 11 ms later than the build says, so only one of its edges can lie on the model.
    recipe = make_captures.recipe_of(make_captures.TRACES / "tide_board_with_switch.csv")
    build = make_captures.start_build(recipe)
    measured = measure(
        read_trace(make_captures.TRACES / "tide_board_with_switch.csv"),
        {name: name for name in ("bus_voltage", "lead_current")},
        build,
    )
    found = line_up(measured, run_curves(build))
    (early,) = found.apart
    off = parse_quantity(recipe["changed"]["controller.boot_time"], "s") - build.controller.boot_time
    assert early.quantity == "bus_voltage"
    assert early.lag == pytest.approx(-off, abs=1e-3)
    assert "earlier than the model does" in found.doubts[0]
    true = run_curves(make_captures.true_build(recipe))
    assert line_up(measured, true).apart == ()


def test_what_does_not_look_like_the_model_is_said(laid):
    run, _ = laid
    time = 1e-4 * np.arange(5500)
    found = line_up(Measured(time, {"lead_current": 2 + np.sin(90 * time)}, {"lead_current": 0.01}, 0), run)
    assert found.unlike
    assert "guess" in found.doubts[0]
