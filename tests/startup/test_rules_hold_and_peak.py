"""The hold before the controller leaves reset, and the current peak while it boots."""

import numpy as np
import pytest

from inrushlib.startup import Kind

from .bench import instants, kinds, pixel_load, start, value
from .test_rules_controller import WEAK

INSTANT = 1e-9  # [s]

# On the bus without a diode: a short interruption of the mains takes the rail below its upper level and back.
DIPS = {
    "controller.feed": "bus", "controller.reservoir": 1e-6, "controller.rail_capacitance": 1e-6,
    "controller.reset_current": 0.2, "controller.reset_hold": 5e-3, "run.interruptions": [[3e-3, 4e-3]],
}  # fmt: skip
PEAK = {
    "controller.boot_time": 12e-3, "controller.boot_peak_current": 0.2,
    "controller.boot_peak_at": 3e-3, "controller.boot_peak_length": 4e-3,
}  # fmt: skip


class TestHold:
    @pytest.mark.parametrize("hold", [0.0, 0.5e-3, 7e-3])
    def test_boots_once_the_rail_has_been_up_for_the_hold(self, hold):
        startup = start({"controller.reset_hold": hold})
        (up,) = instants(startup, Kind.RAIL_UP)
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert value(startup, "rail_voltage", up) == pytest.approx(2.8, abs=1e-6)
        assert release == pytest.approx(up + hold, abs=INSTANT)
        assert startup.running_at == pytest.approx(up + hold + 3e-3, abs=INSTANT)

    def test_a_dip_starts_it_anew(self):
        startup = start(DIPS)
        first, second = instants(startup, Kind.RAIL_UP)
        (dip,) = instants(startup, Kind.RAIL_DIP)
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert first < dip < first + 5e-3 < second + 5e-3
        assert value(startup, "rail_voltage", dip) == pytest.approx(2.8, abs=1e-6)
        assert release == pytest.approx(second + 5e-3, abs=INSTANT)
        # It was in reset all the while: a dip is no brown-out.
        assert startup.brown_outs == 0

    def test_it_draws_reset_current_in_the_hold(self):
        startup = start({**DIPS, "run.interruptions": [], "controller.boot_time": 20e-3})
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert value(startup, "lead_current", release - 0.1e-3) == pytest.approx(0.2 + pixel_load(0), rel=0.01)
        assert value(startup, "lead_current", release + 3e-3) == pytest.approx(0.08 + pixel_load(0), rel=0.01)

    def test_it_is_held_anew_after_a_brown_out(self):
        burst = {**WEAK, "controller.burst_current": 0.7}
        startup = start({**burst, "controller.reset_hold": 2e-3, "run.duration": 45e-3})
        ups, releases = instants(startup, Kind.RAIL_UP), instants(startup, Kind.RESET_RELEASE)
        assert len(releases) >= 2
        assert releases == pytest.approx([up + 2e-3 for up in ups[: len(releases)]], abs=INSTANT)


class TestBootPeak:
    def test_from_its_start_for_its_length(self):
        startup = start(PEAK)
        (release,) = instants(startup, Kind.RESET_RELEASE)
        assert instants(startup, Kind.BOOT_PEAK_START) == pytest.approx([release + 3e-3], abs=INSTANT)
        assert instants(startup, Kind.BOOT_PEAK_END) == pytest.approx([release + 7e-3], abs=INSTANT)

    def test_it_adds_to_the_draw(self):
        values = {
            **PEAK, "controller.feed": "bus", "controller.reservoir": 1e-6, "controller.reset_hold": 5e-3,
        }  # fmt: skip
        startup = start(values)
        (begin,), (end,) = instants(startup, Kind.BOOT_PEAK_START), instants(startup, Kind.BOOT_PEAK_END)
        draws = [value(startup, "lead_current", t) for t in (begin - 1e-4, end - 1e-4, end + 2e-3)]
        assert draws == pytest.approx(np.array([0.08, 0.28, 0.08]) + pixel_load(0), rel=0.01)

    @pytest.mark.parametrize("boot_time", [4e-3, 7e-3])
    def test_it_ends_with_the_boot_at_the_latest(self, boot_time):
        startup = start({**PEAK, "controller.boot_time": boot_time})
        assert instants(startup, Kind.BOOT_PEAK_END) == pytest.approx([startup.running_at], abs=INSTANT)

    def test_one_that_would_come_after_the_boot_does_not(self):
        startup = start({**PEAK, "controller.boot_time": 2e-3})
        assert startup.running_at is not None
        assert not kinds(startup, Kind.BOOT_PEAK_START, Kind.BOOT_PEAK_END)

    def test_no_current_no_peak(self):
        startup = start({**PEAK, "controller.boot_peak_current": 0.0})
        assert not kinds(startup, Kind.BOOT_PEAK_START, Kind.BOOT_PEAK_END)

    def test_a_brown_out_ends_it_and_the_next_boot_has_one_of_its_own(self):
        # The weak supply cannot carry 0.7 A: the peak itself takes the rail down, again and again.
        startup = start({**WEAK, **PEAK, "controller.boot_peak_current": 0.7, "controller.reset_hold": 1e-3})
        outs, starts = instants(startup, Kind.BROWN_OUT), instants(startup, Kind.BOOT_PEAK_START)
        releases = instants(startup, Kind.RESET_RELEASE)
        assert len(outs) >= 3
        assert instants(startup, Kind.BOOT_PEAK_END) == outs
        assert starts == pytest.approx([t + 3e-3 for t in releases[: len(starts)]], abs=INSTANT)
        # Without the peak the rail comes back to what reset and boot leave of it.
        assert value(startup, "rail_voltage", outs[0] + 0.9e-3) > 2.8

    def test_a_brown_out_before_it_drops_it(self):
        # A mains interruption browns the controller out 1 ms into its boot; the mains stays away.
        values = {
            "controller.feed": "bus", "controller.reservoir": 1e-6, "controller.rail_capacitance": 1e-6,
            "controller.boot_current": 0.3, "run.interruptions": [[2.5e-3, 1.0]], "run.duration": 30e-3,
        }  # fmt: skip
        startup = start({**PEAK, **values})
        assert instants(startup, Kind.BROWN_OUT)[0] < instants(startup, Kind.RESET_RELEASE)[0] + 3e-3
        assert not instants(startup, Kind.BOOT_PEAK_START)
