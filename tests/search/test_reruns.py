"""What is recommended is started again: what starts worse, or overstresses a part, is no answer."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.remedies import Remedy, compare_remedies
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.adapter_size import NoAdapter, StartNeed, WhyNoAdapter
from inrushlib.search.axis import Axis
from inrushlib.search.brightness import brightness_caps
from inrushlib.search.caps import OtherLimit
from inrushlib.search.feeds import best_feeding, compare_feeds, fed_at, place_feeds
from inrushlib.search.firmware import firmware_constants
from inrushlib.search.map import COARSEST, verdict_map
from inrushlib.search.rerun import rerun
from inrushlib.search.reservoir import smallest_reservoir
from inrushlib.search.running import showing
from inrushlib.startup import Verdict, simulate

from .sized_builds import six_tiles

TWELVE = {"adapter__rated_voltage": 12}
# It boots fed at one end, whose sag keeps the far tiles dim; fed in the middle they draw more than 3 A gives.
ROW = six_tiles()


def test_feeds_that_start_worse_are_not_recommended():
    assert simulate(ROW).verdict is Verdict.BOOTS
    assert simulate(fed_at(ROW, (3,))).verdict is Verdict.STUCK
    ways = compare_feeds(ROW)
    for way in ways:
        assert way.start.before.verdict is Verdict.BOOTS
        alone = ROW if way is ways[0] else fed_at(ROW, way.feeds)
        assert way.start.after.verdict is simulate(alone).verdict
    assert any(way.worsens for way in ways)
    best = best_feeding(ways)
    assert best is ways[0]
    assert any(way.lowest_voltage > best.lowest_voltage for way in ways)


def test_placed_feeds_pass_over_what_starts_worse():
    found = place_feeds(ROW, 1)
    assert simulate(fed_at(ROW, found.best.feeds)).verdict is Verdict.BOOTS
    assert not found.best.worsens
    voltages = {at: solve_panel(fed_at(ROW, (at,))).lowest_voltage for at in range(6)}
    ranked = sorted(voltages, key=voltages.get, reverse=True)
    assert found.passed_over == ranked.index(found.best.feeds[0]) > 0
    assert all(simulate(fed_at(ROW, (at,))).verdict is not Verdict.BOOTS for at in ranked[: found.passed_over])
    ample = place_feeds(ROW.with_values({"adapter.rated_current": 20}), 1)
    assert ample.passed_over == 0
    assert ample.best.lowest_voltage > 0


def test_a_build_that_does_not_start_may_be_fed_better():
    ways = compare_feeds(six_tiles(adapter__rated_current=1))
    best = best_feeding(ways)
    assert best is not ways[0]
    assert best.lowest_voltage == max(way.lowest_voltage for way in ways if way.start.after.grade == 2)


def test_size_says_both_starts():
    size = smallest_adapter(six_tiles(adapter__rated_current=1))
    assert size.start.before.verdict is Verdict.STUCK
    assert size.start.after.boots


def test_no_rating_where_each_overstresses_a_part():
    size = smallest_adapter(six_tiles(**TWELVE))
    assert isinstance(size, NoAdapter)
    assert size.why is WhyNoAdapter.OVERSTRESSES
    assert size.start.after.overstressed
    assert isinstance(size.starting, StartNeed)  # it would boot
    assert size.start.after.damage in size.reason


def test_remedies_that_overstress_do_not_help():
    found = compare_remedies(new_build({"title": "t", "adapter.rated_current": 3, "adapter.rated_voltage": 12,
                                        "wiring.sections": 1, "wiring.pixels_per_section": 64}))  # fmt: skip
    assert any(remedy.verdict is Verdict.BOOTS for remedy in found if isinstance(remedy, Remedy))
    assert not any(remedy.helps for remedy in found)
    for remedy in found:
        if isinstance(remedy, Remedy):
            assert remedy.rerun.before == found[0].before
            assert remedy.start.overstressed
            assert any(remedy.start.overstressed[0].words[4:] in text for text in remedy.could_go_wrong)


def test_reservoir_that_overstresses_is_no_answer():
    size = smallest_reservoir(six_tiles(adapter__rated_current=8, **TWELVE))
    assert size.standard.start.after.overstressed
    assert not size.standard.good
    good = smallest_reservoir(six_tiles(adapter__rated_current=8))
    assert good.standard.good
    assert good.standard.start.after.boots


def test_brightness_starts_with_its_cap():
    build = six_tiles(adapter__rated_current=8, firmware__content_delay=0.05)
    caps = brightness_caps(build)
    for cap in (caps.white, caps.picture):
        assert cap.start.before == caps.start
        duties = tuple(cap.continuous.level / 255 * duty for duty in cap.colour)
        assert cap.start.after == simulate(showing(build, duties, simulate(build).running_at)).headline
        assert not cap.start.worsens


def test_a_picture_that_pulls_the_controller_down_lowers_the_cap():
    # A protection that trips far below the label: by the ratings alone full white would do.
    build = six_tiles(adapter__rated_current=30, adapter__limit_current=3, adapter__limit_style="hiccup",
                      lead__resistance=0.08, firmware__content_delay=0.05, firmware__content=[0.05, 0.05, 0.05],
                      pixel__power_on=[0, 0, 0])  # fmt: skip
    caps = brightness_caps(build)
    cap = caps.white
    assert cap.continuous.limited_by is OtherLimit.START
    assert cap.continuous.level < 255
    running_at = simulate(build).running_at
    white, above = ((level / 255,) * 3 for level in (cap.continuous.level, cap.continuous.level + 1))
    assert not rerun(caps.start, showing(build, white, running_at)).worsens
    assert rerun(caps.start, showing(build, above, running_at)).worsens


def test_a_cap_that_mends_the_start_says_both_results():
    # The build's own picture, full white, trips the adapter; at its cap it does not.
    build = six_tiles(adapter__limit_style="hiccup", pixel__power_on=[0, 0, 0], firmware__content_delay=0.05,
                      firmware__content=[1, 1, 1])  # fmt: skip
    caps = brightness_caps(build)
    assert caps.start.verdict is Verdict.ADAPTER_TRIPS
    assert caps.picture.start.before == caps.start
    assert caps.picture.start.after.boots


def test_constants_of_a_build_that_does_not_start_say_so():
    build = six_tiles(adapter__rated_current=1)
    caps = brightness_caps(build)
    assert not caps.start.good
    delay = next(each for each in firmware_constants(build, caps) if each.name == "first frame delay")
    assert caps.start.title in delay.meaning


@pytest.mark.parametrize(("points", "bulk"), [(5, 1e-3), (11, 3e-4)])
def test_map_marks_what_overstresses(points, bulk):
    build = new_build({"title": "plugged in", "adapter.rated_current": 5, "lead.length": "0.3 m", "run.start": "plug",
                       "wiring.sections": 1, "wiring.pixels_per_section": 16, "run.duration": 0.3})  # fmt: skip
    x, y = Axis("adapter.rated_current", 3, 6, points), Axis("bus.bulk", 1e-6, bulk, points, log=True)
    found = verdict_map(build, x, y)
    assert found.boots.all()
    truth = np.array(
        [
            [bool(simulate(build.with_values({"adapter.rated_current": a, "bus.bulk": c})).overstressed)
             for a in found.x_values]
            for c in found.y_values
        ]
    )  # fmt: skip
    assert truth.any()
    assert not truth.all()
    assert (found.overstressed == truth).all()
    assert (found.good == ~truth).all()
    assert {each.part for each in found.overstress} <= {"pixels", "controller"}
    # Of each part the worst that was seen, and only where two coarse points disagree are the points between them run.
    coarse = sorted({*range(0, points, COARSEST), points - 1})
    around = [{max(c for c in coarse if c <= at), min(c for c in coarse if c >= at)} for at in range(points)]
    unsure = sum(len({truth[r, c] for r in rows for c in columns}) > 1 for rows in around for columns in around)
    assert found.runs == found.ran.sum() + len(coarse) ** 2 + unsure
    on_its_side = verdict_map(build, y, x)
    assert (on_its_side.overstressed == truth.T).all()
    assert on_its_side.runs == found.runs
    highest = max(
        each.seen
        for c in found.y_values
        for a in found.x_values
        for each in simulate(build.with_values({"adapter.rated_current": a, "bus.bulk": c})).overstressed
        if each.part is found.overstress[0].part
    )
    assert found.overstress[0].seen == pytest.approx(highest, rel=0.02)
