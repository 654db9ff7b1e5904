"""Where to feed and with what wire: closed forms, the search against trying everything, facts of the trade."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inrushlib.build import Build, new_build
from inrushlib.copper import ampacity, awg_area, wire_resistance
from inrushlib.errors import UsageError
from inrushlib.panel import solve_panel
from inrushlib.search.feeds import Feeding, best_feeding, compare_feeds, evenly_spaced, fed_at, place_feeds
from inrushlib.search.rerun import Rerun
from inrushlib.search.wires import CONTINUOUS_FACTOR, CarriedIn, DecidedBy, wire_for, wire_plan
from inrushlib.startup import Verdict, simulate


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


def test_every_figure_of_a_way_of_feeding_is_that_of_its_panel() -> None:
    build = row(wiring__feeds=[0, 1], wiring__feed_resistance=[0.01, 0.02])
    for way in compare_feeds(build, (1.0, 0.5, 0.2), best_of=(2,)):
        state = solve_panel(build if way.name == "as built" else fed_at(build, way.feeds, 0.02), (1.0, 0.5, 0.2))
        assert replace(way, start=None) == Feeding(
            name=way.name, feeds=way.feeds, lowest_voltage=state.voltages.min(),
            worst_pixel=int(np.argmin(state.voltages)), voltage_spread=float(np.ptp(state.voltages)),
            lowest_brightness=state.brightness.min(), largest_feed_current=abs(state.feed_currents).max(),
            largest_hop_current=abs(state.hop_currents).max(), adapter_current=state.adapter_current,
        )  # fmt: skip


def test_the_usual_ways_of_feeding_by_name() -> None:
    small = row(wiring__sections=8, wiring__pixels_per_section=4)
    ways = compare_feeds(small)
    assert [(way.name, way.feeds) for way in ways[:7]] == [
        ("as built", (0,)), ("one end", (0,)), ("both ends", (0, 7)), ("middle", (4,)),
        ("every 2nd", (1, 3, 5, 7)), ("every 3rd", (1, 4, 7)), ("every 4th", (2, 6)),
    ]  # fmt: skip
    assert [(way.name, len(way.feeds)) for way in ways[7:]] == [("best of 1", 1), ("best of 2", 2), ("best of 3", 3)]
    names = {way.name for way in compare_feeds(row(wiring__sections=24, wiring__pixels_per_section=1),
                                               every=(1, 11, 12, 13, 21, 22, 23, 24), best_of=())}  # fmt: skip
    # A row of 24 has no 24th to repeat, and from its 12th on a 23rd is the same as a 22nd.
    assert {name for name in names if name.startswith("every")} == {
        "every 1st", "every 11th", "every 12th", "every 13th", "every 21st", "every 22nd",
    }  # fmt: skip
    # More feeds than there are sections are left out, as many as there are is every one.
    two = compare_feeds(row(wiring__sections=2), every=(), best_of=(2, 3))
    assert [way.feeds for way in two] == [(0,), (0,), (0, 1), (1,)]


def test_a_fed_build_has_the_largest_of_its_own_wires_or_the_one_given() -> None:
    build = row(wiring__feeds=[0, 3], wiring__feed_resistance=[0.01, 0.02])
    assert fed_at(build, (1, 2, 4)).wiring.feed_resistance == (0.02,) * 3
    assert fed_at(build, (1, 2), 0.005).wiring.feed_resistance == (0.005,) * 2
    assert fed_at(build, (5,)).wiring.feed_pixels == (8,)


def test_of_ways_that_start_alike_the_one_with_the_best_worst_pixel_is_recommended() -> None:
    ways = compare_feeds(row(adapter__rated_current=60), best_of=(1, 2))
    fair = [way for way in ways if way.start is not None and way.start.after.grade == 0]
    assert len(fair) > 3
    assert best_feeding(ways).lowest_voltage == max(way.lowest_voltage for way in fair)
    # One that boots comes before one with more voltage that boots only after resets or not at all.
    own, better = ways[0], max(fair[1:], key=lambda way: way.lowest_voltage)
    stuck = simulate(row(adapter__rated_current=0.5)).headline
    assert stuck.verdict is Verdict.STUCK
    own = replace(own, start=Rerun(stuck, stuck), lowest_voltage=better.lowest_voltage + 0.1)
    better = replace(better, start=Rerun(stuck, better.start.after))
    assert best_feeding((own, better)) is better
    # Where no start can be computed nothing is known to be no worse.
    assert best_feeding([replace(way, start=None) for way in ways]).name == "as built"


def test_the_exchange_search_says_what_it_did() -> None:
    build = row(wiring__sections=20, wiring__pixels_per_section=4)
    found = place_feeds(build, 3)
    assert (found.exact, found.method) == (False, "exchange search from 2 starts, not proven the best")
    assert 3 < found.tried < 200  # of 1140 there are
    # Within a section's pitch of the middles of thirds.
    assert found.best.feeds == pytest.approx(evenly_spaced(20, 3), abs=1)
    few = place_feeds(build, 2)  # 190 there are, below 300
    assert (few.exact, few.tried, few.method) == (True, 190, "exact: all arrangements tried")
    assert few.best.name == "best of 2"


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((60.0, 0.1, 1.0), "wire: 60 A over 0.1 m; accepted: what 10 AWG, the thickest of the table 'chassis wiring', "
                           "carries with a rating of 75 A; lay two"),
        ((10.0, 30.0, 0.05), "wire: 10 A over 30 m; accepted: what 10 AWG, .* carries with a drop of 0.05 V; lay two"),
        ((-1.0, 1.0, 1.0), "wire: -1 A over 1 m with a drop of 1 V; accepted: current and length 0 or more, a drop"),
        ((1.0, -1.0, 1.0), "wire: 1 A over -1 m"),
        ((1.0, 1.0, 0.0), "with a drop of 0 V"),
    ],
)  # fmt: skip
def test_a_wire_that_cannot_be_is_told_with_its_numbers(values: tuple[float, ...], message: str) -> None:
    with pytest.raises(UsageError, match=message):
        wire_for(*values)
    for named in ({"power_on": 60.0}, {"protected_by": 75.0, "power_on": 60.0}):
        with pytest.raises(UsageError, match=r"lead: 60 A over 1 m; accepted: .* with a rating of 75 A"):
            wire_for(1.0, 1.0, 0.1, name="lead", **named)
    with pytest.raises(UsageError, match="ampacity table: 'none'; accepted: one of chassis wiring, "):
        wire_for(1.0, 1.0, 0.1, table="none")


def test_a_wire_by_hand() -> None:
    # 2 A over a metre and back: 18 AWG, 20.95 mohm/m at 20 C (any wire table), 40 C: x 1.0786, both ways; the next
    # stocked, 20 AWG, would drop 144 mV. 16 A by the handbook's chassis wiring.
    plain = wire_for(2.0, 1.0, 0.1)
    assert (plain.name, plain.gauge, plain.ampacity, plain.table) == ("wire", 18, 16.0, "chassis wiring")
    assert plain.resistance == pytest.approx(2 * 20.95e-3 * 1.0786, rel=2e-3)
    assert plain.drop == pytest.approx(2.0 * plain.resistance)
    assert (plain.current, plain.carried, plain.length) == (2.0, 2.0, 1.0)
    assert (plain.carried_in, plain.decided_by) == (CarriedIn.PICTURE, DecidedBy.DROP)
    assert plain.stands == pytest.approx(2.5)
    # As cold as 20 C, and for what the power-on colour takes, with a fuse of 12 A before it: 10 AWG by the table of
    # power transmission, 3.277 mohm/m.
    fused = wire_for(2.0, 1.0, 0.1, power_on=9.0, protected_by=12.0, table="power transmission", celsius=20.0)
    assert (fused.gauge, fused.ampacity, fused.stands) == (10, 15.0, 12.0)
    assert fused.resistance == pytest.approx(2 * 3.277e-3, rel=2e-3)
    assert (fused.carried, fused.carried_in, fused.decided_by) == (9.0, CarriedIn.POWER_ON, DecidedBy.FUSE)


def test_a_plan_without_more_said_takes_a_white_picture_and_the_usual_drops() -> None:
    build = row(wiring__feeds=[0, 5])
    lengths = [1.5, 0.8], [0.3] * 5
    plan = wire_plan(build, *lengths)
    said = wire_plan(
        build, *lengths, highest_feed_drop=0.1, highest_hop_drop=0.05, contact_resistance=0.0, colour=(1.0, 1.0, 1.0),
        largest_adapter=None, table="chassis wiring", celsius=40.0, fuses=(),
    )  # fmt: skip
    assert (plan.feeds, plan.hops) == (said.feeds, said.hops)
    assert plan.most_current == pytest.approx(plan.state.adapter_current)
    contacts = wire_plan(build, *lengths, contact_resistance=20e-3)
    assert contacts.state.lowest_voltage < plan.state.lowest_voltage
    # Hot copper, there and back, is what the panel is solved with.
    feed = plan.feeds[0]
    assert feed.drop == pytest.approx(feed.resistance * feed.current)
    fed = plan.state.voltages[plan.state.feed_pixels[0]]
    assert plan.state.root_voltage - fed == pytest.approx(feed.drop, rel=1e-6)


def test_a_jumper_of_no_length_is_a_microohm() -> None:
    plan = wire_plan(row(), [0.5], [0.0] * 5)
    across = plan.state.voltages[15] - plan.state.voltages[16]
    assert across == pytest.approx(plan.state.hop_currents[0] * (1e-3 + 1e-6), rel=1e-6)
    assert [wire.name for wire in plan.hops] == [f"jumper {k}-{k + 1}" for k in range(5)]
    assert [wire.name for wire in plan.feeds] == ["feed to section 0"]
