"""Conditioning: factors, polarity, offset, skew, pairs, and thinning for drawing."""

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace import Channel, Trace
from inrushlib.trace.condition import (
    middle_of_pairs,
    offset_before,
    through_shunt,
    turned,
    with_factor,
    without_offset,
    without_skew,
)


def capture(values: np.ndarray, unit: str = "V", *, paired: bool = False) -> Trace:
    time = np.repeat(np.arange((len(values) + 1) // 2), 2)[: len(values)] if paired else np.arange(len(values))
    other = Channel(np.zeros(len(values)), "V")
    return Trace(
        time=time * 1e-6, channels={"x": Channel(values, unit, int(np.isnan(values).sum())), "y": other}, paired=paired
    )


def test_factor_shunt_and_polarity_leave_the_old_trace_alone() -> None:
    trace = capture(np.array([0.1, np.nan, -0.2]))
    np.testing.assert_allclose(with_factor(trace, "x", 10.0).channels["x"].values, [1.0, np.nan, -2.0], rtol=1e-15)
    np.testing.assert_allclose(turned(trace, "x").channels["x"].values, [-0.1, np.nan, 0.2], rtol=1e-15)
    current = through_shunt(trace, "x", 0.05, gain=20.0).channels["x"]
    np.testing.assert_allclose(current.values, [0.1, np.nan, -0.2], rtol=1e-15)
    assert (current.unit, current.gaps) == ("A", 1)
    np.testing.assert_array_equal(trace.channels["x"].values, [0.1, np.nan, -0.2])


def test_offset_and_noise_do_not_follow_a_spike() -> None:
    rng = np.random.default_rng(5)
    values = 0.3 + rng.normal(0.0, 0.02, 2000)
    values[[10, 400]] = 50.0
    values[1500:] += 3.0
    trace = capture(values)
    offset, noise = offset_before(trace, "x", 1500e-6)
    # The median of 1500 Gaussian samples scatters by 1.25 sigma / sqrt(n): 0.65 mV; three of those.
    assert abs(offset - 0.3) < 2e-3
    assert abs(noise - 0.02) < 2e-3
    shifted = without_offset(trace, "x", 1500e-6, resting=0.1)
    assert abs(np.median(shifted.channels["x"].values[:1500]) - 0.1) < 1e-12


def test_offset_needs_samples_before_the_event() -> None:
    with pytest.raises(TraceError, match="x has 3 samples before 3e-06 s; 8 are needed"):
        offset_before(capture(np.arange(20.0)), "x", 3e-6)
    with pytest.raises(TraceError, match="x has 0 samples before"):
        offset_before(capture(np.full(20, np.nan)), "x", 15e-6)


def test_skew_of_whole_samples_is_a_shift_and_gaps_do_not_grow() -> None:
    values = np.array([0.0, 1.0, 4.0, np.nan, 16.0, 25.0, 36.0])
    shifted = without_skew(capture(values), "x", 2e-6).channels["x"]
    np.testing.assert_allclose(shifted.values, [4.0, np.nan, 16.0, 25.0, 36.0, np.nan, np.nan], rtol=1e-12)
    assert shifted.gaps == 3


def test_skew_of_half_a_sample_on_a_ramp() -> None:
    shifted = without_skew(capture(np.arange(10.0)), "x", -0.5e-6).channels["x"].values
    np.testing.assert_allclose(shifted[1:], np.arange(1.0, 10.0) - 0.5, rtol=1e-12)
    assert np.isnan(shifted[0])


def test_pairs() -> None:
    trace = middle_of_pairs(capture(np.array([1.0, 3.0, 2.0, np.nan]), paired=True))
    np.testing.assert_array_equal(trace.channels["x"].values, [2.0, np.nan])
    assert (trace.channels["x"].gaps, trace.paired, len(trace.time)) == (1, False, 2)
    assert middle_of_pairs(trace) is trace


REFUSED = {
    "there is no channel 'z'; the capture has x, y": lambda t: turned(t, "z"),
    "factor of x is 0; a finite number other than 0": lambda t: with_factor(t, "x", 0.0),
    "factor of x is nan": lambda t: with_factor(t, "x", float("nan")),
    "shunt of x is 0 ohm; a resistance above 0": lambda t: through_shunt(t, "x", 0.0),
    "gain of x is 0": lambda t: through_shunt(t, "x", 1.0, gain=0.0),
    "x is in amperes already": lambda t: through_shunt(with_factor(t, "x", 1.0, "A"), "x", 1.0),
    "delay of x is inf s": lambda t: without_skew(t, "x", float("inf")),
}


@pytest.mark.parametrize("message", REFUSED)
def test_refusals(message: str) -> None:
    with pytest.raises(TraceError, match=message):
        REFUSED[message](capture(np.arange(9.0)))


def test_skew_of_pairs_is_refused() -> None:
    with pytest.raises(TraceError, match="take middle_of_pairs first"):
        without_skew(capture(np.arange(4.0), paired=True), "x", 1e-6)
