import numpy as np
import pytest

from inrushlib.errors import BuildError
from inrushlib.search.window import (
    NoWindow,
    WhyNone,
    between,
    delay_window,
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
        (reference("0101"), WhyNone.LOST_BEFORE_FRAME),
        (reference("1000"), WhyNone.NO_DELAY_BOOTS),
    ],
)
def test_no_window_says_why(build, why):
    window = delay_window(build)
    assert isinstance(window, NoWindow)
    assert window.why is why
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
