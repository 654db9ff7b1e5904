"""How far each rule was from turning out otherwise: its sign, its zero, and two closed forms."""

import math

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import Kind, Rule, Verdict, needed_bus_voltage, pack, simulate, slack_many
from inrushlib.startup.slack import slack_of

from .bench import BENCH, DARK, instants, showing, start, value

TILES = new_build(
    {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
)
ON_RESERVOIR = {
    "controller.feed": "bus", "controller.feed_diode": True, "controller.reservoir": 470e-6, "run.duration": 0.1,
    "pixel.quiescent_current": 0, "controller.boot_time": 5e-3, "firmware.first_frame_delay": 50e-3,
}  # fmt: skip


def of(startup, rule):
    """The slack of a rule, None where it has no say."""
    return next((each for each in startup.slack if each.rule is rule), None)


class TestTenMillivolts:
    """Six tiles chained on a 3 A adapter, nothing but the required keys: it boots, but only just."""

    def test_release_is_named_first_with_its_figure(self):
        startup = simulate(TILES)
        assert startup.verdict is Verdict.BOOTS
        closest = startup.slack[0]
        assert closest.rule is Rule.RELEASE
        assert closest.value == pytest.approx(10e-3, abs=1e-3)
        assert closest.where.name == "controller rail"
        assert closest.at == instants(startup, Kind.RESET_RELEASE)[0]

    def test_bus_is_what_a_builder_can_measure(self):
        closest = simulate(TILES).slack[0]
        needed = needed_bus_voltage(TILES)
        assert f"{closest.bus_voltage:.2f}" == "2.89"
        assert f"{needed:.2f}" == "2.88"
        # In dropout the rail follows the bus, drop by drop: both have the same to spare.
        assert closest.bus_voltage - needed == pytest.approx(closest.value, abs=0.1e-3)

    @pytest.mark.parametrize(
        "change",
        [
            {"adapter.limit_current": 1.11 * 3},
            {"controller.dropout_voltage": 1.1},
            {"pixel.forward_voltages": [1.7, 2.55, 2.65]},
            {"wiring.hop_resistance": 10e-3},
        ],
        ids=str,
    )
    def test_each_of_these_alone_makes_it_stick(self, change):
        startup = simulate(TILES.with_values(change))
        assert startup.verdict is Verdict.STUCK
        assert startup.slack[0].rule is Rule.RELEASE
        assert startup.slack[0].value < 0
        assert startup.slack[0].at <= startup.build.run.duration


def tiles(key, more=None):
    return lambda x: TILES.with_values({**(more or {}), key: x})


def bench(key, more=None):
    return lambda x: BENCH.with_values({**(more or {}), key: x})


def mains_away(x):
    """The mains away for x [s] once the controller runs on its reservoir."""
    return BENCH.with_values({**ON_RESERVOIR, "run.interruptions": [[0.02, 0.02 + x]]})


def any_of(*kinds):
    return lambda startup: bool([s for s in startup.switchings if s.kind in kinds])


def unheard(startup):
    return len(showing(startup)) < startup.build.wiring.sections


# A bus capacitor that takes some milliseconds to charge at the limit, and again where the mains was away.
CHARGING = {"bus.bulk": 4700e-6, "bus.bulk_esr": 1e-3, "run.duration": 0.2}
DEAD_BUS = {**ON_RESERVOIR, "run.interruptions": [[0.012, 0.2]]}

# Rule, the build at a place between, values from keeping to taking effect, and what says that it did.
SIDES = [
    (Rule.RELEASE, tiles("adapter.limit_current"), (3.9, 3.2), lambda s: not any_of(Kind.RESET_RELEASE)(s)),
    (Rule.RELEASE, tiles("controller.reset_hold", {"run.duration": 0.5}), (0.3, 0.6), None),
    (Rule.BROWN_OUT, mains_away, (2e-3, 30e-3), any_of(Kind.BROWN_OUT)),
    (Rule.LISTEN, tiles("pixel.listen_voltage"), (2.2, 2.6), unheard),
    (Rule.LISTEN, bench("firmware.first_frame_delay", {"pixel.listen_delay": 10e-3}), (15e-3, 2e-3), unheard),
    (
        Rule.FORGET,
        bench("pixel.forget_voltage", {"run.interruptions": [[0.02, 0.05]], "adapter.bleed_resistance": 1e3}),
        (0.5, 2.15),
        any_of(Kind.FORGETS),
    ),
    (
        Rule.TRIP, bench("adapter.trip_delay", {**CHARGING, "adapter.limit_style": "latch-off"}), (30e-3, 3e-3),
        any_of(Kind.TRIP),
    ),
    (
        Rule.ALLOWANCE, bench("adapter.peak_time", {**CHARGING, "adapter.peak_current": 4}), (30e-3, 2e-3),
        any_of(Kind.ALLOWANCE_SPENT),
    ),
    (
        Rule.FRAME_IN_TIME, bench("firmware.first_frame_delay", DEAD_BUS), (1e-3, 40e-3),
        lambda s: not any_of(Kind.FRAME_END)(s),
    ),
]  # fmt: skip
SIDES = [(r, b, e, f or (lambda s: not any_of(Kind.RESET_RELEASE)(s))) for r, b, e, f in SIDES]


@pytest.mark.parametrize(("rule", "build", "ends", "fired"), SIDES, ids=lambda x: x.key if isinstance(x, Rule) else "")
class TestBothSides:
    def test_sign_says_whether_it_took_effect_and_it_only_falls(self, rule, build, ends, fired):
        seen = []
        for x in np.linspace(*ends, 9):
            startup = simulate(build(float(x)))
            slack = of(startup, rule)
            assert slack is not None
            assert slack.kept is not fired(startup), (x, slack)
            assert slack.unit == rule.unit
            assert math.copysign(1, slack.share) == math.copysign(1, slack.value)
            assert 0 <= slack.at <= startup.build.run.duration
            seen.append(slack.value)
        assert seen[0] > 0 > seen[-1]
        if rule is not Rule.RELEASE or ends[0] > 1:
            assert np.all(np.diff(seen) < 1e-9), seen

    def test_it_goes_through_zero_where_the_verdict_changes(self, rule, build, ends, fired):
        if rule is Rule.RELEASE and ends[0] < 1:
            pytest.skip("a hold as long as the run leaves no level at all: there is no zero to go through")
        kept, took = ends
        for _ in range(14):
            middle = 0.5 * (kept + took)
            if fired(simulate(build(middle))):
                took = middle
            else:
                kept = middle
        span = abs(of(simulate(build(ends[0])), rule).value - of(simulate(build(ends[1])), rule).value)
        for x in (kept, took):
            assert of(simulate(build(x)), rule).value == pytest.approx(0.0, abs=2e-3 * span)


def test_rules_without_a_say_are_left_out():
    assert {each.rule for each in simulate(TILES).slack} == {Rule.RELEASE, Rule.BROWN_OUT, Rule.LISTEN, Rule.FORGET}


def test_smallest_share_of_its_own_threshold_first():
    shares = [each.share for each in simulate(TILES).slack]
    assert shares == sorted(shares)


def test_json_has_them_in_si():
    flat = simulate(TILES).to_dict()["slack"]
    assert set(flat[0]) == {"rule", "slack", "unit", "at", "where"}
    assert (flat[0]["rule"], flat[0]["unit"]) == ("reset-release", "V")


def test_many_at_once_are_those_of_one_after_the_other():
    builds = [TILES.with_values({"adapter.limit_current": x}) for x in np.linspace(3.3, 4.0, 11)]
    builds.append(BENCH)
    many = slack_many([pack(build) for build in builds], tolerance=1e-5)
    rules = list(Rule)
    assert not many.statuses.any()
    for i, build in enumerate(builds):
        single = {each.rule: each for each in slack_of(build)}
        assert {rules[j] for j in np.flatnonzero(np.isfinite(many.values[i]))} == set(single)
        for rule, each in single.items():
            assert many.values[i, rules.index(rule)] == each.value
            assert many.shares[i, rules.index(rule)] == each.share
            assert many.instants[i, rules.index(rule)] == each.at


def test_reading_leaves_the_packed_build_as_it_was():
    packed = pack(TILES)
    before = packed.parts.tobytes()
    slack_many([packed])
    assert packed.parts.tobytes() == before


def test_a_run_of_many_steps_and_switchings_fits():
    build = TILES.with_values(
        {"controller.burst_current": 0.01, "controller.burst_period": "1 ms", "controller.burst_length": "0.2 ms",
         "run.duration": 2.4}
    )  # fmt: skip
    startup = simulate(build)
    assert len(startup.switchings) > 4096
    assert startup.slack[0].rule is Rule.RELEASE


# ----- closed forms -----
# A capacitor through a resistance, v = V0 exp(-t / RC), and at a constant current, I = C dv/dt: P. Horowitz and
# W. Hill, The Art of Electronics, 3rd ed. (2015), section 1.4 (from memory). Numbers derived from them.


@pytest.mark.parametrize("after", [0.1, 0.25, 0.4])
def test_dark_panel_on_the_adapters_bleed_is_an_rc_hold_up(after):
    """The mains away for good: all capacitors in parallel run down through the bleed resistance."""
    off = 0.02
    startup = start(
        {
            "pixel.power_on": DARK, "pixel.quiescent_current": 0, "adapter.bleed_resistance": 1e3,
            "adapter.output_capacitance": 470e-6, "run.duration": off + after, "run.interruptions": [[off, 1.0]],
            "pixel.forget_voltage": 1.8,
        }
    )  # fmt: skip
    b = startup.build
    capacitance = (
        b.adapter.output_capacitance + b.bus.ceramic + b.panel.ceramic
        + sum(b.wiring.pixels_per_section) * b.wiring.capacitance_per_pixel
    )  # fmt: skip
    expected = value(startup, "panel_voltage", off) * math.exp(-after / (1e3 * capacitance))
    slack = of(startup, Rule.FORGET)
    assert slack.value == pytest.approx(expected - 1.8, abs=0.5e-3)
    assert slack.at == pytest.approx(off + after, abs=1e-9)
    assert any(each.kind is Kind.FORGETS for each in startup.switchings) is (expected < 1.8)


def hold_up(startup, off):
    """Instant [s] at which the rail comes to brown-out: reservoir and rail at the constant current of the program."""
    c = startup.build.controller
    reverse = 30e-3 * math.log1p(math.exp(-c.diode_drop / 30e-3)) / c.feed_resistance  # what the diode lets back
    through = c.run_current * c.reservoir / (c.reservoir + c.rail_capacitance)  # the rest comes from the rail's own
    lowest = c.brownout_falling + c.dropout_voltage + c.dropout_resistance * through
    charge = c.reservoir * (value(startup, "reservoir_voltage", off) - lowest)
    charge += c.rail_capacitance * (value(startup, "rail_voltage", off) - c.brownout_falling)
    return off + charge / (c.run_current + reverse)


@pytest.mark.parametrize("delay", [1e-3, 5e-3, 12e-3])
def test_time_before_the_rail_runs_out_is_that_of_a_reservoir_at_constant_current(delay):
    off = 0.012
    startup = start({**DEAD_BUS, "firmware.first_frame_delay": delay, "adapter.output_capacitance": 1e-6})
    slack = of(startup, Rule.FRAME_IN_TIME)
    ended = startup.running_at + delay + 16 * 24 * 1.25e-6 + 300e-6
    # What the adapter's capacitors still give after the mains has gone takes some 0.1 ms.
    assert slack.value == pytest.approx(hold_up(startup, off) - ended, abs=0.15e-3)


def test_a_rail_that_lasts_for_nothing_is_no_worse_than_the_whole_frame_missing():
    """The share is that of what the frame takes, however short the rail lasts once the program has started."""
    base = {**DEAD_BUS, "controller.run_current": 0.08, "controller.boot_current": 0.08}
    first = start(base)
    needed = first.build.firmware.first_frame_delay + 16 * 24 * 1.25e-6 + 300e-6
    lost = first.running_at + needed + of(first, Rule.FRAME_IN_TIME).value
    released = first.running_at - first.build.controller.boot_time
    for lasts in (10e-3, 0.1e-3, 1e-6):
        slack = of(start({**base, "controller.boot_time": lost - lasts - released}), Rule.FRAME_IN_TIME)
        assert slack.value == pytest.approx(lasts - needed, abs=1e-7)
        assert slack.share == pytest.approx((lasts - needed) / needed, abs=1e-4)
    spare = of(start({**base, "firmware.first_frame_delay": 1e-3}), Rule.FRAME_IN_TIME)
    assert spare.share == pytest.approx(spare.value / (lost - first.running_at), abs=1e-3)


# Above the level that ended the reset the lowest rail is that of the release, not that of the hold-up.
@pytest.mark.parametrize("away", [13e-3, 16e-3, 20e-3])
def test_rail_after_a_hold_up_at_constant_current(away):
    off = 0.02
    startup = start(
        {**ON_RESERVOIR, "run.interruptions": [[off, 1.0]], "run.duration": off + away,
         "adapter.output_capacitance": 1e-6}
    )  # fmt: skip
    c = startup.build.controller
    fall = c.run_current / (c.reservoir + c.rail_capacitance)
    expected = c.brownout_falling + (hold_up(startup, off) - off - away) * fall
    slack = of(startup, Rule.BROWN_OUT)
    assert slack.value == pytest.approx(expected - c.brownout_falling, abs=25e-3)
    assert slack.value < c.brownout_rising - c.brownout_falling
