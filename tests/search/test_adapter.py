from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inrushlib.build import new_build
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.adapter_size import AdapterSize, Decides, NoAdapter, NoNeed, PictureNeed, StartNeed, WhyNoAdapter
from inrushlib.search.ratings import RATINGS, next_rating, rating_ladder, with_limit
from inrushlib.search.running import running_current
from inrushlib.startup import Verdict, simulate

from .sized_builds import boots, reference, six_tiles, tide_board

EDGES = ("0101", "0102", "0104", "0107", "0114", "0117", "0120", "0122", "0136", "0140", "1001", "1013", "1038")


@pytest.mark.parametrize("name", EDGES)
def test_edge_lies_within_two_percent(name):
    build = reference(name)
    limit = smallest_adapter(build).starting.limit_current
    assert boots(with_limit(build, 1.02 * limit))
    assert not boots(with_limit(build, 0.98 * limit))


@pytest.mark.parametrize("name", EDGES)
def test_standard_rating_is_a_step_up_that_boots(name):
    build = reference(name)
    size = smallest_adapter(build)
    ratio = build.adapter.limit_current / build.adapter.rated_current
    assert size.standard_rating in RATINGS
    assert size.standard_rating >= size.starting.rated_current
    assert size.standard_rating >= size.running.current / 0.8 * (1 - 1e-9)
    assert boots(with_limit(build, size.standard_rating * ratio))
    below = [rating for rating in RATINGS if rating < size.standard_rating]
    if below:
        # The next one down must fall short of either need.
        assert below[-1] < size.starting.rated_current or below[-1] < size.running.rating
    assert size.starting.rated_current == pytest.approx(size.starting.limit_current / ratio)
    for_picture = size.running.rating > size.starting.rated_current
    assert size.decided_by is (Decides.RUNNING_PICTURE if for_picture else Decides.START)


@pytest.mark.parametrize("name", ["0103", "0130", "0132"])
def test_no_rating_boots_and_says_why(name):
    build = reference(name)
    size = smallest_adapter(build)
    assert isinstance(size, NoAdapter)
    assert size.why is WhyNoAdapter.NONE_STARTS
    assert size.starting is NoNeed.NEVER_BOOTS
    assert size.islands == ()
    ratio = build.adapter.limit_current / build.adapter.rated_current
    largest = simulate(with_limit(build, 60 * ratio))
    assert largest.verdict is not Verdict.BOOTS
    assert largest.verdict.words in size.reason
    assert largest.reason in size.reason


def test_more_is_not_always_better():
    # A folding adapter with large capacitors: a narrow range of small limits boots before the picture comes on,
    # more current lets the picture pull the controller down, and much more carries both.
    build = new_build(
        {
            "title": "island", "adapter.rated_current": 2.239, "adapter.limit_current": 3.5824,
            "adapter.limit_style": "foldback", "adapter.output_capacitance": 19.41e-6,
            "adapter.foldback_current": 2.50768, "adapter.peak_current": 5.3736, "adapter.peak_time": 0.03751,
            "bus.bulk": 0.01, "panel.bulk": 0.01, "controller.dropout_voltage": 0.3,
            "controller.rail_capacitance": 673.7e-6, "controller.brownout_rising": 3.2284269,
            "controller.boot_time": 0.002, "controller.reset_current": 0.001, "firmware.content": [1, 0, 0],
            "firmware.content_delay": 0, "pixel.power_on": [0, 0, 0], "pixel.quiescent_current": 0.001,
            "pixel.wake_voltage": 1.53217, "wiring.sections": 1, "wiring.pixels_per_section": 68,
            "run.duration": 0.4749,
        }
    )  # fmt: skip
    low, high = smallest_adapter(build).islands
    assert boots(with_limit(build, (low.low * low.high) ** 0.5))
    assert not boots(with_limit(build, (low.high * high.low) ** 0.5))
    assert boots(with_limit(build, 1.02 * high.low))
    assert high.high == pytest.approx(60 * 3.5824 / 2.239)


