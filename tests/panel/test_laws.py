"""The laws on arrays: slopes against differences, limits, and the compiled model's own pixel."""

from typing import Any

import numpy as np
import pytest

from inrushlib.panel import laws
from inrushlib.parts import Pixel

VOLTS = np.linspace(0.05, 6.0, 400)
PART = Pixel()
STEP = 1e-6


def central(function: Any, x: Any) -> Any:
    return (function(x + STEP) - function(x - STEP)) / (2 * STEP)


@pytest.mark.parametrize("duty", [(1, 1, 1), (0.3, 0, 0.7), (0, 0, 0)])
def test_pixel_slope(duty: tuple[float, ...]) -> None:
    column = np.array(duty, dtype=float)[:, None]
    _, slope = laws.pixel_current(VOLTS, column, PART)
    expected = central(lambda v: laws.pixel_current(v, column, PART)[0], VOLTS)
    assert slope == pytest.approx(expected, abs=1e-8)
    assert np.all(slope >= 0.0)


def test_pixel_by_pixel_colours_equal_one_colour() -> None:
    # More pixels than one block holds, so that the blocks' seams are crossed.
    volts = np.linspace(0.0, 6.0, 2 * laws.BLOCK + 17)
    one = laws.pixel_current(volts, np.array([[0.2], [0.0], [0.9]]), PART)
    each = laws.pixel_current(volts, np.tile([[0.2], [0.0], [0.9]], len(volts)), PART)
    assert each[0] == pytest.approx(one[0], abs=1e-18)
    assert each[1] == pytest.approx(one[1], abs=1e-18)


def test_pixel_against_the_compiled_model() -> None:
    compiled = pytest.importorskip("inrushlib.model.laws")
    duty = (0.8, 0.5, 0.1)
    current, slope = laws.pixel_current(VOLTS, np.array(duty)[:, None], PART)
    for volt, amperes, siemens in zip(VOLTS, current, slope, strict=True):
        expected = compiled.pixel(
            volt, *duty, *PART.forward_voltages, PART.channel_resistance, PART.channel_current,
            PART.quiescent_current, PART.wake_voltage,
        )  # fmt: skip
        assert amperes == pytest.approx(expected[0], abs=1e-15)
        assert siemens == pytest.approx(expected[1], abs=1e-12)


@pytest.mark.parametrize("limit_slope", [0.0, 0.7])
def test_adapter_slope(limit_slope: float) -> None:
    def current(volt: Any) -> Any:
        return laws.adapter_current(volt, 5.1, 0.03, 2.0 + limit_slope * volt, limit_slope, 0.02)[0]

    volts = np.concatenate([np.linspace(0.0, 5.2, 53), np.linspace(4.9, 5.15, 51)])
    slope = laws.adapter_current(volts, 5.1, 0.03, 2.0 + limit_slope * volts, limit_slope, 0.02)[1]
    assert slope == pytest.approx(central(current, volts), rel=1e-5, abs=1e-6)


def test_switch_slopes_and_symmetry() -> None:
    def through(at: np.ndarray) -> Any:
        (channel, body), _ = laws.switch_current(*at, 0.9, 6.9)
        return channel - body

    generator = np.random.default_rng(7)
    for at in generator.uniform(0.0, 5.5, (50, 3)):
        slopes = laws.switch_current(*at, 0.9, 6.9)[1]
        for place in range(3):
            shift = np.zeros(3)
            shift[place] = STEP
            difference = (through(at + shift) - through(at - shift)) / (2 * STEP)
            assert slopes[place] == pytest.approx(difference, abs=1e-4)
    assert through(np.array([4.0, 4.0, 1.0])) == pytest.approx(0.0, abs=1e-9)


def test_switch_is_its_resistance_when_fully_on() -> None:
    # on_resistance is specified at a small drop and a drive of on_resistance_drive.
    beta = 1.0 / (40e-3 * (4.5 - 0.9))
    (channel, _), _ = laws.switch_current(4.5, 4.499, 0.0, 0.9, beta)
    assert 1e-3 / channel == pytest.approx(40e-3, rel=1e-3)


def test_no_overflow_far_out() -> None:
    with np.errstate(all="raise", under="ignore"):
        value, slope = laws.soft(np.array([-1e4, 1e4]), 1e-3)
        step, _ = laws.rise(np.array([-1e4, 1e4]), 1e-3)
    assert value.tolist() == [0.0, 1e4]
    assert slope.tolist() == [0.0, 1.0]
    assert step.tolist() == [0.0, 1.0]
