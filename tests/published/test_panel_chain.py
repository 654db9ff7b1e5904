"""The network of the steady panel against closed forms of a chain, with a substitute load for the pixel.

The forms are textbook results for N equal loads at equal pitch (derived; the resistive one is the standard
ladder solution in hyperbolic functions).
"""

import numpy as np
import pytest

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.network import Rail, make_rail
from inrushlib.panel.newton import imbalance
from inrushlib.panel.settle import settle

PITCH = 6.2e-3


class IdealSource:
    """One node held at a voltage behind a resistance that is too small to matter."""

    size = 1

    def __init__(self, voltage: float) -> None:
        self.voltage = voltage

    def evaluate(self, voltage: FloatArray) -> tuple[FloatArray, FloatArray]:
        return (voltage - self.voltage) * 1e12, np.array([[1e12]])


def constant_current(amperes: float):  # type: ignore[no-untyped-def]
    return lambda v: (np.full_like(v, amperes), np.zeros_like(v))


def conductance(siemens: float):  # type: ignore[no-untyped-def]
    return lambda v: (siemens * v, np.full_like(v, siemens))


def solve(rail: Rail, load, volts: float = 5.0):  # type: ignore[no-untyped-def]
    settled = settle(rail, IdealSource(volts), load, volts)
    assert settled.front[0] == pytest.approx(volts, abs=1e-10)
    surplus, fed = imbalance(rail, settled.front[0], settled.pixels, load(settled.pixels)[0])
    assert np.abs(surplus).max() < 1e-9  # Kirchhoff's current law at every pixel
    assert fed == pytest.approx(load(settled.pixels)[0].sum(), rel=1e-9)
    return settled.pixels, fed


@pytest.mark.parametrize("count", [1, 2, 10, 60, 299])
def test_constant_current_one_feed(count: int) -> None:
    # Drop r I N (N + 1) / 2, the pitch from the source to the first pixel included.
    current = 0.2 / count
    rail = make_rail(np.full(count - 1, PITCH), [0], [PITCH])
    volts, _ = solve(rail, constant_current(current))
    assert 5.0 - volts[-1] == pytest.approx(PITCH * current * count * (count + 1) / 2, abs=1e-9)


@pytest.mark.parametrize("count", [2, 3, 10, 11, 60, 299])
def test_constant_current_fed_at_both_ends(count: int) -> None:
    # Worst drop r I N (N + 2) / 8 for even N, r I (N + 1)^2 / 8 for odd N: a quarter of the one-feed drop.
    current = 0.2 / count
    rail = make_rail(np.full(count - 1, PITCH), [0, count - 1], [PITCH, PITCH])
    volts, _ = solve(rail, constant_current(current))
    factor = count * (count + 2) / 8 if count % 2 == 0 else (count + 1) ** 2 / 8
    assert 5.0 - volts.min() == pytest.approx(PITCH * current * factor, abs=1e-9)
    assert np.abs(volts - volts[::-1]).max() < 1e-12


def test_sixty_pixels_at_36_milliamperes() -> None:
    # The same forms with numbers: 0.4085 V from one end, 0.1038 V from both.
    load = constant_current(36e-3)
    one, _ = solve(make_rail(np.full(59, PITCH), [0], [PITCH]), load)
    two, _ = solve(make_rail(np.full(59, PITCH), [0, 59], [PITCH, PITCH]), load)
    assert 5.0 - one.min() == pytest.approx(0.4085, abs=5e-5)
    assert 5.0 - two.min() == pytest.approx(0.1038, abs=5e-5)


@pytest.mark.parametrize(
    ("count", "pitch", "siemens", "last", "into"),
    [(60, 6.2e-3, 7.2e-3, 4.61762, 2.04866), (10, 50e-3, 0.2, 3.12257, 7.32613)],
)
def test_resistive_ladder(count: int, pitch: float, siemens: float, last: float, into: float) -> None:
    # V_N / V_0 = cosh(theta / 2) / cosh((N + 1/2) theta) with 2 sinh(theta / 2) = sqrt(r g).
    rail = make_rail(np.full(count - 1, pitch), [0], [pitch])
    volts, current = solve(rail, conductance(siemens))
    theta = 2 * np.arcsinh(np.sqrt(pitch * siemens) / 2)
    position = count + 0.5 - np.arange(1, count + 1)
    assert volts == pytest.approx(5 * np.cosh(position * theta) / np.cosh((count + 0.5) * theta), abs=1e-9)
    assert volts[-1] == pytest.approx(last, abs=5e-6)
    assert current == pytest.approx(into, abs=5e-6)


def test_ladder_through_the_sparse_solver_is_the_same() -> None:
    # A chain whose last segment is half chain, half link: same network, other linear solver.
    count = 60
    plain = make_rail(np.full(count - 1, PITCH), [0], [PITCH])
    segments = np.full(count - 1, PITCH)
    segments[-1] = 2 * PITCH
    linked = make_rail(segments, [0], [PITCH], [(count - 2, count - 1, 2 * PITCH)])
    chain, _ = solve(plain, conductance(7.2e-3))
    sparse, _ = solve(linked, conductance(7.2e-3))
    assert sparse == pytest.approx(chain, abs=1e-9)


@pytest.mark.parametrize(("milliamperes", "count"), [(23.06, 149), (38.9, 115)])
def test_length_for_a_drop_to_the_fading_knee(milliamperes: float, count: int) -> None:
    # A hobbyist's published bench measurement (common practice, no source): 6.2 mohm pitch, a knee at 3.4 V,
    # make 149 pixels of 23.06 mA, or 115 of 38.9 mA, the length for a drop of 1.6 V.
    def drop(pixels: int) -> float:
        rail = make_rail(np.full(pixels - 1, PITCH), [0], [PITCH])
        return float(5.0 - solve(rail, constant_current(milliamperes * 1e-3))[0].min())

    assert abs(drop(count) - 1.6) < abs(drop(count - 1) - 1.6)
    assert abs(drop(count) - 1.6) < abs(drop(count + 1) - 1.6)
