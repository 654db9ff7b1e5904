"""The adapter's switching: over, allowance, trips, retries, latch, mains, soft start, plugging in."""

import numpy as np
import pytest

from inrushlib.startup import Kind, Verdict

from .bench import (
    BENCH,
    CONTENT,
    DARK,
    GREY,
    ON_THE_BUS,
    WHITE,
    delivered,
    instants,
    kinds,
    law_current,
    limit_at,
    pixel_load,
    start,
    value,
)

INSTANT = 1e-9  # [s] timers run to the last digit
GREY_CURRENT = pixel_load(0.5) + 5 / 1000  # [A] at 5 V, the bleed resistor's included

# White from power-on overloads the adapter until the first frame, the content does it again.
OVERLOADED_TWICE = {
    "adapter.limit_current": 0.3, "pixel.power_on": WHITE, "firmware.first_frame": DARK,
    "firmware.content": WHITE, "firmware.content_delay": 12e-3, "run.duration": 40e-3,
}  # fmt: skip
# Nothing until the content, which overloads the adapter: the first power-up is calm.
OVERLOADED_BY_CONTENT = {**OVERLOADED_TWICE, "pixel.power_on": DARK, "adapter.trip_delay": 5e-3}


class TestOver:
    """Over from 0.97 of the limit, no longer below 0.90 of it; in between it stays as it was."""

    @pytest.mark.parametrize("coming_from", ["below", "above"])
    @pytest.mark.parametrize("share", [0.885, 0.915, 0.955, 0.985])
    def test_between_the_levels_it_stays_as_it_was(self, share, coming_from):
        # The same steady current, come to from less or from an overload; a trip shows which flag it met.
        startup = start(
            {
                "adapter.limit_style": "hiccup", "adapter.trip_delay": 10e-3,
                "adapter.limit_current": GREY_CURRENT / share,
                "pixel.power_on": WHITE if coming_from == "above" else DARK, "firmware.first_frame": GREY,
                "run.duration": 25e-3,
            }
        )  # fmt: skip
        over = share > 0.97 or (coming_from == "above" and share > 0.90)
        assert (startup.trips > 0) == over

    @pytest.mark.parametrize("style", ["constant-current", "foldback"])
    def test_levels(self, style):
        # Allowance: with it the current passes the level on the way to the peak, and the level stays where it was.
        startup = start({**OVERLOADED_TWICE, "adapter.limit_style": style, "adapter.foldback_current": 0.2,
                         "adapter.peak_current": 0.45, "adapter.peak_time": 3e-3})  # fmt: skip
        assert len(instants(startup, Kind.OVER)) == 2
        for kind, share in ((Kind.OVER, 0.97), (Kind.NOT_OVER, 0.90)):
            for t in instants(startup, kind):
                v_o = value(startup, "adapter_voltage", t)
                v_ref = 5.0 * min(t / 2e-3, 1.0)
                current = law_current(startup.build, v_ref, v_o, 0.45 if kind is Kind.OVER else 0.3)
                assert current / limit_at(startup.build, v_o) == pytest.approx(share, abs=2e-4)


