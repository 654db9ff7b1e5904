"""Where to feed and with what wire: closed forms, the search against trying everything, facts of the trade."""

from typing import Any

import numpy as np
import pytest

from inrushlib.build import Build, new_build
from inrushlib.copper import ampacity, awg_area, wire_resistance
from inrushlib.errors import UsageError
from inrushlib.panel import solve_panel
from inrushlib.search.feeds import compare_feeds, evenly_spaced, fed_at, place_feeds
from inrushlib.search.wires import CONTINUOUS_FACTOR, CarriedIn, DecidedBy, wire_for, wire_plan


def row(**values: Any) -> Build:
    given = {
        "title": "a row of tiles",
        "adapter.rated_current": 40.0,
        "lead.resistance": 1e-3,
        "wiring.sections": 6,
        "wiring.pixels_per_section": 16,
        "wiring.rail_resistance": 1e-3,
        "wiring.hop_resistance": 10e-3,
        "wiring.feed_resistance": 1e-4,
        # Such an adapter on so short a lead rings when the pixels go dark; where to feed is asked here, not that.
        "pixel.highest_supply": 10.0,
        "controller.highest_supply": 10.0,
    }
    return new_build(given | {key.replace("__", "."): value for key, value in values.items()})


def test_both_ends_and_middle_are_a_quarter_of_one_end() -> None:
    # Closed form of a chain of equal currents: two feeds at the ends have a quarter of the drop of one; one in
    # the middle feeds two chains of half the length, a quarter as well.
    build = row(
        wiring__sections=41, wiring__pixels_per_section=1, wiring__rail_resistance=0.0, wiring__hop_resistance=1e-3
    )
    drops = {
        feeds: (state := solve_panel(fed_at(build, feeds))).root_voltage - state.lowest_voltage
        for feeds in [(0,), (0, 40), (20,)]
    }
    assert drops[0, 40] / drops[(0,)] == pytest.approx(0.25, abs=0.02)
    assert drops[(20,)] / drops[(0,)] == pytest.approx(0.25, abs=0.02)


def test_a_uniform_row_wants_its_feeds_at_the_middles_of_equal_stretches() -> None:
    # Of a uniform row with little sag: k feeds at (2 i + 1) / (2 k) of the length (from the closed form above).
    build = row(wiring__sections=9, wiring__hop_resistance=5e-3)
    assert place_feeds(build, 1).best.feeds == (4,) == evenly_spaced(9, 1)
    assert place_feeds(build, 3).best.feeds == (1, 4, 7) == evenly_spaced(9, 3)


@pytest.mark.parametrize("seed", range(4))
def test_the_search_finds_what_trying_everything_finds(seed: int) -> None:
    generator = np.random.default_rng(seed)
    build = row(
        wiring__sections=8,
        wiring__pixels_per_section=generator.integers(2, 20, 8).tolist(),
        wiring__hop_resistance=generator.uniform(2e-3, 40e-3, 7).tolist(),
    )
    exact, searched = place_feeds(build, 2), place_feeds(build, 2, exact_up_to=0)
    assert exact.exact
    assert exact.tried == 28
    assert not searched.exact
    assert "not proven" in searched.method
    # The search may stop at an arrangement that no single move betters; on these it costs at most 20 mV.
    assert searched.best.lowest_voltage <= exact.best.lowest_voltage + 1e-9
    assert searched.best.lowest_voltage >= exact.best.lowest_voltage - 20e-3


def test_more_feeds_are_never_worse() -> None:
    lowest = [place_feeds(row(), count).best.lowest_voltage for count in range(1, 7)]
    assert lowest == sorted(lowest)


def test_comparison_names_each_arrangement_once() -> None:
    rows = compare_feeds(row(wiring__feeds=[0, 1]), best_of=(1, 2))
    assert rows[0].name == "as built"
    assert len({each.feeds for each in rows}) == len(rows)
    by_name = {each.name: each for each in rows}
    assert by_name["both ends"].lowest_voltage > by_name["one end"].lowest_voltage
    assert by_name["middle"].voltage_spread < by_name["one end"].voltage_spread
    assert by_name["middle"].largest_hop_current < by_name["one end"].largest_hop_current


