"""The six verdicts, what counts as a relapse, when it was ready and running.

Each scenario is made so that one rule decides: without the rule another verdict would stand.
"""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import Kind, Verdict, highest_rail_voltage, needed_bus_voltage, screen, simulate
from inrushlib.startup.effort import SCREEN_TOLERANCE

from .bench import BENCH, FIRST, GREY, ON_THE_BUS, WHITE, instants, pixel_load, showing, start
from .test_rules_controller import BROWN_OUT_BURST
from .test_rules_sections import QUICK, blink, starved

INSTANT = 1e-9  # [s]

# Runs from 4 ms, ready at 5.7 ms, browned out by its radio at 16 ms, runs again from 19 ms, browned out at 31 ms ...
RADIO = {**BROWN_OUT_BURST, **QUICK, "run.duration": 25e-3}
# Ready at 5.4 ms, overloaded by the content from 14.4 ms on, trips 5 ms later; dark again after the retry.
TRIPPING = {
    "adapter.limit_current": 0.3, "adapter.limit_style": "hiccup", "adapter.trip_delay": 5e-3,
    "adapter.retry_delay": 8e-3, "firmware.content": WHITE, "firmware.content_delay": 10e-3, "run.duration": 40e-3,
}  # fmt: skip
# Overloaded from the start, trips at 7 ms, before the first frame; dark from then on.
TRIPS_BEFORE_READY = {
    "adapter.limit_current": 0.3, "adapter.limit_style": "hiccup", "adapter.trip_delay": 7e-3,
    "adapter.retry_delay": 4e-3, "adapter.soft_start": 1e-3, "pixel.power_on": GREY,
}  # fmt: skip


def at_the_end(startup):
    """In run, adapter on, sections that show a frame: read off the list of switchings."""
    controller, adapter = "reset", True
    for s in startup.switchings:
        if s.kind in (Kind.RUN, Kind.BROWN_OUT):
            controller = "run" if s.kind is Kind.RUN else "reset"
        if s.kind in (Kind.TRIP, Kind.MAINS_OFF):
            adapter = False
        if s.kind in (Kind.RETRY, Kind.MAINS_ON):
            adapter = True
    return controller == "run", adapter, showing(startup)


IN_RUN_ON_READY = (True, True, [0, 1])


class TestBoots:
    def test_at_the_first_try(self):
        startup = start({})
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.BOOTS
        assert startup.verdict.starts

    def test_an_interruption_alone_does_not_spoil_it(self):
        build = {**QUICK, "firmware.refresh_interval": 2e-3}
        startup = start({**build, "run.interruptions": blink(10e-3, build, deep=True)})
        assert instants(startup, Kind.FORGETS)
        assert startup.verdict is Verdict.BOOTS


class TestBootsAfterResets:
    def test_a_brown_out_on_the_way(self):
        startup = start({"controller.feed": "bus", "run.interruptions": [[2.5e-3, 8e-3]]})
        assert (startup.brown_outs, startup.trips) == (1, 0)
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.BOOTS_AFTER_RESETS
        assert startup.verdict.starts

    def test_a_trip_on_the_way(self):
        startup = start({**TRIPS_BEFORE_READY, "firmware.refresh_interval": 2e-3, "firmware.first_frame_delay": 8e-3})
        assert (startup.brown_outs, startup.trips) == (0, 1)
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.BOOTS_AFTER_RESETS


