"""What an instrument makes of a curve, against closed forms: sines through gain, zero, low pass, skew and clocks."""

from dataclasses import fields
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import approx_fprime

from inrushlib.errors import UsageError
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.neighbours import worst_row
from inrushlib.trace.fit.observation import Accuracy, Disturbance, Observation, robust, root_weights
from inrushlib.trace.fit.sampling import Sampled, at_instants
from inrushlib.trace.prepare import Measured

QUANTITIES = ("bus_voltage", "lead_current")
LEVEL, HEIGHT = np.array([3.0, 1.2]), np.array([1.0, 0.5])
TURN, PHASE = 2 * np.pi * np.array([20.0, 35.0]), np.array([0.3, 1.1])
ACCURACY = Accuracy(gain=0.04, zero=0.02, time_constant=4e-4, skew=5e-5, time_base=2e-3)
#: Shift in thousandths of the capture, time base; gain, zero, time constant, skew of each channel: in deviations.
ERRORS = np.array([30.0, 0.8, 1.5, -0.7, 1.2, 0.9, -0.6, 0.4, 0.7, -1.3])


class Waves:
    """A run whose curves are sines about levels."""

    rows = 10

    @staticmethod
    def both(times):
        """Integrals and values, as of a run of the model."""
        turned = TURN * np.asarray(times)[:, None] + PHASE
        total = LEVEL * np.asarray(times)[:, None] - HEIGHT / TURN * (np.cos(turned) - np.cos(PHASE))
        return total, LEVEL + HEIGHT * np.sin(turned)


def means(edges, tau):
    """Averages between edges of a sine behind a low pass: less high, and later, in the steady state."""
    phase = TURN * edges[:, None] + PHASE - np.arctan(TURN * tau)
    height = HEIGHT / np.sqrt(1.0 + (TURN * tau) ** 2)
    return LEVEL - np.diff(height / TURN * np.cos(phase), axis=0) / np.diff(edges)[:, None]


def captured(noise=0.0, count=6000, seed=0):
    """A capture of the run by an ideal instrument, 0.3 s of it."""
    times = 0.05 + np.arange(count) * 0.3 / count
    drawn = np.random.default_rng(seed).normal(0.0, max(noise, 1e-9), (count, 2))
    curves = dict(zip(QUANTITIES, (Waves.both(times)[1] + drawn).T, strict=True))
    return Measured(times, curves, dict.fromkeys(QUANTITIES, max(noise, 1e-4)), 0, "waves")


def observed(most=300, accuracy=ACCURACY, along=(), **more):
    return Observation(Samples.of(captured(**more)), most, accuracy, along)


def shown_by_hand(seen, errors):
    """What such an instrument shows, each error written out."""
    span = seen.edges[-1] - seen.edges[0]
    middle = (seen.edges[0] + seen.edges[-1]) / 2
    found = np.empty((len(seen.edges) - 1, 2))
    for i in range(2):
        gain, zero, tau, skew = errors[2 + 4 * i : 6 + 4 * i] * (0.04, 0.02 * seen.ranges[i], 4e-4, 5e-5)
        edges = seen.edges + 1e-3 * span * errors[0] + 2e-3 * errors[1] * (seen.edges - middle) - skew
        found[:, i] = (1.0 + gain) * means(edges, tau)[:, i] + zero
    return found


def test_what_it_shows_is_the_closed_form():
    seen = observed()
    assert seen.ranges == pytest.approx([2.0, 1.0], rel=1e-3)  # from top to bottom of each sine
    assert seen.at(Waves, ERRORS).shown == pytest.approx(shown_by_hand(seen, ERRORS), abs=2e-5)
    # An ideal one shows what the capture has: averages of its samples.
    ideal = seen.at(Waves, seen.nothing(0.0))
    assert ideal.shown == pytest.approx(seen.averages.means, abs=2e-5)
    assert np.abs(ideal.residual).max() < 0.1