class TestAllowance:
    BUILD = {**OVERLOADED_TWICE, "adapter.peak_current": 0.45, "adapter.peak_time": 3e-3}  # noqa: RUF012

    def test_lasts_peak_time_after_becoming_over_and_is_restored(self):
        startup = start(self.BUILD)
        overs, spent = instants(startup, Kind.OVER), instants(startup, Kind.ALLOWANCE_SPENT)
        assert len(overs) == 2
        assert spent == pytest.approx([t + 3e-3 for t in overs], abs=INSTANT)
        for t in spent:
            assert delivered(startup, t - 0.1e-3) == pytest.approx(0.45, rel=0.01)
            assert delivered(startup, t + 0.5e-3) == pytest.approx(0.30, rel=0.01)

    def test_without_peak_current_there_is_none(self):
        startup = start(OVERLOADED_TWICE)
        assert not instants(startup, Kind.ALLOWANCE_SPENT)
        assert delivered(startup, instants(startup, Kind.OVER)[1] + 1e-3) == pytest.approx(0.30, rel=0.01)

    def test_not_spent_where_the_overload_is_shorter(self):
        # The first overload lasts some 4 ms. Its timer does not run on: the second one has its 6 ms whole.
        startup = start({**self.BUILD, "adapter.peak_time": 6e-3})
        first, second = instants(startup, Kind.OVER)
        assert instants(startup, Kind.NOT_OVER)[0] < first + 6e-3
        assert instants(startup, Kind.ALLOWANCE_SPENT) == pytest.approx([second + 6e-3], abs=INSTANT)
        assert delivered(startup, second + 5.9e-3) == pytest.approx(0.45, rel=0.01)

    def test_going_off_restores_it(self):
        # Over all the time: the mains goes away after the allowance is spent, and comes back.
        startup = start({**self.BUILD, "firmware.first_frame": WHITE, "run.interruptions": [[15e-3, 17e-3]]})
        first, second = instants(startup, Kind.ALLOWANCE_SPENT)
        assert first < 15e-3
        assert second == pytest.approx(instants(startup, Kind.OVER)[1] + 3e-3, abs=INSTANT)
        assert delivered(startup, second - 0.1e-3) == pytest.approx(0.45, rel=0.01)

    def test_tripping_restores_it(self):
        startup = start({**self.BUILD, "firmware.first_frame": WHITE, "adapter.limit_style": "hiccup",
                         "adapter.trip_delay": 5e-3, "adapter.retry_delay": 4e-3})  # fmt: skip
        assert startup.trips > 1
        second = instants(startup, Kind.ALLOWANCE_SPENT)[1]
        assert delivered(startup, second - 0.1e-3) == pytest.approx(0.45, rel=0.01)


class TestTrip:
    # Radio bursts overload the adapter again and again.
    BURSTS = {  # noqa: RUF012
        **ON_THE_BUS, "adapter.limit_current": 0.3, "adapter.limit_style": "hiccup", "adapter.trip_delay": 5e-3,
        "adapter.retry_delay": 200e-3, "adapter.soft_start": 15e-3, "controller.burst_current": 0.25,
        "controller.burst_period": 10e-3, "run.duration": 90e-3,
    }  # fmt: skip

    def test_many_short_overloads_do_not_add_up(self):
        startup = start({**self.BURSTS, "controller.burst_length": 2e-3})
        assert len(instants(startup, Kind.NOT_OVER)) >= 5
        assert startup.trips == 0

    def test_one_long_enough_trips(self):
        startup = start({**self.BURSTS, "controller.burst_length": 8e-3})
        assert instants(startup, Kind.TRIP) == pytest.approx([instants(startup, Kind.OVER)[0] + 5e-3], abs=INSTANT)

    def test_what_happens_while_over_does_not_start_the_time_anew(self):
        # Frames, boot, bursts and the spent allowance all fall into the time over.
        startup = start(
            {
                **OVERLOADED_TWICE, "adapter.limit_style": "latch-off", "adapter.trip_delay": 9e-3,
                "adapter.peak_current": 0.4, "adapter.peak_time": 2e-3, "firmware.first_frame": WHITE,
                "firmware.refresh_interval": 0.5e-3, "controller.burst_current": 0.1,
                "controller.burst_period": 1e-3, "controller.burst_length": 0.4e-3,
            }
        )  # fmt: skip
        over, trip = instants(startup, Kind.OVER)[0], instants(startup, Kind.TRIP)[0]
        assert Kind.NOT_OVER not in [s.kind for s in startup.switchings]
        assert sum(over < s.time < trip for s in startup.switchings) > 20
        assert trip == pytest.approx(over + 9e-3, abs=INSTANT)

    @pytest.mark.parametrize("style", ["constant-current", "foldback"])
    def test_other_styles_never_trip(self, style):
        startup = start({**OVERLOADED_BY_CONTENT, "adapter.limit_style": style})
        assert instants(startup, Kind.OVER)
        assert startup.trips == 0