class TestAdapterTrips:
    def test_not_in_run_at_the_end(self):
        # On the bus: the trip takes the controller with it, and the retry is too late for another boot.
        startup = start({**TRIPPING, **ON_THE_BUS, "controller.reservoir": 10e-6, "controller.boot_time": 12e-3})
        assert (startup.trips > 0, startup.brown_outs > 0) == (True, True)
        in_run, on, _ = at_the_end(startup)
        assert (in_run, on) == (False, True)
        assert startup.verdict is Verdict.ADAPTER_TRIPS

    def test_off_at_the_end_though_never_ready(self):
        # The program runs, no relapse, no brown-out: only the adapter's being off decides.
        startup = start({**TRIPS_BEFORE_READY, "adapter.limit_style": "latch-off", "firmware.first_frame_delay": 50e-3})
        assert at_the_end(startup) == (True, False, [])
        assert startup.verdict is Verdict.ADAPTER_TRIPS

    def test_off_at_the_end_for_want_of_mains(self):
        startup = start({**TRIPS_BEFORE_READY, "firmware.first_frame_delay": 50e-3, "run.interruptions": [[30e-3, 1]]})
        assert at_the_end(startup) == (True, False, [])
        assert startup.verdict is Verdict.ADAPTER_TRIPS

    def test_relapse_that_is_a_trip(self):
        # It runs, is on and, written by later frames, even ready at the end.
        startup = start({**TRIPPING, "firmware.refresh_interval": 3e-3, "run.duration": 32e-3})
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.ADAPTER_TRIPS
        assert startup.ready_at is None


class TestKeepsResetting:
    def test_relapse_that_is_a_brown_out(self):
        startup = start(RADIO)
        assert startup.brown_outs == 1
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.KEEPS_RESETTING
        assert startup.ready_at is None

    def test_brown_outs_and_never_run(self):
        startup = start({**BROWN_OUT_BURST, "controller.boot_current": 0.8, "controller.boot_time": 1e-3,
                         "run.duration": 4e-3})  # fmt: skip
        assert startup.running_at is None
        assert startup.verdict is Verdict.KEEPS_RESETTING

    def test_in_run_and_not_ready_after_a_brown_out(self):
        startup = start({**RADIO, "firmware.first_frame_delay": 13e-3})
        assert at_the_end(startup) == (True, True, [])
        assert startup.verdict is Verdict.KEEPS_RESETTING


class TestNotInRun:
    """All sections show data and the adapter is on, but the controller boots again when the run ends."""

    def test_it_keeps_resetting(self):
        values = {**QUICK, "controller.feed": "bus", "controller.boot_time": 4e-3, "pixel.forget_voltage": 1e-3}
        startup = start({**values, "run.interruptions": [[15e-3, 20e-3]], "run.duration": 23e-3})
        in_run, adapter_on, shown = at_the_end(startup)
        assert (in_run, adapter_on, shown) == (False, True, [0, 1])
        assert startup.brown_outs == 1
        assert startup.verdict is Verdict.KEEPS_RESETTING


class TestDisplayStaysLit:
    def test_a_section_never_took_its_frame(self):
        startup = start({**starved(4, 1, 2), "pixel.power_on": WHITE})
        assert at_the_end(startup) == (True, True, [0, 1])
        assert startup.verdict is Verdict.DISPLAY_STAYS_LIT

    def test_it_lost_its_frame(self):
        startup = start({**QUICK, "run.interruptions": blink(10e-3, QUICK, deep=True)})
        assert at_the_end(startup) == (True, True, [])
        assert startup.verdict is Verdict.DISPLAY_STAYS_LIT

    def test_a_trip_that_is_no_relapse_does_not_change_it(self):
        # A large capacitor takes two goes to fill; the only frame comes before the pixels listen.
        startup = start({"adapter.limit_current": 0.3, "adapter.limit_style": "hiccup", "adapter.trip_delay": 7e-3,
                         "adapter.retry_delay": 4e-3, "bus.bulk": 1e-3, "firmware.first_frame_delay": 0})  # fmt: skip
        assert (startup.trips, startup.brown_outs) == (2, 0)
        assert at_the_end(startup) == (True, True, [])
        assert startup.verdict is Verdict.DISPLAY_STAYS_LIT

    def test_the_mains_may_be_away(self):
        startup = start({**QUICK, "run.interruptions": [[10e-3, 1]]})
        assert at_the_end(startup) == (True, False, [])
        assert startup.verdict is Verdict.DISPLAY_STAYS_LIT