@pytest.mark.parametrize("shift", [-60.0, 60.0])
def test_a_run_sampled_for_another_place_is_sampled_anew(shift):
    # A sampled run reaches a twentieth of the capture beyond it: 60 thousandths are more.
    seen = observed()
    errors = np.append(shift, ERRORS[1:])
    kept = seen._sample(Waves, seen.nothing(0.0))
    assert seen.at(Waves, errors, kept).shown == pytest.approx(shown_by_hand(seen, errors), abs=2e-5)
    near = np.append(0.5 * shift, ERRORS[1:])
    assert seen.at(Waves, near, kept).shown == pytest.approx(shown_by_hand(seen, near), abs=2e-5)


def test_its_slopes_are_those_of_differences():
    seen = observed(along=[Disturbance("lead_current", 50.0), Disturbance("bus_voltage", 0.0)])
    errors = np.append(ERRORS, [0.5, -0.3, 0.8])
    assert seen.count == len(errors) == 13
    sampled = seen._sample(Waves, errors)
    by_differences = approx_fprime(errors, lambda e: seen.at(Waves, e, sampled).residual, 1e-6)
    slopes = seen.at(Waves, errors, sampled).slopes
    scale = np.abs(by_differences).max(axis=0)
    assert np.abs(slopes - by_differences).max(axis=0) == pytest.approx(np.zeros(13), abs=5e-3 * scale.max())
    assert np.all(np.abs(slopes - by_differences).max(axis=0) < 5e-3 * scale)


def test_what_is_pulled_from_its_prior_stands_behind_the_differences():
    seen = observed()
    settled = seen.at(Waves, ERRORS)
    away = (seen.averages.means - settled.shown) / seen.spread
    assert settled.residual[:-10] == pytest.approx(away.T.ravel())
    assert settled.residual[-10] == 0.0  # a shift has no prior
    assert settled.residual[-9:] == pytest.approx(ERRORS[1:])
    assert settled.cost == pytest.approx(np.sum(robust(settled.residual)))


def test_errors_by_their_names():
    seen = observed()
    assert seen.named(ERRORS) == [
        {"gain": 1.5, "zero": -0.7, "time_constant": 1.2, "skew": 0.9},
        {"gain": -0.6, "zero": 0.4, "time_constant": 0.7, "skew": -1.3},
    ]
    assert seen.shift(ERRORS) == pytest.approx(0.03 * 0.3)
    assert seen.nothing(0.012)[0] == pytest.approx(40.0)
    assert list(np.flatnonzero(seen.positive)) == [4, 8]  # a low pass has no negative time constant


def test_settling_finds_what_the_instrument_did():
    # The capture is the ideal one, so the run has to be moved: what is settled is the opposite of what was done to it.
    true = np.array([30.0, 0.0, 1.5, -0.7, 0.0, 0.0, -0.6, 0.4, 0.0, 0.0])
    seen = observed(noise=1e-3)
    seen.averages.means[:] += shown_by_hand(seen, true) - shown_by_hand(seen, 0.0 * true)
    settled = seen.settle(Waves, seen.nothing(0.0085))
    assert seen.shift(settled.errors) == pytest.approx(0.009, abs=2e-5)
    for found, known in zip(seen.named(settled.errors), seen.named(true), strict=True):
        assert found["gain"] == pytest.approx(known["gain"], abs=0.05)
        assert found["zero"] == pytest.approx(known["zero"], abs=0.05)
    assert settled.errors[[4, 8]].min() >= 0.0
    assert seen.lies(settled)
    assert not seen.lies(seen.at(Waves, seen.nothing(0.0)))


