"""A run that would not end says what goes round in it, how fast, and which key makes the rounds longer."""

import numpy as np
import pytest

from inrushlib.errors import SolverError
from inrushlib.parts.origin import Origin
from inrushlib.startup import Kind, Rule, screen_many, simulate, slack_of
from inrushlib.startup.unfinished import Progress, Round, rounds

from .bench import BENCH, instants, start

# A controller with no hold, whose boot at once draws more than its regulator gives.
LIMIT, DRAWN, SWING, CAPACITANCE = 0.1, 0.35, 0.5, 1e-6
OSCILLATOR = {
    "controller.feed": "own", "controller.own_voltage": 5.0, "controller.reset_hold": 0.0,
    "controller.regulator_limit": LIMIT, "controller.rail_capacitance": CAPACITANCE,
    "controller.brownout_rising": 2.8, "controller.brownout_falling": 2.8 - SWING,
    "controller.reset_current": 0.0, "controller.boot_current": 0.05, "controller.boot_peak_current": 0.3,
    "controller.boot_peak_at": 0.0, "controller.boot_peak_length": 1.0, "controller.boot_time": 1.0,
    "controller.reservoir": 1e-3, "run.duration": 3e-3,
}  # fmt: skip
# The same on an adapter that trips for good as soon as it is at its limit.
TRIPS_AT_ONCE = OSCILLATOR | {
    "controller.feed": "bus", "adapter.limit_style": "latch-off", "adapter.trip_delay": 0.0, "run.duration": 10e-3,
}  # fmt: skip
PERIOD = CAPACITANCE * SWING * (1 / LIMIT + 1 / (DRAWN - LIMIT))


def test_resets_that_go_round_are_a_relaxation_oscillation():
    """Physics, not rounding: the rail's capacitor is charged and discharged at constant currents between two levels.

    Source: charge is current by time; the regulator is at its limit all along.
    """
    at = np.array(instants(start(OSCILLATOR), Kind.BROWN_OUT))
    assert len(at) > 200
    assert np.diff(at) == pytest.approx(PERIOD, rel=1e-4)


@pytest.mark.parametrize("spent", ["MOST_STEPS", "MOST_SWITCHINGS"])
def test_says_that_it_resets_over_and_over_and_ends_with_what_it_names(monkeypatch, spent):
    build = BENCH.with_values(OSCILLATOR)
    monkeypatch.setitem(simulate.__globals__, spent, 900)
    with pytest.raises(
        SolverError, match=r"900 .* with \d+ resets of the controller, on average one every 1\d us"
    ) as raised:
        simulate(build)
    assert str(raised.value).endswith("lengthen controller.reset_hold (0 s), or shorten run.duration")
    assert raised.value.key == "controller.reset_hold"
    assert simulate(build.with_values({raised.value.key: "5 ms"})).brown_outs == 0


def test_says_so_where_the_curves_take_too_much_memory(monkeypatch):
    monkeypatch.setitem(simulate.__globals__, "FIRST_ROWS", 8)
    monkeypatch.setitem(simulate.__globals__, "LARGEST_KEPT", 10_000)
    with pytest.raises(SolverError, match=r"resets of the controller, .* or set wiring\.lumps = 1") as raised:
        start(OSCILLATOR)
    assert raised.value.key == "controller.reset_hold"


@pytest.mark.parametrize(
    ("progress", "expected"),
    [
        (dict(steps=9, switchings=50, brown_outs=10, trips=2), Round.RESETS),
        (dict(steps=9, switchings=50, brown_outs=2, trips=10), Round.TRIPS),
        (dict(steps=9, switchings=50, brown_outs=0, trips=0), None),
        (dict(steps=2_000_000, switchings=50, brown_outs=10, trips=0), None),  # something else takes the steps
        (dict(steps=9, switchings=500_000, brown_outs=10, trips=0), None),
    ],
)
def test_what_goes_round(progress, expected):
    assert rounds(Progress(time=1.0, **progress)) is expected


def test_rounds_are_named_by_keys_that_a_build_has():
    for each in Round:
        assert BENCH.with_values({each.key: "20 ms"}).origin(each.key) is Origin.GIVEN


def test_a_run_that_is_only_too_long_names_its_duration(monkeypatch):
    monkeypatch.setitem(simulate.__globals__, "MOST_STEPS", 50)
    with pytest.raises(SolverError, match=r"the most that are allowed; shorten run\.duration$") as raised:
        start({})
    assert raised.value.key == "run.duration"


@pytest.mark.parametrize("many", [lambda build: screen_many([BENCH, build]), slack_of], ids=["many", "slack"])
@pytest.mark.parametrize("spent", ["MOST_STEPS", "MOST_SWITCHINGS"])
def test_searches_and_slacks_say_the_same(monkeypatch, many, spent):
    """They had no word of what goes round, and named the duration."""
    build = BENCH.with_values(OSCILLATOR)
    for where in (screen_many, slack_of, simulate):
        monkeypatch.setitem(where.__globals__, spent, 900)
    with pytest.raises(SolverError) as of_one:
        simulate(build)
    with pytest.raises(SolverError) as of_many:
        many(build)
    assert of_many.value.key == of_one.value.key == "controller.reset_hold"
    assert "resets of the controller, on average one every 1" in str(of_many.value)


def test_slacks_take_no_more_memory_than_curves(monkeypatch):
    monkeypatch.setitem(slack_of.__globals__, "FIRST_ROWS", 8)
    monkeypatch.setitem(slack_of.__globals__, "LARGEST_KEPT", 10_000)
    with pytest.raises(SolverError, match=r"resets of the controller, .* or set wiring\.lumps = 1") as raised:
        slack_of(BENCH.with_values(OSCILLATOR))
    assert raised.value.key == "controller.reset_hold"


def test_a_rule_whose_own_run_takes_too_much_memory_is_left_out(monkeypatch):
    """Without its trips an adapter that trips at once lets the controller go round."""
    trips = BENCH.with_values(TRIPS_AT_ONCE)
    whole = {each.rule for each in slack_of(trips)}
    monkeypatch.setitem(slack_of.__globals__, "LARGEST_KEPT", 300_000)
    assert {each.rule for each in slack_of(trips)} == whole - {Rule.TRIP}
