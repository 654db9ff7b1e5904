"""The controller's switching: reset, boot, run, brown-out, radio bursts; its gate and what it draws."""

import numpy as np
import pytest
from scipy.optimize import brentq

from inrushlib.startup import Kind

from .bench import DARK, FIRST, GREY, ON_THE_BUS, WHITE, instants, kinds, pixel_load, showing, soft, start, value

INSTANT = 1e-9  # [s]

# A weak supply of its own: 80 mA in run leave the rail at 2.92 V or so, a burst pulls it to a level of choice.
WEAK = {
    "controller.own_voltage": 3.1, "controller.dropout_resistance": 1.0, "controller.feed_resistance": 0.05,
    "controller.rail_capacitance": 1e-6, "controller.reservoir": 1e-6,
    "controller.burst_length": 2e-3, "controller.burst_period": 12e-3,
}  # fmt: skip


def weak_rail(load):
    """The weak supply's rail [V] under a load [A]."""
    return 3.1 - 0.08 - load * (1.0 + 0.05)


BROWN_OUT_BURST = {**WEAK, "controller.burst_current": 0.7}  # would pull the rail to 2.2 V
SHALLOW_BURST = {**WEAK, "controller.burst_current": 0.5}  # pulls it to 2.41 V


class TestResetAndBoot:
    def test_released_when_the_rail_rises_to_the_upper_level(self):
        startup = start({"controller.brownout_rising": 2.7})
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert value(startup, "rail_voltage", release) == pytest.approx(2.7, abs=1e-6)
        assert np.all(startup.at(np.linspace(0, release - 1e-6, 50))["rail_voltage"] < 2.7)

    @pytest.mark.parametrize("boot_time", [0.0, 3e-3, 11e-3])
    def test_runs_after_boot_time(self, boot_time):
        startup = start({"controller.boot_time": boot_time})
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert startup.running_at == pytest.approx(release + boot_time, abs=INSTANT)
        assert instants(startup, Kind.RUN) == [startup.running_at]

    def test_draws_by_mode(self):
        startup = start({**ON_THE_BUS, "controller.reservoir": 1e-6, "controller.feed_diode": False,
                         "controller.reset_current": 0.02, "controller.boot_current": 0.05,
                         "controller.run_current": 0.11, "controller.boot_time": 5e-3,
                         "controller.brownout_rising": 3.29})  # fmt: skip
        # Reset ends late, with the rail near its end.
        (release,) = instants(startup, Kind.RESET_RELEASE)
        (run,) = instants(startup, Kind.RUN)
        assert value(startup, "lead_current", run - 0.1e-3) == pytest.approx(0.05 + pixel_load(0), rel=0.01)
        assert value(startup, "lead_current", run + 3e-3) == pytest.approx(0.11 + pixel_load(0), rel=0.01)
        assert release < run

    def test_draws_reset_current_in_reset(self):
        startup = start({**ON_THE_BUS, "controller.reset_current": 0.02, "controller.brownout_rising": 3.35})
        assert startup.running_at is None
        assert startup.figures.final_lead_current == pytest.approx(0.02 + pixel_load(0), rel=0.01)


class TestHysteresis:
    def test_between_the_levels_it_is_not_released(self):
        # The rail comes to 2.5 V and stays there.
        startup = start({"controller.own_voltage": 2.59})
        assert 2.3 < startup.figures.final_rail_voltage < 2.8
        assert not instants(startup, Kind.RESET_RELEASE)

    def test_between_the_levels_it_keeps_running(self):
        startup = start(SHALLOW_BURST)
        assert startup.figures.lowest_rail_voltage == pytest.approx(weak_rail(0.58), abs=0.01)
        assert 2.3 < startup.figures.lowest_rail_voltage < 2.8
        assert startup.brown_outs == 0

    def test_brown_out_when_the_rail_falls_to_the_lower_level(self):
        startup = start({**BROWN_OUT_BURST, "controller.brownout_falling": 2.35})
        outs = instants(startup, Kind.BROWN_OUT)
        assert startup.brown_outs == len(outs) >= 2
        for t in outs:
            assert value(startup, "rail_voltage", t) == pytest.approx(2.35, abs=1e-6)