class TestHiccup:
    BUILD = {**OVERLOADED_BY_CONTENT, "adapter.limit_style": "hiccup", "adapter.retry_delay": 10e-3}  # noqa: RUF012

    def test_off_for_retry_delay(self):
        startup = start(self.BUILD)
        (trip,), (retry,) = instants(startup, Kind.TRIP), instants(startup, Kind.RETRY)
        assert retry == pytest.approx(trip + 10e-3, abs=INSTANT)
        for t in np.linspace(trip + 0.1e-3, retry - 0.1e-3, 7):
            assert delivered(startup, t) == pytest.approx(0, abs=1e-4)

    def test_comes_on_with_a_new_soft_start(self):
        # The panel has forgotten and is dark, so the output follows the ramp as soon as that is above what is left.
        startup = start(self.BUILD)
        (retry,) = instants(startup, Kind.RETRY)
        assert value(startup, "adapter_voltage", retry) < 2.0
        for share in (0.7, 0.9):
            assert value(startup, "adapter_voltage", retry + share * 2e-3) == pytest.approx(share * 5.0, abs=0.02)
        assert value(startup, "adapter_voltage", retry + 4e-3) == pytest.approx(5.0, abs=0.02)

    def test_trips_again_and_again(self):
        startup = start({**self.BUILD, "pixel.power_on": WHITE, "run.duration": 80e-3})
        trips, retries = instants(startup, Kind.TRIP), instants(startup, Kind.RETRY)
        assert startup.trips == len(trips) >= 4
        assert retries == pytest.approx([t + 10e-3 for t in trips[: len(retries)]], abs=INSTANT)


class TestLatch:
    BUILD = {**OVERLOADED_BY_CONTENT, "adapter.limit_style": "latch-off", "adapter.retry_delay": 1e-3}  # noqa: RUF012

    def test_off_for_good(self):
        startup = start({**self.BUILD, "run.duration": 200e-3})
        assert startup.trips == 1
        assert not instants(startup, Kind.RETRY)
        assert value(startup, "adapter_voltage", 0.2) < 0.1

    def test_mains_return_clears_it(self):
        startup = start({**self.BUILD, "run.interruptions": [[25e-3, 30e-3]]})
        (trip,) = instants(startup, Kind.TRIP)
        assert trip < 25e-3
        assert delivered(startup, 29.9e-3) == pytest.approx(0, abs=1e-4)
        # A new soft start, from almost nothing.
        assert value(startup, "adapter_voltage", 31.6e-3) == pytest.approx(4.0, abs=0.02)
        assert value(startup, "adapter_voltage", 39e-3) == pytest.approx(5.0, abs=0.02)


