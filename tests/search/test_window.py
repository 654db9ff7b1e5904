from dataclasses import replace

import numpy as np
import pytest

from inrushlib.errors import BuildError
from inrushlib.search.delay_spare import far_enough, longest_good, spare_of
from inrushlib.search.quiet import with_duration
from inrushlib.search.window import (
    NoWindow,
    WhyNone,
    between,
    delay_window,
    delays_to_scan,
    is_open,
    quick_window,
    quiet_start,
    with_delay,
)
from inrushlib.startup import Kind, Verdict, simulate

from .sized_builds import boots, four_tiles, reference, six_tiles, tide_board


def tide():
    return tide_board("with_switch").with_values({"adapter.rated_current": 4})


BUILDS = {
    "0114": lambda: reference("0114"),
    "1013": lambda: reference("1013"),
    "1027": lambda: reference("1027"),
    "tide board, 4 A": tide,
    "tide board, 5 A": lambda: tide_board("with_switch"),
    "six tiles": lambda: six_tiles(switch={}),
    "slow gate": lambda: six_tiles(switch={"gate_resistance": 2e3, "gate_drain_capacitance": 100e-9}),
    "small reservoir": lambda: four_tiles(
        adapter__rated_current=0.51, controller__boot_time=7.6e-3, controller__feed_diode=True,
        controller__reservoir=470e-6, pixel__power_on=[0.46] * 3, switch={},
    ),
}  # fmt: skip


def moved(edge: float) -> float:
    return max(20e-6, 0.02 * edge)


@pytest.mark.parametrize("name", BUILDS)
def test_edges_lie_within_two_percent(name):
    build = BUILDS[name]()
    window = delay_window(build)
    early, late = window.earliest, window.latest
    assert boots(with_delay(build, early + moved(early)))
    if window.too_early is not None:
        assert not boots(with_delay(build, early - moved(early)))
    else:
        assert early == 0
    if late is None:
        assert window.too_late is None
        long = build.with_values({"run.duration": 4})
        assert all(boots(with_delay(long, delay)) for delay in (1.5 * early, 0.5, 2.0, 3.0))
    else:
        assert boots(with_delay(build, late - moved(late)))
        assert not boots(with_delay(build, late + moved(late)))


@pytest.mark.parametrize("name", BUILDS)
def test_recommended_delay_boots_inside_its_margins(name):
    build = BUILDS[name]()
    window = delay_window(build)
    assert window.earliest <= window.first_frame_takes_from <= window.recommended
    assert window.margin_early == pytest.approx(window.recommended - window.earliest)
    top = window.latest if window.too_hot_from is None else window.too_hot_from
    if top is None:
        assert window.margin_late is None
    else:
        assert window.recommended <= top
        assert window.margin_late == pytest.approx(top - window.recommended)
    start = simulate(with_delay(build, window.recommended))
    assert start.verdict is Verdict.BOOTS
    assert window.flash == pytest.approx(start.figures.lit_before_data)


def test_earliest_is_when_the_last_section_listens():
    # One frame only: it is lost unless every section listens, so the log of a start without it tells the edge.
    build = six_tiles(switch={"gate_resistance": 2e3, "gate_drain_capacitance": 100e-9})
    start = simulate(with_delay(build, 0.9))
    last = max(s.time for s in start.switchings if s.kind is Kind.LISTENS) - start.running_at
    window = delay_window(build)
    assert window.earliest == pytest.approx(last, rel=0.01)
    assert window.first_frame_takes_from == pytest.approx(window.earliest, rel=0.01)
    assert window.too_early is Verdict.DISPLAY_STAYS_LIT


def test_latest_is_before_the_brown_out_that_no_frame_prevents():
    build = BUILDS["small reservoir"]()
    start = simulate(with_delay(build, 0.4))
    lost = next(s.time for s in start.switchings if s.kind is Kind.BROWN_OUT) - start.running_at
    window = delay_window(build)
    assert window.latest < lost
    assert window.too_late is not None


