"""What a section hears, shows and forgets; the lanes that data runs through."""

import numpy as np
import pytest

from inrushlib.startup import Kind

from .bench import CONTENT, DARK, FIRST, GREY, WHITE, instants, pixel_load, showing, start, value

INSTANT = 1e-9  # [s]

# 20 ohm across the output empty everything within a millisecond or so once the mains is away.
QUICK = {"adapter.bleed_resistance": 20, "adapter.soft_start": 0.2e-3}
# A frame with 6 ms of bits and 6 ms of gap, from 5 ms after run.
LONG_FRAME = {
    **QUICK, "firmware.first_frame_delay": 5e-3, "firmware.bit_time": 6e-3 / (24 * 16), "firmware.reset_gap": 6e-3,
    "pixel.power_on": GREY,
}  # fmt: skip


def blink(off_at, build, deep=False):
    """An interruption after which the sections have been below the listen level, and with ``deep`` below forget."""
    probe = start({**build, "run.interruptions": [[off_at, off_at + 20e-3]]})
    deaf = min(t for t in instants(probe, Kind.DEAF) if t > off_at)
    lost = min((t for t in instants(probe, Kind.FORGETS) if t > off_at), default=deaf + 0.3e-3)
    return [[off_at, lost + 0.2e-3 if deep else deaf + 0.2 * (lost - deaf)]]


def shown_at(startup, t):
    """Sections that start to show a colour at an instant."""
    return [s.index for s in startup.switchings if s.kind is Kind.SHOWS and s.time == t]


class TestListening:
    @pytest.mark.parametrize("delay", [0.0, 0.3e-3, 2e-3])
    def test_after_listen_delay_at_the_listen_voltage(self, delay):
        startup = start({"pixel.listen_delay": delay, "pixel.listen_voltage": 2.5})
        above, listens = instants(startup, Kind.ABOVE), instants(startup, Kind.LISTENS)
        assert len(above) == len(listens) == 2
        assert listens == pytest.approx([t + delay for t in above], abs=INSTANT)
        for k in range(2):
            assert value(startup, f"section_{k}_voltage", above[k]) == pytest.approx(2.5, abs=1e-6)

    @pytest.mark.parametrize("old_end", ["during the dip", "after it"])
    def test_below_again_the_delay_starts_anew(self, old_end):
        # Where the delay that the dip broke off would have ended, nothing happens.
        build = {**QUICK, "pixel.listen_delay": 8e-3}
        dip = {"run.interruptions": blink(4e-3, build)}
        probe = start({**build, **dip})
        first, second = instants(probe, Kind.ABOVE, 0)
        (deaf,) = instants(probe, Kind.DEAF, 0)
        assert first < 4e-3 < deaf < second
        delay = 8e-3 if old_end == "after it" else (deaf + second) / 2 - first
        startup = start({**build, **dip, "pixel.listen_delay": delay})
        assert instants(startup, Kind.LISTENS, 0) == pytest.approx([second + delay], abs=1e-7)

    def test_deaf_below_the_listen_voltage(self):
        startup = start({**QUICK, "run.interruptions": [[10e-3, 20e-3]]})
        for k in range(2):
            (deaf,) = instants(startup, Kind.DEAF, k)
            assert value(startup, f"section_{k}_voltage", deaf) == pytest.approx(2.2, abs=1e-6)


