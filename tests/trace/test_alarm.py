"""When there is an alarm and what it says, on either side of each limit, on made differences."""

from types import SimpleNamespace

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.trace.fit.alarm import Cause, Finding, alarmed, causes, disturbed, far_values, ten_times
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.observation import Accuracy, Disturbance
from inrushlib.trace.prepare import Measured

BUILD = new_build(
    {"title": "one tile", "adapter.rated_current": 4, "wiring.sections": 1, "wiring.pixels_per_section": 8}
)
NAMES = ("bus_voltage", "lead_current")
COUNT = 400
MIDDLES = np.linspace(0.0, 0.2, COUNT)
RISE = 1.0 - np.exp(-MIDDLES / 0.02)
IDEAL = np.column_stack([5.0 * RISE, 2.0 * RISE])
EXPECTED = np.full((COUNT, 2), 0.01)


class Seen:
    """Averages with their noise, as a fit sees them."""

    quantities, middles, expected, accuracy = NAMES, MIDDLES, EXPECTED, Accuracy()
    good = np.ones((COUNT, 2), bool)

    def __init__(self, means=IDEAL, excess=(1.0, 1.0)):
        self.averages = SimpleNamespace(means=np.asarray(means))
        self.excess = dict(zip(NAMES, excess, strict=True))

    def off(self):
        """Largest scatter over the noise."""
        return max(self.excess.values())

    def off_by(self, quantity):
        """That of a channel."""
        return self.excess[quantity]

    def surely_off(self, settled):
        """Differences in deviations, in one row."""
        return ((self.averages.means - settled.shown) / EXPECTED).T.ravel()

    @staticmethod
    def named(errors):
        """Errors of each channel by their names."""
        names = ("gain", "zero", "time_constant", "skew")
        return [dict(zip(names, row, strict=True)) for row in errors[2:].reshape(2, 4)]


def problem(seen=None, along=(), samples=None, key="adapter.output_resistance", start=0.05):
    return SimpleNamespace(
        build=BUILD.with_values({key: start}), keys=(key,), start=np.array([start]), seen=seen or Seen(), along=along,
        samples=samples,
    )  # fmt: skip


def foot(shown=IDEAL, errors=None, x=0.0):
    settled = SimpleNamespace(shown=np.asarray(shown), errors=np.zeros(10) if errors is None else errors)
    return SimpleNamespace(x=np.array([x]), settled=settled)


def error(place, size):
    found = np.zeros(10)
    found[place] = size
    return found


@pytest.mark.parametrize(
    ("seen", "at", "alarm"),
    [
        (Seen(), foot(), False),
        (Seen(excess=(1.0, 1.5)), foot(), False),
        (Seen(excess=(1.0, 1.51)), foot(), True),
        (Seen(), foot(errors=error(0, 50.0)), False),  # a shift is no error
        (Seen(), foot(errors=error(1, 4.0)), False),
        (Seen(), foot(errors=error(1, 4.01)), True),
        (Seen(), foot(errors=error(7, -4.01)), True),
        (Seen(), foot(x=np.log(9.9)), False),
        (Seen(), foot(x=np.log(10.1)), True),
        (Seen(), foot(x=-np.log(10.1)), True),
    ],
)
def test_there_is_an_alarm(seen, at, alarm):
    assert alarmed(problem(seen), at) == alarm


@pytest.mark.parametrize(("size", "alarm"), [(7.9, False), (8.1, True)])
def test_a_short_row_that_is_off_is_an_alarm_and_named_by_its_instant(size, alarm):
    means = IDEAL.copy()
    means[200:204, 1] += 0.01 * size / 2  # four in a row: twice their mean
    seen, at = Seen(means), foot()
    assert alarmed(problem(seen), at) == alarm
    found = causes(problem(seen), at, [])
    middle = MIDDLES[200:204].mean()
    wanted = (Finding(Cause.BRIEFLY, "lead_current", f"{1e3 * middle:.6g} ms"),) if alarm else ()
    assert [(each.cause, each.quantity) for each in found] == [(each.cause, each.quantity) for each in wanted]
    if alarm:
        assert float(found[0].size.split()[0]) == pytest.approx(1e3 * middle, rel=1e-2)


@pytest.mark.parametrize(
    ("place", "cause", "channel"),
    [
        (1, Cause.TIME_BASE, ""),
        (2, Cause.GAIN, "bus_voltage"),
        (3, Cause.ZERO, "bus_voltage"),
        (4, Cause.BANDWIDTH, "bus_voltage"),
        (5, Cause.SKEW, "bus_voltage"),
        (6, Cause.GAIN, "lead_current"),
        (9, Cause.SKEW, "lead_current"),
    ],
)
def test_an_error_that_is_pulled_by_four_deviations_is_the_cause(place, cause, channel):
    for sign in (-1.0, 1.0):
        assert causes(problem(), foot(errors=error(place, sign * 4.01)), []) == (Finding(cause, channel),)
        assert causes(problem(), foot(errors=error(place, sign * 4.0)), []) == ()


