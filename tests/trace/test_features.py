"""Figures of one curve, against curves whose figures are known in closed form."""

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace.features import curve_figures

TIME = np.linspace(-0.02, 0.48, 5001)
RELEASE = 0.262


def start_up(noise=0.0):
    """A made start: bus and current with an inrush peak, a limit plateau, a release."""
    rng = np.random.default_rng(4)
    on, off = TIME >= 0, TIME >= RELEASE
    lead = np.where(off, 0.7, np.where(on, 6.0 + 5.0 * np.exp(-np.maximum(TIME, 0) / 1e-3), 0.0))
    bus = np.where(off, 5.0, np.where(on, 2.8 * (1 - np.exp(-np.maximum(TIME, 0) / 2e-3)), 0.0))
    return bus + rng.normal(0.0, noise, len(TIME)), lead + rng.normal(0.0, noise, len(TIME))


@pytest.mark.parametrize("noise", [0.0, 0.04])
def test_plateau_release_and_peak_of_a_current(noise):
    _, lead = start_up(noise)
    found = curve_figures(TIME, lead, current=True)
    assert found.peak == pytest.approx(11.0, abs=4 * noise + 1e-9)
    assert found.peak_at == pytest.approx(0.0, abs=3e-4)
    assert found.plateau == pytest.approx(6.0, abs=0.02)
    assert found.release_at == pytest.approx(RELEASE, abs=1e-3)


@pytest.mark.parametrize("noise", [0.0, 0.04])
def test_release_of_a_voltage_is_not_the_switching_on(noise):
    bus, _ = start_up(noise)
    found = curve_figures(TIME, bus, current=False)
    assert found.release_at == pytest.approx(RELEASE, abs=1e-3)
    assert found.plateau == pytest.approx(2.8, abs=0.02)
    assert found.charge is None
    assert found.i2t is None


def test_charge_and_i2t_of_a_decaying_current():
    # I exp(-t / T) over many T: charge I T, I2t I^2 T / 2.
    time = np.linspace(0.0, 0.02, 20001)
    found = curve_figures(time, 8.0 * np.exp(-time / 1e-3), current=True)
    assert found.charge == pytest.approx(8e-3, rel=1e-5)
    assert found.i2t == pytest.approx(0.032, rel=1e-5)


def test_gaps_are_bridged_by_straight_lines():
    time = np.linspace(0.0, 1.0, 101)
    values = 3.0 + 2.0 * time
    values[40:60] = np.nan
    assert curve_figures(time, values, current=True).charge == pytest.approx(4.0)


def test_nothing_is_released_where_nothing_changes():
    found = curve_figures(TIME, np.full(len(TIME), 5.0), current=False)
    assert found.release_at is None
    assert found.plateau == 5.0
    assert curve_figures(TIME, np.where(TIME >= 0, 5.0, 0.0), current=False).release_at is None


def test_a_curve_of_gaps_is_refused():
    with pytest.raises(TraceError, match="every sample is a gap"):
        curve_figures(TIME, np.full(len(TIME), np.nan), current=False)