class TestAFrameReaches:
    # The controller sends from 0.6 ms on, the supply ramps up over 20 ms, so the pixels listen late.
    LATE = {  # noqa: RUF012
        "controller.boot_time": 0, "firmware.first_frame_delay": 0, "adapter.soft_start": 20e-3,
        "firmware.refresh_interval": 0.8e-3, "firmware.first_frame": GREY,
    }  # fmt: skip

    def test_who_listened_when_it_started(self):
        startup = start(self.LATE)
        listens = max(instants(startup, Kind.LISTENS))
        begun, ended = instants(startup, Kind.FRAME_START), instants(startup, Kind.FRAME_END)
        first = next(i for i, t in enumerate(begun) if t >= listens)
        assert first >= 4
        # It started to listen while the frame before was on the line: that one does not count.
        assert begun[first - 1] < listens < ended[first - 1]
        assert instants(startup, Kind.SHOWS) == [ended[first]] * 2

    @pytest.mark.parametrize(("later", "reached"), [(0.0, True), (-1e-6, True), (1e-6, False)])
    def test_listening_from_the_very_instant_of_its_start_counts(self, later, reached):
        # One frame, the instant at which the sections start to listen put to its start and to either side.
        one = {**self.LATE, "firmware.refresh_interval": 0, "firmware.first_frame_delay": 15e-3}
        probe = start(one)
        (begun,), above = instants(probe, Kind.FRAME_START), instants(probe, Kind.ABOVE)
        assert above[0] == above[1] < begun
        startup = start({**one, "pixel.listen_delay": begun - above[0] + later})
        assert instants(startup, Kind.LISTENS)[0] == pytest.approx(begun + later, abs=1e-12)
        assert showing(startup) == ([0, 1] if reached else [])

    @pytest.mark.parametrize(
        ("off_at", "reached"),
        [(5e-3, True), (10e-3, False), (16e-3, False), (21e-3, True)],
        ids=["before it", "during its bits", "during its gap", "after it"],
    )
    def test_who_listens_without_a_break_to_the_end_of_its_gap(self, off_at, reached):
        startup = start({**LONG_FRAME, "run.interruptions": blink(off_at, LONG_FRAME)})
        (begun,), (ended,) = instants(startup, Kind.FRAME_START), instants(startup, Kind.FRAME_END)
        assert (begun, ended) == pytest.approx((startup.running_at + 5e-3, startup.running_at + 17e-3), abs=INSTANT)
        # Each section was deaf for a moment, forgot nothing, and listens again in time.
        assert len(instants(startup, Kind.DEAF)) == 2
        assert not instants(startup, Kind.FORGETS)
        assert max(instants(startup, Kind.LISTENS)) < (begun if off_at < begun else off_at + 3e-3)
        assert showing(startup) == ([0, 1] if reached else [])

    def test_and_the_colour_stays(self):
        startup = start({"pixel.power_on": WHITE, "firmware.first_frame": GREY, "run.duration": 60e-3})
        (ended,) = instants(startup, Kind.FRAME_END)
        t = np.linspace(ended + 1e-3, 60e-3, 200)
        assert startup.at(t)["lead_current"] == pytest.approx(pixel_load(0.5), rel=0.01)


class TestForgetting:
    LIT = {**QUICK, "pixel.power_on": WHITE, "firmware.first_frame": DARK}  # noqa: RUF012

    @pytest.mark.parametrize("duty", [0.0, 0.25, 1.0])
    def test_every_section_begins_in_its_power_on_colour(self, duty):
        startup = start({"pixel.power_on": [duty] * 3, "firmware.first_frame_delay": 10e-3})
        assert value(startup, "lead_current", startup.running_at + 9e-3) == pytest.approx(pixel_load(duty), rel=0.01)

    def test_back_to_the_power_on_colour_at_the_forget_voltage(self):
        startup = start({**self.LIT, "run.interruptions": blink(10e-3, self.LIT, deep=True)})
        for k in range(2):
            (lost,) = instants(startup, Kind.FORGETS, k)
            assert value(startup, f"section_{k}_voltage", lost) == pytest.approx(1.8, abs=1e-6)
        assert value(startup, "lead_current", 9.9e-3) == pytest.approx(pixel_load(0), rel=0.01)
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(1), rel=0.01)
        assert showing(startup) == []

    def test_above_it_the_data_stay(self):
        startup = start({**self.LIT, "run.interruptions": blink(10e-3, self.LIT)})
        assert instants(startup, Kind.DEAF)
        assert not instants(startup, Kind.FORGETS)
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(0), rel=0.01)

    def test_the_next_frame_writes_it_again(self):
        refreshed = {**self.LIT, "firmware.refresh_interval": 5e-3}
        startup = start({**refreshed, "run.interruptions": blink(10e-3, refreshed, deep=True)})
        assert len(instants(startup, Kind.FORGETS)) == 2
        assert showing(startup) == [0, 1]
        assert startup.figures.final_lead_current == pytest.approx(pixel_load(0), rel=0.01)


def starved(sections, lanes, k):
    """A row in which section k, white, hangs at some 2.1 V: it neither listens nor forgets what it never had."""
    neighbours = 2 if 0 < k < sections - 1 else 1
    thin = 74.0 * neighbours
    return {
        "wiring.sections": sections, "wiring.pixels_per_section": 4, "wiring.lanes": lanes,
        "wiring.feeds": [j for j in range(sections) if j != k],
        "wiring.hop_resistance": [thin if k in (j, j + 1) else 0.03 for j in range(sections - 1)],
    }  # fmt: skip


