"""When frames start, how long they last, what they carry, and what takes effect first at one instant."""

import numpy as np
import pytest

from inrushlib.startup import Kind

from .bench import CONTENT, DARK, FIRST, GREY, WHITE, instants, kinds, pixel_load, start, value

INSTANT = 1e-9  # [s]
FRAME = 16 * 24 * 1.25e-6 + 300e-6  # [s] the bench's 16 pixels on one line, then the gap


def frames(startup):
    """Each frame's start after run [s] and what it carries."""
    return [(s.time - startup.running_at, s.index) for s in startup.switchings if s.kind is Kind.FRAME_START]


def starts(startup):
    return [t for t, _ in frames(startup)]


def carried(startup):
    return [what for _, what in frames(startup)]


class TestWhenFramesStart:
    @pytest.mark.parametrize("delay", [0.0, 1e-3, 7.3e-3])
    def test_first_frame_delay_after_run(self, delay):
        startup = start({"firmware.first_frame_delay": delay})
        assert frames(startup) == [(pytest.approx(delay, abs=INSTANT), FIRST)]

    def test_every_refresh_interval(self):
        startup = start({"firmware.refresh_interval": 1.7e-3})
        assert starts(startup) == pytest.approx(1e-3 + 1.7e-3 * np.arange(len(starts(startup))), abs=INSTANT)
        assert len(starts(startup)) >= 20

    def test_late_frames_are_queued_and_none_left_out(self):
        # Due every 0.5 ms, 0.78 ms long: each starts when the one before ends, not at the next multiple of 0.5 ms.
        startup = start({"firmware.refresh_interval": 0.5e-3})
        assert starts(startup) == pytest.approx(1e-3 + FRAME * np.arange(len(starts(startup))), abs=INSTANT)
        assert len(starts(startup)) >= 40
        ends = instants(startup, Kind.FRAME_END)
        assert instants(startup, Kind.FRAME_START)[1 : len(ends) + 1] == ends

    def test_only_one_without_refresh(self):
        assert len(frames(start({"firmware.refresh_interval": 0, "run.duration": 100e-3}))) == 1


class TestHowLongAFrameLasts:
    @pytest.mark.parametrize(
        ("wiring", "longest"),
        [
            ({"wiring.lanes": 1}, 16),
            ({"wiring.lanes": 2}, 8),
            ({"wiring.pixels_per_section": [3, 11], "wiring.lanes": 2}, 11),
            # Runs of 2, 1, 1 sections: 1 + 6, 9 and 2 pixels.
            ({"wiring.sections": 4, "wiring.pixels_per_section": [1, 6, 9, 2], "wiring.lanes": 3}, 9),
            # Runs of 3 and 2: 6 and 8 pixels.
            ({"wiring.sections": 5, "wiring.pixels_per_section": [1, 1, 4, 4, 4], "wiring.lanes": 2}, 8),
        ],
    )
    def test_pixels_of_the_longest_lane(self, wiring, longest):
        startup = start({**wiring, "firmware.bits_per_pixel": 32, "firmware.bit_time": 1e-6})
        (began,), (ended,) = instants(startup, Kind.FRAME_START), instants(startup, Kind.FRAME_END)
        assert ended - began == pytest.approx(longest * 32 * 1e-6 + 300e-6, abs=INSTANT)

    def test_pixels_change_at_the_end_of_the_gap(self):
        startup = start({"firmware.first_frame": WHITE, "firmware.reset_gap": 2e-3})
        (ended,) = instants(startup, Kind.FRAME_END)
        assert ended == pytest.approx(startup.running_at + 1e-3 + 16 * 24 * 1.25e-6 + 2e-3, abs=INSTANT)
        assert instants(startup, Kind.SHOWS) == [ended, ended]
        assert value(startup, "lead_current", ended - 1e-6) == pytest.approx(pixel_load(0), rel=0.01)
        assert value(startup, "lead_current", ended + 0.5e-3) == pytest.approx(pixel_load(1), rel=0.01)