@given(st.floats(1e-6, 60, allow_nan=False))
def test_ladder_never_rounds_down(current):
    rating = next_rating(current)
    assert rating in RATINGS
    assert rating >= current * (1 - 1e-9)
    assert all(lower < current for lower in RATINGS if lower < rating)


def test_ladder_ends():
    assert next_rating(60.0) == 60.0
    assert next_rating(60.001) is None


def test_ratios_to_the_label_are_kept():
    build = reference("1013")
    a, b = build.adapter, with_limit(build, 2.5 * build.adapter.limit_current).adapter
    for key in ("rated_current", "limit_current", "peak_current", "foldback_current"):
        assert getattr(b, key) == pytest.approx(2.5 * getattr(a, key))
    assert (a.limit_style, a.peak_time, a.foldback_knee) == (b.limit_style, b.peak_time, b.foldback_knee)


def test_running_current_is_that_of_a_start_that_got_there():
    build = six_tiles(adapter__rated_current=8, firmware__content_delay=0.3, firmware__refresh_interval=0.05,
                      wiring__rail_resistance=1e-5)  # fmt: skip
    assert running_current(build) == pytest.approx(simulate(build).figures.settled_lead_current, rel=2e-3)
    # What other limit the label comes with does not matter.
    assert running_current(build.with_values({"adapter.rated_current": 1})) == pytest.approx(running_current(build))


def test_running_picture_counts_four_fifths_of_the_label():
    size = smallest_adapter(six_tiles(pixel__power_on=[0, 0, 0], firmware__content_delay=0.3))
    assert size.decided_by is Decides.RUNNING_PICTURE
    assert size.running.rating == pytest.approx(size.running.current / 0.8)
    assert size.standard_rating == next_rating(size.running.rating)


def test_tide_board():
    size = smallest_adapter(tide_board("never_starts"))
    assert size.decided_by is Decides.START
    assert size.standard_rating == 10
    assert np.isclose(size.islands[0].low, size.starting.limit_current)


def test_a_rating_just_above_the_edge_is_taken():
    # The edge is found to half a per cent; the label of 4 A that lies in there is run and boots.
    build = six_tiles(firmware__content=[0.05, 0.05, 0.05])  # a dim picture: the start decides
    edge = smallest_adapter(build).starting.limit_current
    low, high = 0.99 * edge, edge
    while high - low > 1e-5 * edge:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if boots(with_limit(build, middle)) else (middle, high)
    # Its label is 3.996 A now.
    build = build.with_values({"adapter.rated_current": 3, "adapter.limit_current": 3 * high / 3.996})
    size = smallest_adapter(build)
    assert size.standard_rating == 4
    assert size.starting.rated_current <= 4


@pytest.mark.parametrize("key", ["peak_current", "foldback_current"])
def test_a_given_current_that_equals_the_limit_stays_allowed(key):
    more = {"adapter.peak_time": 1e-3} if key == "peak_current" else {"adapter.limit_style": "foldback"}
    build = six_tiles().with_values({"adapter.rated_current": 1.1, f"adapter.{key}": 1.32, **more})
    for limit in np.geomspace(0.05, 72, 200):
        changed = with_limit(build, limit)
        assert changed.adapter.limit_current == pytest.approx(limit, rel=1e-12)
        assert getattr(changed.adapter, key) == pytest.approx(limit, rel=1e-12)
    assert isinstance(smallest_adapter(build), AdapterSize)


def test_a_switch_that_never_closes_is_said_and_no_error():
    # The divider of 1 Mohm and 10 kohm leaves the gate at a hundredth of the bus.
    build = six_tiles(switch={"gate_resistance": 1e6})
    assert running_current(build) is None
    size = smallest_adapter(build)
    assert isinstance(size, NoAdapter)
    assert size.running is NoNeed.NEVER_SHOWN
    assert size.decided_by is Decides.START
    assert "no section shows data" in size.reason