def test_with_a_refresh_a_lost_first_frame_does_no_harm():
    window = delay_window(tide_board("with_switch"))
    assert window.earliest == 0
    assert window.too_early is None
    assert window.first_frame_takes_from > 2e-3


def test_two_islands_and_what_lies_between():
    build = reference("0114")
    islands = delay_window(build).islands
    assert len(islands) == 2
    assert not boots(with_delay(build, 0.5 * (islands[0].high + islands[1].low)))
    for island in islands:
        assert boots(with_delay(build, 0.5 * (island.low + island.high)))


def test_islands_that_trips_make():
    # The adapter trips some 20 ms after the display comes on, pixels listen after 5 ms, frames come every 14 ms.
    # A first frame that is lost leaves time for the second only where it was early: below about
    # 20 - 14 - 2.2 (a frame) = 3.8 ms.
    build = six_tiles(
        switch={}, adapter__limit_style="hiccup", adapter__trip_delay=20e-3, wiring__lanes=6,
        pixel__listen_delay=5e-3, firmware__refresh_interval=14e-3, controller__feed_diode=True,
        controller__reservoir=1e-3, run__duration=0.5,
    )  # fmt: skip
    early, late = delay_window(build).islands
    assert (early.high_verdict, late.low_verdict, late.high_verdict) == (Verdict.ADAPTER_TRIPS,) * 3
    assert early.low == 0
    assert late.low == pytest.approx(5e-3, rel=0.02)
    assert late.high - early.high == pytest.approx(14e-3, rel=0.02)
    assert not boots(with_delay(build, 0.5 * (early.high + late.low)))


def test_switch_too_hot_when_the_display_stays_lit_for_long():
    build = tide_board("boots").with_values({"switch": {}})
    hot = delay_window(build).too_hot_from
    highest = build.switch.highest_junction
    assert simulate(with_delay(build, 1.05 * hot)).figures.highest_junction_temperature > highest
    assert simulate(with_delay(build, 0.95 * hot)).figures.highest_junction_temperature < highest


def test_no_switch():
    with pytest.raises(BuildError, match=r"^six tiles: switch: none in the build; accepted: a build with a \[switch\]"):
        delay_window(six_tiles())


@pytest.mark.parametrize(
    ("build", "why"),
    [
        (six_tiles(switch={}, controller__brownout_rising=3.4), WhyNone.PROGRAM_NEVER_RUNS),
        (six_tiles(switch={}, run__interruptions=[[0.05, 0.3]]), WhyNone.LOST_BEFORE_PROGRAM),
        (reference("0101"), WhyNone.LOST_BEFORE_FRAME),
        (reference("1000"), WhyNone.NO_DELAY_BOOTS),
    ],
)
def test_no_window_says_why(build, why):
    window = delay_window(build)
    assert isinstance(window, NoWindow)
    assert window.why is why
    nothing_to_scan = why in (WhyNone.PROGRAM_NEVER_RUNS, WhyNone.LOST_BEFORE_PROGRAM)
    assert (window.scanned_to == 0.0) == nothing_to_scan
    assert window.reason.startswith(window.why.meaning)


@pytest.mark.parametrize("name", ["tide board, 5 A", "tide board, 4 A", "slow gate", "six tiles"])
def test_the_answer_does_not_hang_on_how_long_the_run_is(name):
    found = [delay_window(BUILDS[name]().with_values({"run.duration": d})) for d in (0.3, 0.8, 1.6, 3.2)]
    for key in ("earliest", "latest", "too_late", "first_frame_takes_from", "recommended", "too_hot_from"):
        assert len({getattr(window, key) for window in found}) == 1


def test_a_run_that_ends_before_the_content_trips_the_adapter_is_no_window():
    # The picture asks for more than the adapter has: it trips 200 ms after the content has come, at 0.5 s.
    build = six_tiles(
        switch={}, adapter__rated_current=2, adapter__limit_style="hiccup", adapter__trip_delay=0.2,
        firmware__content_delay=0.2, firmware__content=[1, 1, 1], controller__feed_diode=True,
        controller__reservoir=1e-3,
    )  # fmt: skip
    for duration in (0.3, 0.45, 1.0):
        window = delay_window(build.with_values({"run.duration": duration}))
        assert isinstance(window, NoWindow)
        assert window.why is WhyNone.NO_DELAY_BOOTS