class TestWhatFramesCarry:
    REFRESHED = {"firmware.refresh_interval": 2e-3, "firmware.content": GREY}  # noqa: RUF012

    def test_first_frame_then_content(self):
        startup = start({**self.REFRESHED, "firmware.first_frame": WHITE, "firmware.content_delay": 10e-3})
        assert carried(startup) == [FIRST if t < 10e-3 else CONTENT for t in starts(startup)]
        # No content frame beside the refreshed ones.
        assert starts(startup) == pytest.approx(1e-3 + 2e-3 * np.arange(len(starts(startup))), abs=INSTANT)
        end = instants(startup, Kind.FRAME_END)
        last_first = carried(startup).index(CONTENT) - 1
        for frame, duty in ((0, 1), (last_first, 1), (last_first + 1, 0.5)):
            assert value(startup, "lead_current", end[frame] + 0.7e-3) == pytest.approx(pixel_load(duty), rel=0.01)

    def test_without_a_delay_never_content(self):
        startup = start({**self.REFRESHED, "run.duration": 80e-3})
        assert set(carried(startup)) == {FIRST}

    def test_by_the_real_start_not_the_planned_one(self):
        # Due at 1, 1.5, 2 ... ms, but started at 1, 1.78, 2.56 ... ms after run.
        startup = start({"firmware.refresh_interval": 0.5e-3, "firmware.content_delay": 6e-3})
        assert carried(startup) == [FIRST if t < 6e-3 else CONTENT for t in starts(startup)]
        planned = [FIRST if 1e-3 + j * 0.5e-3 < 6e-3 else CONTENT for j in range(len(starts(startup)))]
        assert carried(startup) != planned

    @pytest.mark.parametrize("frame", range(1, 8))
    def test_a_frame_that_starts_right_at_the_delay_carries_content(self, frame):
        # 1 ms + j * 0.9 ms is not a round number in binary, nor is the start that it is compared with.
        startup = start({"firmware.refresh_interval": 0.9e-3, "firmware.content_delay": 1e-3 + frame * 0.9e-3})
        assert carried(startup).index(CONTENT) == frame

    @pytest.mark.parametrize(("late", "expected"), [(0.5e-9, CONTENT), (2e-9, FIRST)])
    def test_to_a_nanosecond(self, late, expected):
        startup = start({"firmware.refresh_interval": 2e-3, "firmware.content_delay": 5e-3 + late})
        assert starts(startup)[2] == pytest.approx(5e-3, abs=1e-12)
        assert carried(startup)[2] == expected


class TestContentWithoutRefresh:
    def test_one_content_frame_at_the_delay(self):
        startup = start({"firmware.content_delay": 9e-3, "firmware.content": WHITE})
        assert frames(startup) == [
            (pytest.approx(1e-3, abs=INSTANT), FIRST),
            (pytest.approx(9e-3, abs=INSTANT), CONTENT),
        ]
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(1), rel=0.01)

    def test_after_the_frame_on_the_line(self):
        startup = start({"firmware.content_delay": 1.2e-3})
        assert frames(startup) == [
            (pytest.approx(1e-3, abs=INSTANT), FIRST),
            (pytest.approx(1e-3 + FRAME, abs=INSTANT), CONTENT),
        ]

    @pytest.mark.parametrize("delay", [0.0, 0.6e-3, 1e-3])
    def test_before_the_first_frame(self, delay):
        # The content frame starts at its delay and carries content, and so does the first frame, which starts later.
        startup = start({"firmware.content_delay": delay})
        second = max(1e-3, delay + FRAME)
        assert frames(startup) == [
            (pytest.approx(delay, abs=INSTANT), CONTENT),
            (pytest.approx(second, abs=INSTANT), CONTENT),
        ]

    def test_again_after_every_entry_to_run(self):
        # The bus is away long enough for the controller to start over.
        blink = [[15e-3, 20e-3]]
        startup = start({"controller.feed": "bus", "firmware.content_delay": 4e-3, "run.interruptions": blink})
        assert startup.brown_outs == 1
        first, second = instants(startup, Kind.RUN)
        assert instants(startup, Kind.FRAME_START, CONTENT) == pytest.approx([first + 4e-3, second + 4e-3], abs=INSTANT)