def test_a_picture_beyond_the_ladder_is_a_reason_of_its_own():
    # 12 strips of 256 pixels, white: 12 x 256 x 36.6 mA, 112 A if nothing drops on the way, and 80 % of 60 A is 48 A.
    build = six_tiles(wiring__sections=12, wiring__pixels_per_section=256, wiring__feeds=list(range(12)),
                      firmware__content=[1, 1, 1], pixel__power_on=[0, 0, 0], lead__resistance=1e-4,
                      wiring__feed_resistance=1e-3, wiring__rail_resistance=1e-5)  # fmt: skip
    size = smallest_adapter(build)
    assert size.why is WhyNoAdapter.PICTURE_TOO_LARGE
    assert isinstance(size.running, PictureNeed)
    assert not size.running.carried_by(RATINGS[-1])
    assert f"{size.running.rating:.3g} A" in size.reason
    flat = size.to_dict()
    assert (flat["standard_rating"], flat["decided_by"], flat["reason"]) == (None, size.decided_by, size.reason)


def test_ladder_starts_the_build_on_each_rating():
    build = six_tiles()
    rungs = rating_ladder(build)
    assert [rung.rating for rung in rungs] == list(RATINGS)
    for rung in rungs[3:8]:
        start = simulate(with_limit(build, 1.2 * rung.rating))  # the limit's default: 1.2 x the label
        assert rung.headline == start.headline
        assert rung.peak_lead_current == start.figures.peak_lead_current


def test_the_table_for_json_says_what_the_answer_says():
    size = smallest_adapter(six_tiles())
    told = {
        "smallest_limit_current": size.starting.limit_current,
        "smallest_rated_current": size.starting.rated_current,
        "running_current": size.running.current,
        "running_rating": size.running.rating,
        "picture": size.picture,
        "standard_rating": size.standard_rating,
        "decided_by": size.decided_by,
        "islands": size.islands,
        "reason": "",
        "start": size.start,
        "runs": size.runs,
    }
    assert size.to_dict() == told
    unseen = replace(size, running=NoNeed.NEVER_SHOWN).to_dict()
    assert unseen == told | {"running_current": None, "running_rating": None, "decided_by": Decides.START}
    none = NoAdapter(
        why=WhyNoAdapter.NONE_STARTS, starting=NoNeed.NEVER_BOOTS, running=size.running, picture=size.picture,
        islands=(), shown_at=60.0, start=size.start, runs=7,
    )  # fmt: skip
    assert none.to_dict() == told | {
        "smallest_limit_current": None, "smallest_rated_current": None, "standard_rating": None,
        "decided_by": Decides.START, "islands": (), "reason": none.reason, "runs": 7,
    }  # fmt: skip
    assert none.reason.startswith("no standard rating up to 60 A starts it and carries its picture; at 60 A: boots")


@pytest.mark.parametrize(
    ("label", "rating", "decides"),
    [(4.0, 3.99, Decides.START), (4.0, 4.0, Decides.START), (4.0, 4.01, Decides.RUNNING_PICTURE)],
)
def test_the_larger_need_decides_and_of_equals_the_start(label, rating, decides):
    size = smallest_adapter(six_tiles())
    size = replace(size, starting=StartNeed(4.8, label), running=PictureNeed(0.8 * rating, rating))
    assert size.decided_by is decides


def test_a_rating_carries_what_it_is_for_and_no_more():
    need = PictureNeed(current=4.0, rating=5.0)
    assert need.carried_by(5.0)
    assert need.carried_by(5.0 * (1 - 1e-12))  # a rounding of the same number
    assert not need.carried_by(4.999)


def test_an_adapter_that_boots_below_where_the_scan_begins_is_found_all_the_same():
    build = six_tiles(wiring__sections=1, wiring__pixels_per_section=4, controller__feed="own",
                      pixel__quiescent_current=0.1e-3, pixel__power_on=[0, 0, 0])  # fmt: skip
    size = smallest_adapter(build)
    # What the bleed of 1 kohm and four dark pixels take of 5.1 V: 5.1 mA and 0.4 mA.
    assert 1e-3 < size.starting.limit_current < 0.05
    assert boots(with_limit(build, 1.02 * size.starting.limit_current))
    assert not boots(with_limit(build, 0.98 * size.starting.limit_current))