class TestMains:
    def test_off_and_on_at_the_instants(self):
        startup = start({"run.interruptions": [[10e-3, 11e-3], [20e-3, 24e-3]]})
        assert instants(startup, Kind.MAINS_OFF) == pytest.approx([10e-3, 20e-3], abs=1e-12)
        assert instants(startup, Kind.MAINS_ON) == pytest.approx([11e-3, 24e-3], abs=1e-12)
        for t, on in ((9.9e-3, True), (10.1e-3, False), (19.9e-3, True), (20.1e-3, False), (23.9e-3, False)):
            assert (delivered(startup, t) > 5e-3) == on

    def test_return_is_a_new_soft_start(self):
        startup = start({"run.interruptions": [[10e-3, 30e-3]], "firmware.first_frame": WHITE})
        assert value(startup, "adapter_voltage", 30e-3) < 2.5
        for share in (0.7, 0.9):
            assert value(startup, "adapter_voltage", 30e-3 + share * 2e-3) == pytest.approx(5.0 * share, abs=0.02)

    def test_going_away_ends_over_and_its_trip_timer(self):
        # Over since 15.4 ms or so; 5 ms later it would trip. The mains blinks in between.
        startup = start({**TestHiccup.BUILD, "run.interruptions": [[17e-3, 17.2e-3]]})
        overs, (trip, *_) = instants(startup, Kind.OVER), instants(startup, Kind.TRIP)
        assert overs[0] < 17e-3
        assert overs[0] + 5e-3 < trip
        assert trip == pytest.approx(overs[1] + 5e-3, abs=INSTANT)

    def test_return_drops_a_pending_retry(self):
        # Trip at 20.4 ms or so, retry would be at 30.4 ms; the mains is away from 22 to 25 ms.
        startup = start({**TestHiccup.BUILD, "run.interruptions": [[22e-3, 25e-3]]})
        (trip,) = instants(startup, Kind.TRIP)
        assert trip < 22e-3
        assert not instants(startup, Kind.RETRY)
        assert value(startup, "adapter_voltage", 26.8e-3) == pytest.approx(4.5, abs=0.02)
        t = np.linspace(28e-3, 40e-3, 500)
        assert startup.at(t)["adapter_voltage"] == pytest.approx(5.0, abs=0.02)

    def test_nothing_switches_it_on_while_the_mains_is_away(self):
        # The retry falls into the interruption: it does not happen then, nor after it.
        startup = start({**TestHiccup.BUILD, "run.interruptions": [[22e-3, 34e-3]]})
        (trip,) = instants(startup, Kind.TRIP)
        assert 22e-3 < trip + 10e-3 < 34e-3
        assert not instants(startup, Kind.RETRY)
        for t in np.linspace(22.1e-3, 33.9e-3, 20):
            assert delivered(startup, t) == pytest.approx(0, abs=1e-4)
        assert value(startup, "adapter_voltage", 35.8e-3) == pytest.approx(4.5, abs=0.02)

    def test_a_run_can_end_in_an_interruption(self):
        startup = start({"run.interruptions": [[30e-3, 50e-3]]})
        assert kinds(startup, Kind.MAINS_OFF, Kind.MAINS_ON) == [Kind.MAINS_OFF]
        assert startup.verdict is Verdict.STUCK


class TestStart:
    def test_mains_start_is_a_ramp_from_zero(self):
        curves = start({}).at(np.array([0.0, 0.5e-3, 1.5e-3, 2.5e-3]))
        assert curves["adapter_voltage"] == pytest.approx([0, 1.25, 3.75, 5.0], abs=0.02)

    def test_plug_start_has_the_adapter_up(self):
        startup = start({"run.start": "plug"})
        names = [name for name in startup.curves if name != "adapter_voltage"]
        curves = startup.at(np.array([0.0]))
        assert curves["adapter_voltage"][0] == pytest.approx(5.0, abs=1e-9)
        assert [curves[name][0] for name in names] == [0.0] * len(names)

    def test_plug_start_has_no_soft_start(self):
        # 10 uF behind 0.5 ohm are full after 50 us; a set point ramped over 2 ms would be at 0.5 V after 200 us.
        startup = start({"run.start": "plug", "adapter.output_capacitance": 1e-6})
        assert value(startup, "adapter_voltage", 200e-6) == pytest.approx(5.0, abs=0.05)
        v_o = value(startup, "adapter_voltage", 50e-6)
        assert delivered(startup, 50e-6, dt=5e-7) == pytest.approx(law_current(startup.build, 5.0, v_o, 2.0), rel=0.01)

    def test_after_plugging_in_a_mains_return_is_a_soft_start(self):
        startup = start({"run.start": "plug", "run.interruptions": [[10e-3, 30e-3]], "firmware.first_frame": WHITE})
        assert value(startup, "adapter_voltage", 31.8e-3) == pytest.approx(4.5, abs=0.02)


