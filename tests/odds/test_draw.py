"""Points become valid builds, and the arrays that the model takes are those of these builds."""

import numpy as np
import pytest

from inrushlib.build import new_build, parse_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.odds import Draw, Which, key_ranges
from inrushlib.odds.key_ranges import Shape
from inrushlib.odds.orders import ORDERS
from inrushlib.startup.pack import pack

PLAIN = {"title": "t", "adapter.rated_current": 3, "wiring.sections": 3, "wiring.pixels_per_section": 20}
FULL = PLAIN | {
    "adapter.limit_style": "foldback", "adapter.peak_current": 4.5, "adapter.peak_time": 1e-3, "limiter": {},
    "bus.bulk": 470e-6, "switch": {"gate_resistance": "1 kohm"}, "controller.burst_current": 0.2,
    "controller.boot_peak_current": 0.3, "controller.feed_diode": True, "wiring.feeds": [0, 2],
    "wiring.rail_resistance": "6 mohm",
}  # fmt: skip
BUILDS = {
    "plain": PLAIN,
    "full": FULL,
    "hiccup, load switch": PLAIN | {"adapter.limit_style": "hiccup", "switch": {"kind": "load-switch"}},
    "own supply": PLAIN | {"controller.feed": "own", "wiring.sections": 1},
    "given close together": PLAIN
    | {"controller.brownout_rising": 2.35, "controller.brownout_falling": 2.3, "adapter.peak_current": 3.61,
       "adapter.peak_time": 1e-3, "pixel.listen_voltage": 1.85},
    "stated": PLAIN
    | {"tolerance.adapter.rated_current": {"relative": 0.1}, "tolerance.firmware.bit_time": {"relative": 0.1},
       "tolerance.pixel.power_on": {"low": 0.5, "high": 1.0}, "tolerance.pixel.forward_voltages": {"sigma": 0.05},
       "tolerance.firmware.first_frame_delay": {"low": "1 ms", "high": "9 ms"}},
    "counts": PLAIN | {"tolerance.wiring.pixels_per_section": {"low": 18, "high": 22}},
}  # fmt: skip


def points(draw, runs, seed=1):
    return np.random.default_rng(seed).random((runs, len(draw.dimensions)))


@pytest.mark.parametrize("values", BUILDS.values(), ids=BUILDS)
def test_packed_as_the_builds_are(values):
    build = new_build(values)
    draw = Draw(build, key_ranges(build))
    u = points(draw, 40)
    packed = draw.pack(u)
    parts = np.concatenate([each.parts for each in packed])
    for i, point in enumerate(u):
        one = pack(draw.at(point))
        for name in parts.dtype.names:
            assert np.asarray(one.parts[name]) == pytest.approx(parts[i][name], rel=1e-9), name
        lumps = packed[i if len(packed) > 1 else 0].lumps
        assert one.lumps == pytest.approx(lumps[i if len(lumps) > 1 else 0], rel=1e-9)


@pytest.mark.parametrize("values", BUILDS.values(), ids=BUILDS)
def test_corners_are_valid_builds_in_their_ranges(values):
    build = new_build(values)
    ranges = key_ranges(build)
    draw = Draw(build, ranges)
    u = np.round(points(draw, 60, seed=2))  # corners of the cube
    for point in u:
        drawn = draw.at(point)  # refused where an order is broken
        for order in ORDERS:
            below, above = drawn.get(order.below), drawn.get(order.above)
            assert below is None or above is None or below <= above


def test_ranges_of_given_and_assumed():
    found = {each.key: each for each in key_ranges(new_build(PLAIN | {"controller.reservoir": "470 uF"}))}
    assert (found["controller.reservoir"].low, found["controller.reservoir"].high) == pytest.approx((376e-6, 564e-6))
    assert found["adapter.output_capacitance"].low == 470e-6
    assert found["adapter.limit_current"].low == pytest.approx(1.05 * 3)
    assert "adapter.rated_current" not in found
    assert "bus.bulk_esr" not in found
    assert found["controller.dropout_voltage"].shape is Shape.BY_FACTOR