class TestStuck:
    def test_never_out_of_reset(self):
        startup = start({"controller.own_voltage": 2.5})
        assert startup.verdict is Verdict.STUCK
        assert startup.running_at is None

    def test_still_booting(self):
        assert start({"controller.boot_time": 1.0}).verdict is Verdict.STUCK

    def test_mains_away_at_the_end_though_all_show_data(self):
        # Nothing drains the panel: it runs and shows data, but the adapter is off.
        startup = start({"adapter.bleed_resistance": 1e6, "pixel.quiescent_current": 1e-6,
                         "run.interruptions": [[39e-3, 1]]})  # fmt: skip
        assert at_the_end(startup) == (True, False, [0, 1])
        assert startup.verdict is Verdict.STUCK
        assert startup.ready_at is None


class TestRelapse:
    """A brown-out or a trip after ready was first reached since the last power-up; the first one decides."""

    BLINKED = {**RADIO, "run.interruptions": blink(8e-3, RADIO)}  # noqa: RUF012

    def test_ready_that_merely_holds_when_the_mains_returns_does_not_count(self):
        # Ready at 5.7 ms, the mains blinks at 8 ms and nothing is forgotten; the brown-out at 16 ms is no relapse.
        startup = start(self.BLINKED)
        assert startup.brown_outs == 1
        assert not instants(startup, Kind.FORGETS)
        assert startup.verdict is Verdict.BOOTS_AFTER_RESETS

    def test_until_the_next_frame_ends(self):
        startup = start({**self.BLINKED, "firmware.refresh_interval": 5e-3})
        back, out = instants(startup, Kind.MAINS_ON)[0], instants(startup, Kind.BROWN_OUT)[0]
        assert any(back < t < out for t in instants(startup, Kind.FRAME_END))
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.KEEPS_RESETTING

    def test_or_run_is_entered(self):
        # White data hold an adapter at its limit, from the blink at 8 ms on. Brown-out at 16 ms, no relapse; run at
        # 19 ms with all showing: ready. Trip at 19.5 ms, before the frame of that run ends: a relapse, and the first.
        startup = start(
            {
                **RADIO, "adapter.bleed_resistance": 1e3, "adapter.soft_start": 0.02e-3, "firmware.first_frame": GREY,
                "adapter.limit_current": 0.2, "adapter.limit_style": "hiccup", "adapter.trip_delay": 11.4e-3,
                "adapter.retry_delay": 2e-3, "run.interruptions": [[8e-3, 8.01e-3]],
            }
        )  # fmt: skip
        assert not [t for t in instants(startup, Kind.FORGETS) if t < 19e-3]
        (trip,), (out,) = instants(startup, Kind.TRIP), instants(startup, Kind.BROWN_OUT)
        run = instants(startup, Kind.RUN)[1]
        assert out < run < trip < run + 1.78e-3
        assert at_the_end(startup)[:2] == (True, True)
        assert startup.verdict is Verdict.ADAPTER_TRIPS

    def test_a_second_brown_out_after_that_is_one(self):
        startup = start({**self.BLINKED, "run.duration": 36e-3})
        assert startup.brown_outs == 2
        assert at_the_end(startup) == IN_RUN_ON_READY
        assert startup.verdict is Verdict.KEEPS_RESETTING

    @pytest.mark.parametrize(
        ("period", "order", "verdict"),
        [
            (12e-3, [Kind.BROWN_OUT, Kind.TRIP], Verdict.KEEPS_RESETTING),
            (20e-3, [Kind.TRIP, Kind.BROWN_OUT], Verdict.ADAPTER_TRIPS),
        ],
    )
    def test_the_first_one_decides(self, period, order, verdict):
        startup = start(
            {
                **BROWN_OUT_BURST, **TRIPPING, "controller.burst_period": period, "adapter.trip_delay": 10e-3,
                "firmware.content_delay": 4e-3, "adapter.retry_delay": 5e-3, "run.duration": 30e-3,
            }
        )  # fmt: skip
        assert [s.kind for s in startup.switchings if s.kind in (Kind.TRIP, Kind.BROWN_OUT)] == order
        assert at_the_end(startup)[:2] == (True, True)
        assert startup.verdict is verdict

    def test_a_power_up_forgets_earlier_ones(self):
        # Ready, then a trip: a relapse. The mains comes back and the display stays unwritten: that is what counts now.
        startup = start({**TRIPPING, "run.interruptions": [[22e-3, 25e-3]]})
        assert startup.trips == 1
        assert at_the_end(startup) == (True, True, [])
        assert startup.verdict is Verdict.DISPLAY_STAYS_LIT

    def test_a_power_up_after_a_relapse_can_still_end_well(self):
        startup = start({**RADIO, "run.interruptions": blink(22e-3, RADIO)})
        assert startup.brown_outs == 1
        assert startup.verdict is Verdict.BOOTS_AFTER_RESETS