# Facts of the trade, from a practitioner's display of six 64-pixel tiles in a row joined by 30 AWG, an 8 A
# adapter, all white (common practice, no source): one tile takes 1.5 A, six would take 9 A. Fed at one end the
# voltage falls along the row and the display takes more than 5 A, but not all it could; fed in the middle it is
# more even and reaches the 8 A. The hops' length is a guess: 15 cm, and 20 mohm of joints.
TILES = {
    "adapter.rated_voltage": 5.1,
    "adapter.rated_current": 8.0,
    "adapter.limit_current": 8.4,
    "pixel.channel_current": 7.7e-3,
    "pixel.channel_resistance": 100.0,
    "wiring.pixels_per_section": 64,
    "wiring.rail_resistance": 0.3e-3,
    "wiring.hop_resistance": wire_resistance(2 * 0.15, awg_area(30)) + 20e-3,
    "wiring.feed_resistance": 20e-3,
    "lead.resistance": 30e-3,
}


def test_facts_of_the_trade_on_feeding() -> None:
    one_tile = solve_panel(row(**TILES, **{"wiring.sections": 1}))
    assert one_tile.pixel_currents.sum() == pytest.approx(1.5, abs=0.05)
    build = row(**TILES)
    end, middle = solve_panel(fed_at(build, (0,))), solve_panel(fed_at(build, (3,)))
    assert 5.0 < end.adapter_current < 0.85 * middle.adapter_current
    assert middle.adapter_current == pytest.approx(8.0, abs=0.5)
    assert np.all(np.diff(end.section_voltages) < 0)
    spread = middle.highest_voltage - middle.lowest_voltage
    assert spread < 0.67 * (end.highest_voltage - end.lowest_voltage)
    assert middle.lowest_voltage > end.lowest_voltage + 0.3


@pytest.mark.parametrize("count", [0, 7])
def test_impossible_numbers_of_feeds(count: int) -> None:
    with pytest.raises(UsageError, match=r"number of feeds: .*; accepted: 1 to 6"):
        place_feeds(row(), count)


def test_wire_for_drop_and_for_heat() -> None:
    for current, length, drop in [(0.5, 3.0, 0.05), (3.0, 0.05, 0.5), (8.0, 1.0, 0.2)]:
        wire = wire_for(current, length, drop)
        assert wire.drop <= drop
        assert wire.ampacity >= CONTINUOUS_FACTOR * current
        thinner = wire.gauge + 2
        hot = wire_resistance(2 * length, awg_area(thinner), 40.0) * current
        assert hot > drop or ampacity(thinner) < CONTINUOUS_FACTOR * current
    assert wire_for(3.0, 0.05, 0.5).decided_by is DecidedBy.AMPACITY
    assert wire_for(0.5, 3.0, 0.05).decided_by is DecidedBy.DROP


@pytest.mark.parametrize(("current", "length", "drop"), [(60.0, 0.1, 1.0), (10.0, 30.0, 0.05)])
def test_no_wire_is_thick_enough(current: float, length: float, drop: float) -> None:
    with pytest.raises(UsageError, match="add feeds or shorten the way"):
        wire_for(current, length, drop)


def test_wire_plan_holds_with_the_wires_in_place() -> None:
    build = row(wiring__feeds=[0, 5], wiring__hop_resistance=0.3, wiring__feed_resistance=0.3)
    plan = wire_plan(build, [0.5, 0.8], [0.1] * 5, highest_feed_drop=0.1, highest_hop_drop=0.05)
    for wire, current in zip(plan.feeds + plan.hops, [*plan.state.feed_currents, *plan.state.hop_currents],
                             strict=True):  # fmt: skip
        assert abs(current) <= wire.current * (1 + 1e-6)
        assert abs(current) * wire.resistance <= (0.1 if "feed" in wire.name else 0.05) * (1 + 1e-6)
        assert wire.ampacity >= CONTINUOUS_FACTOR * wire.carried
    assert plan.state.lowest_voltage > solve_panel(build).lowest_voltage
    with pytest.raises(UsageError, match="feed_lengths: 1 of them; accepted: 2"):
        wire_plan(build, [0.5], [0.1] * 5)