def test_an_edge_that_is_only_the_end_of_the_run_is_none():
    window = delay_window(six_tiles(switch={}))
    assert (window.latest, window.too_late, window.margin_late) == (None, None, None)


def test_recommended_is_the_middle_of_where_the_rail_has_most_to_spare():
    # By runs of the model without the search: the rail's spare over the delay is flat, then falls.
    build = tide_board("with_switch")
    delays = np.arange(2.5e-3, 30e-3, 0.5e-3)
    lowest = np.array([simulate(with_delay(build, float(d))).figures.lowest_rail_voltage for d in delays])
    spare = lowest - build.controller.brownout_falling
    flat = delays[spare > 0.99 * spare.max()]
    assert spare.max() == pytest.approx(0.988, abs=0.005)
    assert flat[-1] < 17e-3
    window = delay_window(build)
    assert window.recommended == pytest.approx(0.5 * (flat[0] + flat[-1]), abs=0.7e-3)
    assert window.spare.rail == pytest.approx(spare.max(), abs=0.005)
    assert window.flat == pytest.approx((flat[0], flat[-1]), abs=1e-3)


def test_where_the_spare_falls_from_the_first_the_delay_keeps_off_the_early_edge():
    # A small reservoir drains for as long as the display is lit.
    window = delay_window(BUILDS["small reservoir"]())
    assert window.recommended > 1.25 * window.first_frame_takes_from
    assert window.spare.rail > 0.05


def test_spares_are_those_of_the_recommended_start():
    build = BUILDS["slow gate"]()
    window = delay_window(build)
    start = simulate(with_delay(build, window.recommended))
    assert window.spare.rail == pytest.approx(start.figures.lowest_rail_voltage - build.controller.brownout_falling)
    hot = start.figures.highest_junction_temperature
    assert window.spare.heat == pytest.approx(build.switch.highest_junction - hot, abs=0.1)
    # Lower than where it listens no section may be while the frame comes.
    assert 0 < window.spare.listening < build.adapter.rated_voltage - build.pixel.listen_voltage


def test_interruptions_beyond_the_run_stay_out_of_it():
    build = six_tiles(switch={}, run__interruptions=[[2.0, 2.1]], run__duration=1.0)
    assert delay_window(build).latest is None


def test_quick_window_agrees():
    for name in ("slow gate", "small reservoir"):
        build = BUILDS[name]()
        quick, fine = quick_window(quiet_start(build)), delay_window(build)
        assert quick.low == pytest.approx(fine.earliest, rel=0.025, abs=60e-6)
        assert is_open(quick) == (fine.latest is None)
        if fine.latest is not None:
            assert quick.high == pytest.approx(fine.latest, rel=0.025, abs=60e-6)


def test_between_is_the_same_factor_from_both():
    assert between(2e-3, 8e-3) == pytest.approx(4e-3)
    assert np.isclose(between(0, 0.1), np.sqrt(10e-6 * 0.1))
    assert between(0, 2e-6) == 2e-6


def test_where_every_delay_is_too_hot_the_middle_of_what_boots_is_taken():
    build = BUILDS["six tiles"]().with_values({"switch.highest_junction": 26})
    window = delay_window(build)
    assert window.too_hot_from == window.earliest
    assert window.margin_early > 0.1 * window.recommended
    assert window.margin_late is None
    for factor in (0.9, 1.0, 1.1):
        assert boots(with_delay(build, factor * window.recommended))


@pytest.fixture(scope="module")
def quiet():
    return quiet_start(BUILDS["six tiles"]())