def test_what_is_left_unexplained_is_named_by_the_worst_channel_and_its_scatter():
    seen = Seen(excess=(1.6, 2.34))
    assert causes(problem(seen), foot(), []) == (Finding(Cause.UNEXPLAINED, "lead_current", "2.3"),)
    turned = Finding(Cause.TURNED, "bus_voltage")
    assert causes(problem(seen), foot(), [turned]) == (turned,)  # that is cause enough
    assert causes(problem(Seen(excess=(1.5, 1.5))), foot(), []) == ()


def test_a_far_value_counts_by_what_was_given_and_by_what_such_a_part_may_have():
    given = problem(start=0.05)
    assert far_values(given, foot(x=np.log(9.9))) == {}
    assert far_values(given, foot(x=np.log(12.0))) == {"adapter.output_resistance": pytest.approx(12.0)}
    assert far_values(given, foot(x=-np.log(12.0))) == {"adapter.output_resistance": pytest.approx(1 / 12)}
    (far,) = causes(given, foot(x=np.log(12.0)), [])
    assert far.sentence == "adapter.output_resistance would have to be 12 times what the build says"


@pytest.mark.parametrize("frequency", [0.0, 50.0, 60.0, 100.0, 120.0])
def test_a_disturbance_that_explains_most_is_fitted_along(frequency):
    draw = np.random.default_rng(1)
    shape = Disturbance("lead_current", frequency).columns(MIDDLES)[:, -1]
    means = IDEAL + draw.normal(0.0, 0.01, IDEAL.shape)
    means[:, 1] += 0.03 * shape
    found = disturbed(problem(Seen(means)), foot())
    assert found == Disturbance("lead_current", frequency)
    # One that is fitted along already is not found again.
    again = disturbed(problem(Seen(means), along=(found,)), foot())
    assert again != found


@pytest.mark.parametrize(("size", "is_found"), [(0.5, False), (0.9, True)])
def test_a_disturbance_explains_a_fifth_of_the_squares_or_is_none(size, is_found):
    # A sine of height h deviations among noise of one: h^2 / 2 of 1 + h^2 / 2; a fifth at 0.71.
    draw = np.random.default_rng(2)
    means = IDEAL + draw.normal(0.0, 0.01, IDEAL.shape)
    means[:, 0] += 0.01 * size * np.sin(2 * np.pi * 50.0 * MIDDLES)
    assert (disturbed(problem(Seen(means)), foot()) is not None) == is_found
    assert disturbed(problem(Seen(IDEAL)), foot()) is None


def sampled(factor):
    """Samples whose second channel reads that many times what it should."""
    curves = {"bus_voltage": IDEAL[:, 0].copy(), "lead_current": factor * IDEAL[:, 1]}
    return Samples.of(Measured(MIDDLES, curves, {"bus_voltage": 0.01, "lead_current": 0.01 * factor}, 0, "made"))


@pytest.mark.parametrize(
    ("factor", "size"),
    [(5.9, None), (6.1, "much"), (10.0, "much"), (15.9, "much"), (16.1, None), (1 / 5.9, None), (0.1, "little"),
     (1 / 6.1, "little"), (1 / 15.9, "little"), (1 / 16.1, None)],
)  # fmt: skip
def test_a_channel_that_reads_near_ten_times_is_put_right(factor, size):
    samples = sampled(factor)
    found = ten_times(problem(Seen(IDEAL * (1.0, factor)), samples=samples), foot())
    if size is None:
        assert found is None
        return
    put_right, findings = found
    assert findings == [Finding(Cause.GAIN_TEN, "lead_current", size)]
    tenth = 10.0 if size == "much" else 0.1
    assert put_right.measured.curves["lead_current"] == pytest.approx(samples.measured.curves["lead_current"] / tenth)
    assert put_right.measured.curves["bus_voltage"] == pytest.approx(samples.measured.curves["bus_voltage"])


def test_a_gain_that_is_settled_counts_along():
    # Shown with a gain of 2 deviations of 3 %: 5.8 times what is shown is 6.1 times what there is.
    seen = Seen(IDEAL * (1.0, 5.8))
    assert ten_times(problem(seen, samples=sampled(5.8)), foot()) is None
    assert ten_times(problem(seen, samples=sampled(5.8)), foot(errors=error(6, 2.0))) is not None