@pytest.mark.parametrize("times", [1.0, 3.0])
def test_weights_are_those_of_the_scatter_that_is_there(times):
    seen = observed(noise=2e-3)  # 20 samples to an average: instants that scatter average out
    ideal = seen.at(Waves, seen.nothing(0.0))
    away = seen.averages.means - ideal.shown
    seen.averages.means[:] += (times - 1.0) * away
    ideal = seen.at(Waves, seen.nothing(0.0))
    seen.weigh(Waves, ideal)
    for q in QUANTITIES:
        assert seen.excess[q] == pytest.approx(times, rel=0.12)
        assert seen.memory[q] == pytest.approx(1.0, abs=0.3)
        assert seen.off_by(q) == pytest.approx(seen.excess[q] * seen.memory[q] ** 0.5)
    assert seen.off() == max(seen.off_by(q) for q in QUANTITIES)
    assert np.std(seen.told(ideal.shown)) == pytest.approx(1.0, abs=0.1)


def test_an_average_scatters_less_by_the_root_of_its_samples():
    # 20 samples each of 2 mV: 2 / sqrt(20) = 0.447 mV, but for steps between two samples, of which there are none.
    seen = observed(noise=2e-3)
    assert np.median(seen.expected, axis=0) == pytest.approx([2e-3 / 20**0.5] * 2, rel=0.1)


def test_an_edge_between_two_samples_may_lie_anywhere_between_them():
    # A step of 1 V in one of 300 stretches of 20 samples: its average is off by 1 V / 20, evenly: over sqrt(12).
    measured = captured(noise=1e-3)
    measured.curves["bus_voltage"][3005:] += 1.0
    seen = Observation(Samples.of(measured), 300, ACCURACY)
    assert seen.expected[150, 0] == pytest.approx(1.0 / 20 / 12**0.5, rel=0.05)
    assert seen.expected[149, 0] < 1e-3 > seen.expected[152, 0]


def test_the_usual_accuracy_and_what_is_refused():
    # Common practice, no source: 3 % of a probe, 1 % of the range, 1.6 kHz, 30 us, 100 ppm.
    usual = {"gain": 0.03, "zero": 0.01, "time_constant": 1e-4, "skew": 3e-5, "time_base": 1e-4}
    assert {field.name: getattr(Accuracy(), field.name) for field in fields(Accuracy)} == usual
    for name in usual:
        assert getattr(Accuracy(**{name: 0.0}), name) == 0.0
        assert getattr(Accuracy(**{name: 0.99}), name) == 0.99
        for value in (-0.01, 1.0):
            words = f"accuracy of {name.replace('_', ' ')}: {value:g}; accepted: 0 to below 1"
            with pytest.raises(UsageError, match=words):
                Accuracy(**{name: value})


def test_disturbances_are_a_straight_line_and_a_sine_of_any_phase():
    times = np.linspace(0.0, 0.1, 101)
    assert Disturbance("bus_voltage", 0.0).columns(times)[:, 0] == pytest.approx(np.linspace(-1, 1, 101))
    columns = Disturbance("bus_voltage", 50.0).columns(times)
    wave = 0.7 * np.sin(2 * np.pi * 50.0 * times + 0.4)
    assert columns @ np.array([0.7 * np.sin(0.4), 0.7 * np.cos(0.4)]) == pytest.approx(wave)


def test_the_loss_is_a_square_that_goes_over_into_a_magnitude_at_three_deviations():
    # Soft L1: 2 C^2 (sqrt(1 + (r / C)^2) - 1), and the weight of a residual is its slope over that of a square.
    far = np.array([-50.0, -3.0, -0.01, 0.0, 0.02, 3.0, 1e6])
    assert robust(far) == pytest.approx(18.0 * (np.sqrt(1.0 + far**2 / 9.0) - 1.0))
    assert robust(np.array([0.01])) == pytest.approx(1e-4, rel=1e-5)
    assert robust(np.array([1e6])) == pytest.approx(6e6, rel=1e-3)
    some = np.array([-7.0, -1.0, 0.5, 4.0])
    slope = (robust(some + 1e-6) - robust(some - 1e-6)) / 2e-6
    assert root_weights(some) ** 2 * 2.0 * some == pytest.approx(slope, rel=1e-6)