def test_a_quiet_start_says_when_sections_listen_and_when_nothing_changes_any_more():
    build = six_tiles(
        switch={}, adapter__limit_style="hiccup", adapter__rated_current=30, adapter__trip_delay=30e-3,
        firmware__refresh_interval=40e-3, firmware__content_delay=0.1, controller__burst_current=0.1,
        controller__burst_period=0.2, controller__burst_length=5e-3,
    )  # fmt: skip
    found = quiet_start(build)
    start = found.start
    last = max(s.time for s in start.switchings if s.kind in (Kind.LISTENS, Kind.GATE_LOW)) - start.running_at
    assert last < 0.1
    # After the content, 0.1 s: a frame, a refresh, a burst and its period, a trip's delay, twice 50 ms to settle, and
    # what the capacitor at the controller lasts.
    drains = build.controller.reservoir * build.adapter.rated_voltage / build.controller.run_current
    assert found.frame == pytest.approx(384 * 30e-6, rel=0.1)  # 24 bits at 800 kbit/s a pixel, and a latch
    assert found.last == pytest.approx(0.1 + found.frame + 40e-3 + 0.205 + 30e-3 + drains + 0.1)
    assert (found.lost_at, found.lost_what) == (np.inf, "")
    ((since, until),) = found.heard
    listens = max(s.time for s in start.switchings if s.kind is Kind.LISTENS)
    assert since == pytest.approx(listens - start.running_at)
    assert until == pytest.approx(start.build.run.duration - start.running_at)
    needed = start.running_at + found.last + found.frame + (found.last - 0.1 - found.frame)
    assert found.build.run.duration == pytest.approx(max(build.run.duration, needed))


def test_a_reservoir_is_watched_until_it_has_drained():
    # 10 mF at 5.1 V carry 80 mA for 0.64 s; 100 mF would for longer than the second that is watched.
    plain = six_tiles(switch={}, controller__feed_diode=True)
    without, some, large = (
        quiet_start(plain.with_values({"controller.reservoir": farads})).last for farads in (1e-9, 10e-3, 0.1)
    )
    drawn = plain.controller.run_current
    assert some - without == pytest.approx(10e-3 * plain.adapter.rated_voltage / drawn, abs=0.03)
    assert large - without == pytest.approx(1.0, abs=0.1)


def test_stretches_in_which_a_frame_is_taken(quiet):
    heard = replace(quiet, heard=((0.1, 0.2), (0.3, 0.5)), frame=0.02)
    assert heard.takes_from(0.0, 1.0) == 0.1
    assert heard.takes_from(0.15, 1.0) == 0.15
    assert heard.takes_from(0.18, 1.0) == 0.18  # it ends with the stretch
    assert heard.takes_from(0.181, 1.0) == 0.3
    assert heard.takes_from(0.0, 0.1) == 0.1
    assert heard.takes_from(0.0, 0.09) == 0.0  # none: the low end
    assert heard.takes_from(0.49, 1.0) == 0.49


def test_interruptions_up_to_the_runs_own_end_are_kept():
    build = six_tiles(run__duration=1.0, run__interruptions=[[0.2, 0.3], [1.0, 1.1], [2.0, 2.1]])
    assert with_duration(build, 3.0).run.interruptions == ((0.2, 0.3), (1.0, 1.1))
    own = six_tiles(run__duration=1.0, run__interruptions=[[0.2, 0.3]])
    assert with_duration(own, 3.0) == own.with_values({"run.duration": 3.0})