class TestRunningAt:
    def test_when_run_was_first_entered(self):
        startup = start(RADIO)
        runs = instants(startup, Kind.RUN)
        assert len(runs) == 2
        assert startup.running_at == runs[0]


class TestReadyAt:
    def test_end_of_the_frame_that_reached_the_last_section(self):
        # The second section fills through 200 ohm with a time constant of 16 ms.
        startup = start({"wiring.feeds": [0], "wiring.hop_resistance": 200, "wiring.capacitance_per_pixel": 10e-6,
                         "firmware.refresh_interval": 1e-3})  # fmt: skip
        first, last = (instants(startup, Kind.SHOWS, k)[0] for k in (0, 1))
        assert first < last
        assert startup.ready_at == last
        assert last in instants(startup, Kind.FRAME_END, FIRST)

    def test_a_later_frame_does_not_move_it(self):
        startup = start({"firmware.refresh_interval": 2e-3, "firmware.content_delay": 9e-3, "firmware.content": GREY})
        assert startup.ready_at == instants(startup, Kind.FRAME_END)[0]

    def test_a_brown_out_that_nothing_forgets_does_not_move_it(self):
        startup = start(TestRelapse.BLINKED)
        assert startup.ready_at == instants(startup, Kind.FRAME_END)[0] < instants(startup, Kind.BROWN_OUT)[0]

    def test_forgetting_does(self):
        build = {**QUICK, "firmware.refresh_interval": 2e-3}
        startup = start({**build, "run.interruptions": blink(10e-3, build, deep=True)})
        forgot = max(instants(startup, Kind.FORGETS))
        assert startup.ready_at == instants(startup, Kind.SHOWS, 1)[1] > forgot
        assert startup.ready_at in instants(startup, Kind.FRAME_END)

    def test_one_section_forgetting_is_enough(self):
        # White content pulls the section behind 300 ohm under 1.8 V, again and again; the other one keeps its data.
        build = {"wiring.feeds": [0], "wiring.hop_resistance": 300, "pixel.wake_voltage": 1.5,
                 "firmware.content": WHITE, "firmware.content_delay": 10e-3,
                 "firmware.refresh_interval": 3e-3}  # fmt: skip
        written = instants(start(build), Kind.SHOWS, 1)[-1]
        startup = start({**build, "run.duration": written + 1e-6})
        assert {s.index for s in startup.switchings if s.kind is Kind.FORGETS} == {1}
        assert startup.verdict is Verdict.BOOTS
        assert startup.ready_at == pytest.approx(written, abs=INSTANT)


class TestFigures:
    def test_peak_lead_current_is_that_of_the_continuous_curve(self):
        # Plugged onto empty capacitors: the current peaks in between two steps.
        startup = start({"run.start": "plug", "lead.inductance": 5e-6, "lead.resistance": 0.1, "run.duration": 5e-3})
        t = np.linspace(0, 1e-3, 100_001)
        dense = startup.at(t)["lead_current"]
        assert startup.figures.peak_lead_current == pytest.approx(dense.max(), rel=1e-6)
        assert startup.figures.peak_lead_current_at == pytest.approx(t[dense.argmax()], abs=2e-8)
        assert screen(startup.build).peak_lead_current == pytest.approx(dense.max(), rel=2e-3)
        # At one tolerance both take the same steps: the peak inside a step counts in either.
        coarse = simulate(startup.build, tolerance=SCREEN_TOLERANCE).figures
        assert screen(startup.build).peak_lead_current == pytest.approx(coarse.peak_lead_current, rel=1e-9)

    def test_end_values_are_those_at_the_end(self):
        startup = start({"firmware.first_frame": WHITE})
        end = startup.at(np.array([40e-3]))
        f = startup.figures
        assert f.final_lead_current == pytest.approx(end["lead_current"][0], abs=1e-12)
        assert f.final_lead_current == pytest.approx(pixel_load(1), rel=1e-3)
        assert f.final_bus_voltage == pytest.approx(end["bus_voltage"][0], abs=1e-12)
        assert f.final_rail_voltage == pytest.approx(end["rail_voltage"][0], abs=1e-12)
        assert f.final_section_voltages == pytest.approx([end[f"section_{k}_voltage"][0] for k in (0, 1)], abs=1e-12)


