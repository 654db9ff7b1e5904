"""The laws on arrays: slopes against differences, limits, and the compiled model's own pixel."""

from typing import Any

import numpy as np
import pytest

from inrushlib.laws import arrays as laws
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


def test_no_overflow_far_out() -> None:
    with np.errstate(all="raise", under="ignore"):
        value, slope = laws.soft(np.array([-1e4, 1e4]), 1e-3)
        step, _ = laws.rise(np.array([-1e4, 1e4]), 1e-3)
    assert value.tolist() == [0.0, 1e4]
    assert slope.tolist() == [0.0, 1.0]
    assert step.tolist() == [0.0, 1.0]