class TestBrownOutInBoot:
    """Booting draws so much that the rail falls again at once: reset and boot chase each other."""

    BUILD = {  # noqa: RUF012
        **WEAK, "controller.rail_capacitance": 22e-6, "controller.boot_current": 0.8, "controller.boot_time": 1e-3,
        "run.duration": 10e-3,
    }  # fmt: skip

    def test_each_one_is_counted(self):
        startup = start(self.BUILD)
        assert startup.brown_outs == len(instants(startup, Kind.BROWN_OUT)) > 50

    def test_the_boot_timer_is_dropped(self):
        # No boot lasts 1 ms, so the program never runs; the timer of the first would end at 2 ms or so.
        startup = start(self.BUILD)
        assert max(np.diff(instants(startup, Kind.BROWN_OUT))) < 1e-3
        assert startup.running_at is None

    def test_boot_starts_anew(self):
        # The mains is away from 8 to 15 ms; the first boot would end at 12.6 ms. The second one takes its whole time.
        away = {"run.interruptions": [[8e-3, 15e-3]]}
        startup = start({"controller.feed": "bus", "controller.boot_time": 12e-3, **away})
        first, second = instants(startup, Kind.RESET_RELEASE)
        assert first < instants(startup, Kind.BROWN_OUT)[0] < first + 12e-3 < 15e-3 < second
        assert instants(startup, Kind.RUN) == pytest.approx([second + 12e-3], abs=INSTANT)


class TestBrownOutInRun:
    def test_back_to_reset_and_its_current(self):
        startup = start({**BROWN_OUT_BURST, "controller.reset_current": 0.02, "controller.brownout_rising": 2.99})
        out = instants(startup, Kind.BROWN_OUT)[0]
        # Reset draws little, so the rail is back within some time constants of 1 uF behind 1 ohm.
        assert value(startup, "rail_voltage", out + 4e-6) == pytest.approx(weak_rail(0.02), abs=0.02)

    def test_gate_is_let_go(self):
        startup = start({**BROWN_OUT_BURST, "switch": {}, "pixel.power_on": GREY})
        low, out = instants(startup, Kind.GATE_LOW)[0], instants(startup, Kind.BROWN_OUT)[0]
        again = instants(startup, Kind.GATE_LOW)[1]
        assert low < out < again
        # On, the gate divider holds it at 1 % of the bus; off, the pull-up takes it to the bus: 12 us a time constant.
        assert value(startup, "gate_voltage", out - 0.1e-3) == pytest.approx(5 * 100 / 10100, abs=0.01)
        assert value(startup, "gate_voltage", out + 0.3e-3) == pytest.approx(5.0, abs=0.05)
        # And the panel, which draws, is off after a while.
        assert value(startup, "panel_voltage", out - 0.1e-3) > 4.5
        assert value(startup, "panel_voltage", out + 1e-3) < 2.5

    def test_frame_on_the_line_is_lost(self):
        # The frame lasts from 1 to 16 ms after run, the burst starts at 12 ms. All sections listen all the time.
        long_frame = {"firmware.bit_time": 15e-3 / (24 * 16), "run.duration": 28e-3}
        startup = start({**BROWN_OUT_BURST, **long_frame})
        frames = kinds(startup, Kind.FRAME_START, Kind.FRAME_END, Kind.FRAME_LOST)
        assert frames[:2] == [Kind.FRAME_START, Kind.FRAME_LOST]
        assert Kind.FRAME_END not in frames
        assert instants(startup, Kind.FRAME_LOST) == instants(startup, Kind.BROWN_OUT)[:1]
        assert not instants(startup, Kind.DEAF)
        assert showing(startup) == []
        # The same frame where nothing browns out.
        assert showing(start({**SHALLOW_BURST, **long_frame})) == [0, 1]

    def test_frame_timers_are_dropped(self):
        # First frame at 13 ms after run: every brown-out, at 12 ms, comes before it.
        startup = start({**BROWN_OUT_BURST, "firmware.first_frame_delay": 13e-3, "firmware.content_delay": 14e-3,
                         "run.duration": 60e-3})  # fmt: skip
        assert startup.brown_outs >= 3
        assert not instants(startup, Kind.FRAME_START)

    def test_refresh_starts_anew_with_run(self):
        startup = start({**BROWN_OUT_BURST, "firmware.refresh_interval": 2e-3, "run.duration": 45e-3})
        runs, outs = instants(startup, Kind.RUN), instants(startup, Kind.BROWN_OUT)
        assert len(runs) >= 3
        for run, out in zip(runs, outs, strict=False):
            inside = [t for t in instants(startup, Kind.FRAME_START) if run <= t <= out]
            assert inside == pytest.approx([run + 1e-3 + j * 2e-3 for j in range(6)], abs=INSTANT)
        for out, run in zip(outs, runs[1:], strict=False):
            assert not [t for t in instants(startup, Kind.FRAME_START) if out < t < run]

    def test_gate_timer_is_dropped(self):
        startup = start({**BROWN_OUT_BURST, "switch": {}, "firmware.gate_delay": 12.5e-3, "run.duration": 60e-3})
        assert startup.brown_outs >= 3
        assert not instants(startup, Kind.GATE_LOW)

    def test_bursts_are_dropped(self):
        # Each run has its own bursts, one period in; the burst that made the brown-out does not go on.
        startup = start({**BROWN_OUT_BURST, "run.duration": 60e-3})
        runs = instants(startup, Kind.RUN)
        assert len(runs) >= 3
        assert instants(startup, Kind.BURST_START) == pytest.approx(
            [t + 12e-3 for t in runs if t + 12e-3 < 60e-3], abs=INSTANT
        )
        assert not instants(startup, Kind.BURST_END)

    def test_sections_keep_showing_data_while_it_is_in_reset(self):
        # White before the first frame, dark after it, and dark all through reset and boot.
        startup = start({**BROWN_OUT_BURST, "pixel.power_on": WHITE, "run.duration": 28e-3})
        out, run = instants(startup, Kind.BROWN_OUT)[0], instants(startup, Kind.RUN)[1]
        shown = instants(startup, Kind.FRAME_END)[0]
        assert value(startup, "lead_current", shown - 0.1e-3) == pytest.approx(pixel_load(1), rel=0.01)
        t = np.linspace(out, run, 100)
        assert startup.at(t)["lead_current"] == pytest.approx(pixel_load(0), rel=0.01)
        assert showing(startup) == [0, 1]


