"""The laws for single numbers as the steady panel calls them: slopes against differences, symmetry, on-resistance."""

from typing import Any

import numpy as np
import pytest

from inrushlib.laws.adapter import adapter_current
from inrushlib.laws.switch import body, channel, gain

STEP = 1e-6


def central(function: Any, x: Any) -> Any:
    return (function(x + STEP) - function(x - STEP)) / (2 * STEP)


@pytest.mark.parametrize("limit_slope", [0.0, 0.7])
def test_adapter_slope(limit_slope: float) -> None:
    def law(volt: float) -> tuple[float, float, float]:
        return adapter_current(5.1, volt, 0.03, 2.0 + limit_slope * volt, limit_slope, 0.02)

    volts = np.concatenate([np.linspace(0.0, 5.2, 53), np.linspace(4.9, 5.15, 51)])
    for volt in volts:
        assert law(volt)[1] == pytest.approx(central(lambda v: law(v)[0], volt), rel=1e-5, abs=1e-6)


def test_switch_slopes_and_symmetry() -> None:
    def through(at: np.ndarray) -> Any:
        bus, root, gate = at
        return channel(bus, gate, root, 0.9, 6.9)[0] - body(bus, root)[0]

    generator = np.random.default_rng(7)
    for at in generator.uniform(0.0, 5.5, (50, 3)):
        bus, root, gate = at
        _, to_bus, to_gate, to_root = channel(bus, gate, root, 0.9, 6.9)
        slope = body(bus, root)[1]
        slopes = (to_bus + slope, to_root - slope, to_gate)
        for place in range(3):
            shift = np.zeros(3)
            shift[place] = STEP
            difference = (through(at + shift) - through(at - shift)) / (2 * STEP)
            assert slopes[place] == pytest.approx(difference, abs=1e-4)
    assert through(np.array([4.0, 4.0, 1.0])) == pytest.approx(0.0, abs=1e-9)


def test_switch_is_its_resistance_when_fully_on() -> None:
    # on_resistance is specified at a small drop and a drive of on_resistance_drive.
    through = channel(4.5, 0.0, 4.499, 0.9, gain(40e-3, 4.5, 0.9))[0]
    assert 1e-3 / through == pytest.approx(40e-3, rel=1e-3)