class TestOrderAtOneInstant:
    """Thresholds, mains, adapter timers, end of a frame, boot, gate, start of a frame."""

    # Content overloads the adapter, which trips 5 ms later.
    TRIPPING = {  # noqa: RUF012
        "adapter.limit_current": 0.3, "adapter.limit_style": "hiccup", "adapter.trip_delay": 5e-3,
        "adapter.retry_delay": 10e-3, "firmware.content": WHITE, "firmware.content_delay": 10e-3,
    }  # fmt: skip

    def test_boot_then_gate_then_frame(self):
        startup = start({"switch": {}, "firmware.first_frame_delay": 0, "firmware.gate_delay": 0})
        here = [s.kind for s in startup.switchings if abs(s.time - startup.running_at) < 1e-12]
        assert here == [Kind.RUN, Kind.GATE_LOW, Kind.FRAME_START]

    def test_zero_boot_time_all_at_once(self):
        startup = start({"switch": {}, "firmware.first_frame_delay": 0, "controller.boot_time": 0})
        (release,) = instants(startup, Kind.RESET_RELEASE)
        here = [s.kind for s in startup.switchings if s.time == release]
        assert here == [Kind.RAIL_UP, Kind.RESET_RELEASE, Kind.RUN, Kind.GATE_LOW, Kind.FRAME_START]

    def test_end_of_a_frame_before_start_of_the_next(self):
        # Back to back to the last digit: every frame is sent, and each ends before the next starts.
        startup = start({"firmware.refresh_interval": FRAME})
        order = kinds(startup, Kind.FRAME_START, Kind.FRAME_END)
        assert order == [Kind.FRAME_START, Kind.FRAME_END] * (len(order) // 2) + [Kind.FRAME_START] * (len(order) % 2)
        assert starts(startup) == pytest.approx(1e-3 + FRAME * np.arange(len(starts(startup))), abs=INSTANT)

    def test_mains_before_a_trip(self):
        # The mains goes away at the very instant at which the adapter would trip: it does not.
        trip = instants(start(self.TRIPPING), Kind.TRIP)[0]
        assert start({**self.TRIPPING, "run.interruptions": [[trip, 0.1]]}).trips == 0
        assert start({**self.TRIPPING, "run.interruptions": [[trip + 1e-9, 0.1]]}).trips == 1

    def test_mains_before_a_retry(self):
        # The mains comes back at the very instant of the retry: one new soft start, no retry.
        retry = instants(start(self.TRIPPING), Kind.RETRY)[0]
        startup = start({**self.TRIPPING, "run.interruptions": [[retry - 3e-3, retry]]})
        assert kinds(startup, Kind.MAINS_ON, Kind.RETRY) == [Kind.MAINS_ON]
        # Had the mains come after it, the retry would have happened first.
        startup = start({**self.TRIPPING, "run.interruptions": [[retry + 1e-3, retry + 3e-3]]})
        assert kinds(startup, Kind.MAINS_ON, Kind.RETRY) == [Kind.RETRY, Kind.MAINS_ON]

    def test_trip_before_the_end_of_a_frame(self):
        # The frame that makes the display ready ends as the adapter trips: the trip comes first, so it is no relapse.
        # Overloaded from the start by grey pixels, which still have some 2.4 V and listen.
        build = {
            "adapter.limit_current": 0.15, "adapter.limit_style": "hiccup", "adapter.trip_delay": 9e-3,
            "adapter.retry_delay": 1e-3, "pixel.power_on": GREY, "firmware.first_frame": DARK, "run.duration": 30e-3,
        }  # fmt: skip
        probe = start({**build, "firmware.first_frame_delay": 20e-3})
        trip = instants(probe, Kind.TRIP)[0]
        for late, verdict in ((0.0, "boots-after-resets"), (1e-9, "boots-after-resets"), (-1e-9, "adapter-trips")):
            startup = start({**build, "firmware.first_frame_delay": trip + late - FRAME - probe.running_at})
            assert instants(startup, Kind.TRIP)[0] == pytest.approx(trip, abs=1e-12)
            assert instants(startup, Kind.FRAME_END)[0] == pytest.approx(trip + late, abs=1e-12)
            assert (startup.trips, startup.verdict) == (1, verdict)