class TestBursts:
    BUILD = {  # noqa: RUF012
        **ON_THE_BUS, "controller.feed_diode": False, "controller.reservoir": 10e-6, "controller.burst_current": 0.15,
        "controller.burst_period": 10e-3, "controller.burst_length": 3e-3, "run.duration": 60e-3,
    }  # fmt: skip

    def test_start_one_period_in_and_last_burst_length(self):
        startup = start(self.BUILD)
        run = startup.running_at
        starts = instants(startup, Kind.BURST_START)
        assert len(starts) == 5
        assert starts == pytest.approx([run + k * 10e-3 for k in range(1, 6)], abs=INSTANT)
        ends = [t + 3e-3 for t in starts if t + 3e-3 < 60e-3]
        assert instants(startup, Kind.BURST_END) == pytest.approx(ends, abs=INSTANT)

    def test_draw_burst_current_more(self):
        startup = start(self.BUILD)
        for t in instants(startup, Kind.BURST_START):
            calm = value(startup, "lead_current", t - 0.2e-3)
            assert calm == pytest.approx(0.08 + pixel_load(0), rel=0.01)
            assert value(startup, "lead_current", min(t + 2.8e-3, 60e-3)) == pytest.approx(calm + 0.15, rel=0.01)

    def test_no_current_no_bursts(self):
        assert not instants(start({**self.BUILD, "controller.burst_current": 0}), Kind.BURST_START)