def test_a_run_sampled_evenly_and_its_low_passes():
    sampled = Sampled(Waves, 0.0, 0.4, 1e-4)
    times = np.linspace(0.1, 0.35, 777)
    for i, tau in ((0, 0.0), (0, 2e-3), (1, 5e-3)):
        total, value, twice = sampled.seen(i, tau, times)
        lag, less = np.arctan(TURN[i] * tau), np.sqrt(1.0 + (TURN[i] * tau) ** 2)
        assert value == pytest.approx(LEVEL[i] + HEIGHT[i] / less * np.sin(TURN[i] * times + PHASE[i] - lag), abs=1e-4)
        assert np.diff(total) / np.diff(times) == pytest.approx(means(times, tau)[:, i], abs=1e-4)
        again = LEVEL[i] + HEIGHT[i] / less**2 * np.sin(TURN[i] * times + PHASE[i] - 2 * lag)
        assert twice() == pytest.approx(again, abs=2e-4)
    assert sampled.covers(0.0, 0.4)
    assert sampled.covers(sampled.first, sampled.last - 1e-4)
    assert not sampled.covers(sampled.first - 1e-9, 0.4)
    assert not sampled.covers(0.0, sampled.last - 0.9e-4)


class Ramp:
    """A run that rises from 1 V by 40 V/s."""

    @staticmethod
    def both(times):
        times = np.asarray(times)[:, None]
        return times + 20.0 * times**2, 1.0 + 40.0 * times


def test_what_few_samples_at_instants_make_of_an_average():
    # Five samples at the beginnings of their intervals of 1 ms, of a ramp: half an interval early, 20 mV below.
    edges, rows = np.linspace(0.1, 0.2, 21), 5 * np.arange(21)
    beside, steep = at_instants(Ramp, edges, 0.1 + 1e-3 * np.arange(100), rows, [(0.0, 0.0)])
    assert beside[:, 0] == pytest.approx(0.5e-3 * 40.0, rel=1e-6)
    # Each instant by itself: 40 V/s over sqrt(5).
    assert steep[:, 0] == pytest.approx(40.0 / 5**0.5, rel=1e-6)
    for count, least in ((10, 1e-3), (11, 0.0)):
        rows = count * np.arange(3)
        found, slope = at_instants(Ramp, np.array([0.1, 0.15, 0.2]), np.linspace(0.1, 0.2, 2 * count), rows, [(0, 0)])
        assert (found.max() > least) == (count == 10)
        assert (slope.max() > least) == (count == 10)


def test_neighbours_that_are_off_together():
    # Noise-free but for one row: its mean over the root of its length is largest at its own length.
    def found(at, length, size, good=None):
        away = np.zeros(400)
        away[at : at + length] = size
        good = np.ones((200, 2), bool) if good is None else good
        seen = SimpleNamespace(
            quantities=QUANTITIES, middles=np.arange(200.0), good=good, surely_off=lambda _: away[: good.sum()]
        )
        return worst_row(seen, None)

    for length in (1, 2, 4, 8, 16):
        for channel in (0, 1):
            row = found(200 * channel + 50, length, -3.0)
            assert row.size == pytest.approx(3.0 * length**0.5)
            assert (row.quantity, row.time) == (QUANTITIES[channel], 50.0 + (length - 1) / 2)
    assert (found(0, 4, 3.0).time, found(0, 4, 3.0).size) == (1.5, pytest.approx(6.0))
    assert found(396, 4, 3.0).time == 197.5
    few = np.zeros((200, 2), bool)
    few[:3, 0], few[:, 1] = True, True  # three differences of the one channel, and all of the other
    assert found(3 + 50, 8, 2.0, few).quantity == QUANTITIES[1]
    assert found(3 + 50, 8, 2.0, few).time == 53.5