class TestEndOfTheRamp:
    """Where the soft start ends nothing but the ramp's slope changes; what follows is resolved all the same."""

    # A stiff adapter, and a panel that is off: nothing happens for a long time after the ramp.
    QUIET = {  # noqa: RUF012
        "switch": {}, "controller.boot_time": 1, "adapter.output_capacitance": 1e-3, "adapter.output_resistance": 7e-3,
        "adapter.limit_current": 8, "adapter.soft_start": 20e-3, "lead.resistance": 20e-3, "lead.inductance": 0.4e-6,
        "bus.ceramic": 100e-6, "run.duration": 0.2,
    }  # fmt: skip

    def test_soft_start(self):
        startup, tight = start(self.QUIET, tolerance=1e-5), start(self.QUIET, tolerance=1e-9)
        t = np.linspace(19e-3, 199e-3, 3000)
        for name, allowed in (("adapter_voltage", 1e-3), ("bus_voltage", 1e-3), ("lead_current", 5e-3)):
            assert startup.at(t)[name] == pytest.approx(tight.at(t)[name], abs=allowed)
        assert abs(startup.energy.imbalance) < 1e-3

    def test_own_supply(self):
        # Big capacitors behind little resistance lag the ramp; at its end the current into them dies away.
        values = {"controller.reservoir": 1e-3, "controller.feed_resistance": 0.02, "controller.brownout_rising": 3.4,
                  "run.duration": 0.1}  # fmt: skip
        startup, tight = start(values, tolerance=1e-5), start(values, tolerance=1e-9)
        t = np.linspace(0.9e-3, 99e-3, 3000)
        for name in ("reservoir_voltage", "rail_voltage"):
            assert startup.at(t)[name] == pytest.approx(tight.at(t)[name], abs=1e-3)
        assert abs(startup.energy.imbalance) < 1e-3


class TestOwnSupply:
    SMALL = {"controller.reservoir": 1e-6, "controller.reset_current": 0}  # noqa: RUF012

    def test_ramp_of_one_millisecond(self):
        curves = start(self.SMALL).at(np.array([0.25e-3, 0.5e-3, 0.75e-3, 1.5e-3, 2e-3]))
        assert curves["reservoir_voltage"] == pytest.approx([1.25, 2.5, 3.75, 5.0, 5.0], abs=0.02)

    def test_interruptions_do_not_touch_it(self):
        startup = start({"run.interruptions": [[10e-3, 100e-3]], "run.duration": 100e-3})
        assert startup.brown_outs == 0
        t = np.linspace(10e-3, 100e-3, 200)
        assert startup.at(t)["rail_voltage"] == pytest.approx(3.3, abs=0.01)

    def test_takes_nothing_from_the_bus(self):
        startup = start({"controller.run_current": 0.3})
        # 16 dark pixels and nothing else.
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(0), rel=1e-4)
        assert startup.energy.own_supply > 0.3 * 3.3 * 30e-3

    def test_on_the_bus_it_does(self):
        startup = start({**ON_THE_BUS, "controller.run_current": 0.3})
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(0) + 0.3, rel=1e-3)
        assert startup.energy.own_supply == 0


def test_the_bench_is_calm():
    startup = start({})
    assert startup.verdict is Verdict.BOOTS
    assert not instants(startup, Kind.OVER)
    assert instants(startup, Kind.FRAME_START, CONTENT) == []
    assert BENCH.wiring.sections == 2


@pytest.mark.parametrize("limit", [2.0, 20.0, 400.0])
def test_a_large_adapter_stands_at_its_voltage_when_little_is_drawn(limit):
    # Some 20 mA are drawn: a lower corner that grew with the limit would lift the output by w ln(w / 20 mA) * 30 mohm.
    startup = start({"adapter.rated_current": limit / 2, "adapter.limit_current": limit, "run.duration": 60e-3})
    assert value(startup, "adapter_voltage", 60e-3) == pytest.approx(5.0 - 0.03 * pixel_load(0), abs=1e-3)