class TestLanes:
    """Sections are dealt in consecutive runs, the first lanes one longer; a deaf one hides those behind it there."""

    CASES = [  # noqa: RUF012
        (4, 1, 0, []),
        (4, 1, 2, [0, 1]),
        (4, 1, 3, [0, 1, 2]),
        (4, 2, 0, [2, 3]),
        (4, 2, 1, [0, 2, 3]),
        (4, 2, 2, [0, 1]),
        (5, 2, 2, [0, 1, 3, 4]),
        (5, 2, 3, [0, 1, 2]),
        (7, 3, 3, [0, 1, 2, 5, 6]),
        (7, 3, 5, [0, 1, 2, 3, 4]),
        (8, 3, 6, [0, 1, 2, 3, 4, 5]),
        (5, 5, 1, [0, 2, 3, 4]),
    ]

    @pytest.mark.parametrize(("sections", "lanes", "deaf", "reached"), CASES)
    def test_a_deaf_section_hides_those_behind_it_in_its_lane(self, sections, lanes, deaf, reached):
        startup = start({**starved(sections, lanes, deaf), "pixel.power_on": WHITE, "firmware.refresh_interval": 3e-3})
        assert startup.figures.final_section_voltages[deaf] == pytest.approx(2.1, abs=0.08)
        assert sorted({s.index for s in startup.switchings if s.kind is Kind.LISTENS}) == [
            k for k in range(sections) if k != deaf
        ]
        assert showing(startup) == reached

    @pytest.mark.parametrize(
        ("sections", "lanes", "deaf", "reached"), [(4, 1, 2, [0, 1]), (6, 2, 1, [0, 3, 4, 5]), (6, 2, 4, [0, 1, 2, 3])]
    )
    def test_also_where_it_falls_deaf_while_the_frame_is_on_the_line(self, sections, lanes, deaf, reached):
        # The first frame turns all white: the starved one sags right after its end, when the next frame has started.
        startup = start(
            {
                **starved(sections, lanes, deaf), "firmware.first_frame": WHITE, "firmware.content": GREY,
                "firmware.content_delay": 1.1e-3, "firmware.refresh_interval": 0.1e-3,
            }
        )  # fmt: skip
        first, second = instants(startup, Kind.FRAME_END)[:2]
        assert shown_at(startup, first) == list(range(sections))
        assert instants(startup, Kind.FRAME_START, CONTENT)[0] == first
        assert first < instants(startup, Kind.DEAF, deaf)[0] < second
        assert shown_at(startup, second) == reached

    def test_all_lanes_end_with_the_longest(self):
        startup = start({"wiring.pixels_per_section": [2, 14], "wiring.lanes": 2})
        (ended,) = instants(startup, Kind.FRAME_END)
        assert shown_at(startup, ended) == [0, 1]


class TestTogether:
    """A symmetric panel fed in the middle crosses thresholds in pairs; all take effect."""

    ROW = {  # noqa: RUF012
        **QUICK, "wiring.sections": 5, "wiring.pixels_per_section": 6, "wiring.feeds": [2],
        "wiring.hop_resistance": 2.0, "pixel.power_on": GREY, "firmware.first_frame": DARK, "run.duration": 30e-3,
    }  # fmt: skip

    @pytest.mark.parametrize(("sections", "feeds"), [(5, [2]), (6, [2, 3]), (7, [3]), (2, [0, 1])])
    def test_each_section_of_a_pair(self, sections, feeds):
        row = {**self.ROW, "wiring.sections": sections, "wiring.feeds": feeds}
        startup = start({**row, "run.interruptions": blink(12e-3, row, deep=True)})
        for kind, count in ((Kind.ABOVE, 2), (Kind.LISTENS, 2), (Kind.DEAF, 1), (Kind.FORGETS, 1), (Kind.SHOWS, 1)):
            times = [instants(startup, kind, k) for k in range(sections)]
            for k in range(sections):
                assert len(times[k]) == count
                assert times[k] == pytest.approx(times[sections - 1 - k], abs=1e-11)

    def test_none_is_left_behind(self):
        refreshed = {**self.ROW, "firmware.refresh_interval": 3e-3}
        startup = start({**refreshed, "run.interruptions": blink(12e-3, refreshed, deep=True)})
        assert showing(startup) == [0, 1, 2, 3, 4]
        assert startup.verdict == "boots"

    def test_two_lanes_are_written_at_one_instant(self):
        startup = start({**self.ROW, "wiring.sections": 4, "wiring.feeds": [1, 2], "wiring.lanes": 2})
        (ended,) = instants(startup, Kind.FRAME_END, FIRST)
        assert shown_at(startup, ended) == [0, 1, 2, 3]