class TestGate:
    SWITCH = {"switch": {}, "pixel.power_on": GREY}  # noqa: RUF012

    @pytest.mark.parametrize("delay", [0.0, 4e-3])
    def test_pulled_low_gate_delay_after_run(self, delay):
        startup = start({**self.SWITCH, "firmware.gate_delay": delay})
        (low,) = instants(startup, Kind.GATE_LOW)
        assert low == pytest.approx(startup.running_at + delay, abs=INSTANT)
        before, after = startup.at(np.array([low - 1e-6, low + 50e-6]))["gate_voltage"]
        assert before == pytest.approx(5.0, abs=0.05)
        assert after < 0.1
        assert value(startup, "panel_voltage", low - 1e-6) < 0.2
        assert value(startup, "panel_voltage", low + 5e-3) > 4.5

    def test_pull_up_current_comes_from_the_bus(self):
        # 50 ohm up and 10 ohm down: 80 mA, eight times what the dark pixels draw.
        startup = start({"switch": {"pullup_resistance": 50, "gate_resistance": 10}})
        f = startup.figures
        assert f.final_lead_current == pytest.approx(f.final_bus_voltage / 60 + pixel_load(0), rel=1e-3)
        assert abs(startup.energy.imbalance) < 1e-4

    def test_channel_law_at_low_drive(self):
        # 1.2 V of drive on a threshold of 1.1 V: what little the pixels draw, the channel carries by its smooth law.
        switch = {"pullup_resistance": 100, "gate_resistance": 317, "threshold_voltage": 1.1, "on_resistance": 2.0}
        startup = start({"switch": switch, "pixel.quiescent_current": 2e-3})
        f = startup.figures
        v_b, v_g, v_r = (startup.curves[name][-1] for name in ("bus_voltage", "gate_voltage", "panel_voltage"))
        assert v_b - v_g == pytest.approx(1.2, abs=0.02)
        beta = 1 / (2.0 * (4.5 - 1.1))
        carried = beta / 2 * (soft(v_b - v_g - 1.1, 0.08) ** 2 - soft(v_r - v_g - 1.1, 0.08) ** 2)
        drawn = sum(8 * 2e-3 / (1 + np.exp(-(v - 2.0) / 0.08)) for v in f.final_section_voltages)
        assert f.final_lead_current == pytest.approx(drawn + (v_b - v_g) / 100, rel=1e-3)
        assert carried == pytest.approx(drawn, rel=1e-3)


class TestPinDriver:
    """The controller's own pin: its clamp to the rail conducts while the gate stands above it."""

    # The program never runs, so nobody pulls the gate.
    ASLEEP = {"controller.boot_time": 1.0, "pixel.power_on": DARK}  # noqa: RUF012

    @pytest.mark.parametrize("pullup", [1e3, 10e3])
    def test_gate_never_rises_fully(self, pullup):
        startup = start({**self.ASLEEP, "switch": {"gate_driver": "pin", "pullup_resistance": pullup}})
        v_b, v_3 = startup.figures.final_bus_voltage, startup.figures.final_rail_voltage
        resting = brentq(lambda v: (v_b - v) / pullup - soft(v - v_3 - 0.6, 0.03) / 200, 0, v_b)
        assert startup.curves["gate_voltage"][-1] == pytest.approx(resting, abs=1e-3)
        assert resting < v_b - 0.9

    def test_without_power_it_holds_the_switch_on(self):
        # 0.1 V of supply: the rail is next to nothing, the gate at 0.6 V or so, and the panel is lit.
        off = {**self.ASLEEP, "controller.own_voltage": 0.1, "pixel.power_on": GREY}
        with_pin = start({**off, "switch": {"gate_driver": "pin"}})
        with_transistor = start({**off, "switch": {}})
        assert with_pin.curves["gate_voltage"][-1] < 0.8
        assert value(with_pin, "panel_voltage", 40e-3) > 4.5
        assert with_transistor.curves["gate_voltage"][-1] > 4.9
        assert value(with_transistor, "panel_voltage", 40e-3) < 0.5

    def test_clamp_feeds_the_rail(self):
        # A rail that nothing else feeds and that draws nothing: 0.45 mA through the pull-up for 30 ms into 22 uF.
        startup = start({**self.ASLEEP, "controller.own_voltage": 0.05, "controller.reset_current": 0,
                         "switch": {"gate_driver": "pin"}})  # fmt: skip
        before, after = (startup.at(np.array([t])) for t in (10e-3, 30e-3))
        t = np.linspace(10e-3, 30e-3, 4001)
        curves = startup.at(t)
        charge = np.trapezoid((curves["bus_voltage"] - curves["gate_voltage"]) / 10e3, t)
        risen = float(after["rail_voltage"][0] - before["rail_voltage"][0])
        assert risen > 0.2
        assert 22e-6 * risen == pytest.approx(charge, rel=0.02)

    def test_driven_low_it_is_as_on_as_with_a_transistor(self):
        for driver in ("pin", "transistor"):
            startup = start({"switch": {"gate_driver": driver}})
            assert startup.curves["gate_voltage"][-1] == pytest.approx(5 * 100 / 10100, abs=1e-3)


def test_first_frame_carries_its_colour():
    assert instants(start({}), Kind.FRAME_START, FIRST)