def test_wires_are_the_same_whatever_adapter_the_build_has() -> None:
    # 240 pixels draw 8 A and more; a 1 A adapter never gives that, the one that replaces it will.
    plans = {
        rated: wire_plan(row(adapter__rated_current=rated, wiring__pixels_per_section=40), [0.5], [0.05] * 5)
        for rated in (1.0, 8.0, 20.0)
    }
    gauges = [[wire.gauge for wire in (*plan.feeds, *plan.hops)] for plan in plans.values()]
    assert gauges[0] == gauges[1] == gauges[2]
    assert plans[1.0].most_current == pytest.approx(plans[20.0].most_current, rel=1e-3)
    assert plans[1.0].most_current > 7.0
    for rated, plan in plans.items():
        assert not plan.limited
        assert "from a supply that does not limit" in plan.from_what
        assert ("The build's adapter gives 1.2 A at most" in plan.from_what) == (rated == 1.0)


def test_wires_for_a_largest_adapter_say_where_it_limits() -> None:
    build = row(adapter__rated_current=1.0, wiring__pixels_per_section=40)
    small, large = (wire_plan(build, [0.5], [0.05] * 5, largest_adapter=limit) for limit in (3.0, 12.0))
    assert small.most_current == pytest.approx(3.0, rel=0.02)
    assert small.limited
    assert "up to 3 A" in small.from_what
    assert "may burn" in small.from_what
    assert not large.limited
    assert "may burn" not in large.from_what
    assert small.feeds[0].gauge > large.feeds[0].gauge
    # The build's own adapter may be used as well.
    assert wire_plan(build, [0.5], [0.05] * 5, largest_adapter=0.5).largest_adapter == pytest.approx(1.2)
    with pytest.raises(UsageError, match="largest adapter: 0 A; accepted: above 0 A"):
        wire_plan(build, [0.5], [0.05] * 5, largest_adapter=0.0)


def test_wires_stand_the_power_on_colour_and_drop_by_the_picture() -> None:
    build = row(adapter__rated_current=20.0, wiring__pixels_per_section=40)
    dark, white = (wire_plan(build, [1.0], [0.05] * 5, colour=colour) for colour in ((0.1, 0.1, 0.1), (1, 1, 1)))
    feed = dark.feeds[0]
    assert feed.carried_in is CarriedIn.POWER_ON
    assert feed.carried_in != CarriedIn.PICTURE
    assert feed.carried == pytest.approx(abs(float(dark.power_on.feed_currents[0])))
    assert feed.ampacity >= CONTINUOUS_FACTOR * feed.carried
    assert feed.current < 0.5 * feed.carried
    assert white.feeds[0].carried_in is CarriedIn.PICTURE
    # A metre: the drop of the white picture asks for more copper than its heat.
    assert feed.gauge > white.feeds[0].gauge
    assert white.feeds[0].decided_by is DecidedBy.DROP


def test_as_built_is_the_build_itself() -> None:
    # Fed at its first pixel through a wire of its own, not at the middle through the table's.
    build = row(
        wiring__sections=3, wiring__feeds=[0, 2], wiring__feed_pixels=[0, 5], wiring__feed_resistance=[0.01, 0.2]
    )
    own = compare_feeds(build, best_of=())[0]
    assert own.name == "as built"
    assert own.lowest_voltage == solve_panel(build).lowest_voltage
    ends = next(each for each in compare_feeds(build, best_of=()) if each.name == "both ends")
    assert ends.feeds == own.feeds
    assert ends.lowest_voltage != own.lowest_voltage


def test_no_way_of_feeding_is_sparser_than_the_panel() -> None:
    names = [each.name for each in compare_feeds(row(wiring__sections=4, wiring__feeds=[0]), best_of=())]
    assert "every 2nd" in names
    assert "every 4th" not in names