@pytest.mark.parametrize(
    "values",
    [
        {}, RADIO, TRIPPING, TRIPS_BEFORE_READY, {"controller.own_voltage": 2.5}, TestRelapse.BLINKED,
        {**starved(4, 1, 2), "pixel.power_on": WHITE},
    ],
)  # fmt: skip
def test_screen_says_the_same(values):
    build = BENCH.with_values(values)
    full, short = start(values), screen(build)
    assert (short.verdict, short.brown_outs, short.trips) == (full.verdict, full.brown_outs, full.trips)
    for name in ("running_at", "ready_at"):
        a, b = getattr(full, name), getattr(short, name)
        assert b == (None if a is None else pytest.approx(a, abs=20e-6))


class TestNeededBusVoltage:
    """What the bus has to reach for reset to end, held against runs of the model itself."""

    @staticmethod
    def build(level, drawn, **values):
        keys = {
            "title": "dark panel", "adapter.rated_current": 10, "wiring.sections": 1, "wiring.pixels_per_section": 8,
            "pixel.power_on": [0, 0, 0], "pixel.quiescent_current": 0, "adapter.bleed_resistance": 100,
            "controller.brownout_rising": level, "controller.reset_current": drawn, "controller.boot_current": drawn,
            "run.duration": 0.3,
        }  # fmt: skip
        return new_build(keys | values)

    @pytest.mark.parametrize("level", [2.8, 3.2, 3.29])
    @pytest.mark.parametrize("drawn", [1e-3, 10e-3, 0.1])
    def test_a_little_more_frees_it_and_a_little_less_does_not(self, level, drawn):
        need = needed_bus_voltage(self.build(level, drawn))
        for volts, frees in ((need + 0.03, True), (need - 0.03, False)):
            start = simulate(self.build(level, drawn, **{"adapter.rated_voltage": volts}))
            assert any(s.kind is Kind.RESET_RELEASE for s in start.switchings) is frees

    @pytest.mark.parametrize(
        ("level", "drawn", "values"),
        [
            (3.4, 10e-3, {}),
            # Below the nominal 3.3 V, but above what is left of it at 100 mA: 3.3 V - 50 mohm * 100 mA = 3.295 V.
            (3.298, 0.1, {}),
            (2.8, 80e-3, {"controller.regulator_limit": 50e-3}),
            (3.4, 10e-3, {"controller.feed": "own"}),
        ],
    )
    def test_no_bus_voltage_helps_and_the_reason_says_so(self, level, drawn, values):
        build = self.build(level, drawn, **values)
        assert needed_bus_voltage(build) is None
        for volts in (5.1, 12):
            start = simulate(build.with_values({"adapter.rated_voltage": volts}))
            assert start.verdict is Verdict.STUCK
            assert start.reason.endswith("no bus voltage starts the controller")
        assert highest_rail_voltage(self.build(3.298, 0.1)) == pytest.approx(3.295)


def test_neighbouring_sections_are_named_together():
    # Fed at its beginning, a long sign is too low at its end to hear that it should go dark.
    sign = new_build(
        {"title": "t", "adapter.rated_current": 20, "wiring.sections": 12, "wiring.pixels_per_section": 128}
    )
    startup = simulate(sign)
    assert startup.verdict is Verdict.DISPLAY_STAYS_LIT
    assert "sections 5 to 11 show no data at the end" in startup.reason