def test_delays_are_scanned_densely_where_it_matters(quiet):
    heard = replace(quiet, heard=((0.01, 0.05), (0.2, 0.3)), frame=0.01, last=1.0, lost_at=np.inf)
    scan = delays_to_scan(heard)
    assert (np.diff(scan) > 0).all()
    assert (scan[0], scan[-1]) == (0.0, 1.0)
    late = scan[scan >= 10e-6]
    assert (late[1:] / late[:-1]).max() <= 1.3 + 1e-9
    # A section that listens until 50 ms takes a frame of 10 ms that is sent by 40 ms; there are ten steps between.
    for since, until in ((0.01, 0.04), (0.2, 0.29)):
        inside = scan[(scan >= since) & (scan <= until)]
        assert np.diff(inside).max() <= (until - since) / 10 + 1e-12
        for edge in (since, until):
            below, above = scan[scan < edge].max(), scan[scan > edge].min()
            assert above - below <= max(10e-6, 0.004 * edge)
    lost = delays_to_scan(replace(heard, lost_at=0.4))
    # The frame has to end before the loss; one more beyond it shows that there the window ends.
    assert lost[-2:] == pytest.approx([0.39, 0.39 + 10e-6], abs=1e-12)
    assert len(delays_to_scan(replace(heard, lost_at=0.009))) == 0
    rough = delays_to_scan(heard, 4.0, 4)
    assert len(rough) < 0.6 * len(scan)
    assert (rough[rough >= 10e-6][1:] / rough[rough >= 10e-6][:-1]).max() <= 4.0 + 1e-9


def test_the_flat_stretch_ends_where_a_twentieth_of_the_spare_is_gone():
    build = tide_board("with_switch")
    window = delay_window(build)
    low, high = window.flat

    def spare(delay):
        return simulate(with_delay(build, delay)).figures.lowest_rail_voltage - build.controller.brownout_falling

    most = max(spare(delay) for delay in np.linspace(low, high, 7))
    assert spare(low) >= 0.945 * most
    assert spare(high) >= 0.945 * most
    # Looked at up to far enough beyond the earliest; found to a hundredth of that.
    width = 2 * (far_enough(window.first_frame_takes_from) - window.first_frame_takes_from)
    assert spare(high + 0.02 * width) < 0.95 * most


def test_the_longest_of_several_good_stretches_is_taken_to_its_ends():
    delays = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])

    def is_good(delay):
        return not 0.5 < delay < 2.25 and delay < 5.75

    good = np.array([is_good(delay) for delay in delays])
    # From 2.25 on, between 2 and 3, to 5.75, between 5 and 6; each to a hundredth of the width, from the inside.
    low, high = longest_good(delays, good, is_good, 2.0)
    assert 2.25 <= low <= 2.27
    assert 5.73 <= high < 5.75
    assert longest_good(delays, delays < 9, is_good, 1.0) == (0.0, 7.0)
    first = np.array([1, 1, 1, 0, 0, 0, 1, 0], dtype=bool)
    assert longest_good(delays, first, lambda delay: False, 1.0) == (0.0, 2.0)


def test_far_enough_is_three_times_the_earliest_or_twenty_milliseconds_later():
    assert far_enough(1e-3) == pytest.approx(21e-3)
    assert far_enough(10e-3) == pytest.approx(30e-3)
    assert far_enough(20e-3) == pytest.approx(60e-3)


def test_without_a_switch_there_is_no_heat_to_spare_and_a_rail_that_never_dipped_has_all_of_it():
    build = six_tiles(adapter__rated_current=20, controller__feed="own")
    start = simulate(build)
    spare = spare_of(start, 12e-3)
    assert spare.heat is None
    if start.figures.lowest_rail_voltage is None:
        assert spare.rail == build.controller.rail_voltage - build.controller.brownout_falling
    taken = start.ready_at
    curves = start.at(np.linspace(taken - 12e-3, taken, 400))
    lowest = min(float(np.min(curves[name])) for name in curves if name.startswith("section_"))
    assert spare.listening == pytest.approx(lowest - build.pixel.listen_voltage, abs=0.02)


def test_a_window_says_what_ends_it_and_when_the_display_is_ready():
    build = BUILDS["small reservoir"]()
    window = delay_window(build)
    start = simulate(with_delay(build, window.recommended))
    assert window.ready_at == pytest.approx(start.ready_at, rel=1e-6)
    assert window.scanned_to == pytest.approx(quiet_start(build).last)
    assert (window.islands[0].low, window.islands[0].high) == (window.earliest, window.latest)
    early, late = window.islands[0].low_fails, window.islands[0].high_fails
    assert window.too_early is simulate(with_delay(build, early)).verdict
    assert window.too_late is simulate(with_delay(build, late)).verdict