def test_what_follows_follows():
    build = new_build(PLAIN | {"tolerance.adapter.rated_current": {"low": 2, "high": 4}})
    draw = Draw(build, key_ranges(build, Which.STATED))
    columns = draw.columns(np.array([[0.0], [1.0]]))
    assert columns["adapter.limit_current"] == pytest.approx([2.4, 4.8])
    assert columns["adapter.output_resistance"] == pytest.approx([0.15 / 2, 0.15 / 4])


def test_a_group_moves_together():
    entry = {"relative": 0.2, "group": "one reel"}
    build = new_build(PLAIN | {"tolerance.bus.ceramic": entry, "tolerance.panel.ceramic": entry})
    draw = Draw(build, key_ranges(build, Which.STATED))
    assert draw.dimensions == ("one reel",)
    columns = draw.columns(np.array([[0.25]]))
    assert columns["bus.ceramic"][0] == columns["panel.ceramic"][0] == pytest.approx(0.9e-6)


def test_a_normal_distribution_is_cut_at_three_sigma():
    build = new_build(PLAIN | {"tolerance.controller.boot_time": {"sigma": "10 ms"}})
    draw = Draw(build, key_ranges(build, Which.STATED))
    values = draw.columns((np.arange(20_000)[:, None] + 0.5) / 20_000)["controller.boot_time"]
    assert (values.min(), values.max()) == pytest.approx((0.12, 0.18), abs=1e-4)
    # Of a normal distribution cut at three sigma: 0.9866 of its sigma (closed form).
    assert values.mean() == pytest.approx(0.15)
    assert values.std() == pytest.approx(0.9866 * 0.01, rel=1e-3)


def test_what_lies_between_is_sampled_evenly():
    """The falling level is drawn over what the rising one leaves, for each of its values."""
    build = new_build(
        PLAIN
        | {
            "tolerance.controller.brownout_rising": {"low": 2.4, "high": 3.0},
            "tolerance.controller.brownout_falling": {"low": 2.2, "high": 2.8},
        }
    )
    draw = Draw(build, key_ranges(build, Which.STATED))
    columns = draw.columns(np.random.default_rng(1).random((20_000, 2)))
    rising, falling = columns["controller.brownout_rising"], columns["controller.brownout_falling"]
    assert (falling < rising).all()
    near = abs(rising - 2.5) < 0.02
    assert falling[near].mean() == pytest.approx(2.35, abs=0.01)
    assert rising.mean() == pytest.approx(2.7, abs=0.01)


def test_all_problems_at_once():
    build = new_build(
        PLAIN
        | {
            "tolerance.bus.ceramic": {"relative": 1.0},
            "tolerance.controller.boot_time": {"sigma": "1 s"},
            "tolerance.controller.brownout_falling": {"low": 2.85, "high": 2.9},
        }
    )
    with pytest.raises(BuildError) as caught:
        key_ranges(build)
    text = str(caught.value)
    assert len(caught.value.problems) == 3
    for key in ("bus.ceramic", "controller.boot_time", "controller.brownout_falling"):
        assert f'tolerance."{key}"' in text


def test_the_saved_build_has_its_lumps():
    build = new_build(PLAIN | {"wiring.rail_resistance": "0.6 mohm", "wiring.pixels_per_section": 200})
    draw = Draw(build, key_ranges(build))
    for point in points(draw, 10, seed=3):
        again = parse_build(to_toml(draw.saved(point)))
        assert pack(again).lumps == pytest.approx(pack(draw.at(point)).lumps, rel=1e-9)


def test_what_follows_moves_out_of_the_way():
    """A folded-back current that was not given is no floor for the limit that it follows from."""
    build = new_build(PLAIN | {"tolerance.adapter.limit_current": {"low": 0.5, "high": 3.0}})
    draw = Draw(build, key_ranges(build, Which.STATED))
    assert draw.columns(np.array([[0.0]]))["adapter.limit_current"] == pytest.approx([0.5])
    assert draw.at(np.array([0.0])).adapter.foldback_current == pytest.approx(0.15)
