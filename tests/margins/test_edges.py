"""The value of each key nearest to the present one at which the verdict changes."""

import json

import pytest

from inrushlib.build import new_build
from inrushlib.cli import main
from inrushlib.errors import Cancelled
from inrushlib.margins import movable_keys, nearest_edges
from inrushlib.margins.edges import _Runs
from inrushlib.margins.moves import Move
from inrushlib.startup import Verdict, pack, screen, simulate
from inrushlib.startup.effort import SCREEN_TOLERANCE, TOLERANCE

PLAIN = {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
TILES = new_build(PLAIN)
SWITCH = new_build(PLAIN | {"switch": {}, "controller.feed_diode": True, "controller.reservoir": 470e-6})


@pytest.fixture(scope="module")
def edges():
    return {edge.key: edge for edge in nearest_edges(TILES)}


@pytest.mark.parametrize(
    ("key", "direction", "within"),
    [
        ("adapter.limit_current", -1, 1 - 1.11 / 1.2),
        ("controller.dropout_voltage", 1, 1.1 / 0.08 - 1),
        ("pixel.forward_voltages", -1, 0.2 / 1.9),
        ("wiring.hop_resistance", -1, 1 - 10 / 30),
    ],
)
def test_each_key_that_alone_flips_the_ten_millivolts_is_named(edges, key, direction, within):
    edge = edges[key]
    assert edge.verdict is Verdict.STUCK
    assert edge.above is (direction > 0)
    assert 0 < direction * edge.relative < within


@pytest.mark.parametrize("build", [TILES, SWITCH, TILES.with_values({"adapter.rated_current": 2})], ids=lambda b: "")
def test_verdict_changes_there_and_not_just_before(build):
    found = nearest_edges(build)
    own = screen(build).verdict
    assert len(found) > 2
    for edge in found:
        move = Move(build, pack(build), edge.key, {})
        there = build.with_values({edge.key: move.values_at(edge.value)})
        before = build.with_values({edge.key: move.values_at(edge.own + 0.9 * (edge.value - edge.own))})
        assert screen(there).verdict is edge.verdict is not own
        assert screen(before).verdict is own, edge


def counted(monkeypatch, build):
    """How many starts are made at the ends of the ranges, and between."""
    ends, between = [], []
    at_ends, on_the_way = _Runs.keep_all_the_way, _Runs.keep
    monkeypatch.setattr(_Runs, "keep_all_the_way", lambda runs, some: ends.append(len(some)) or at_ends(runs, some))
    monkeypatch.setattr(_Runs, "keep", lambda runs, some: between.append(len(some)) or on_the_way(runs, some))
    nearest_edges(build)
    return sum(ends), sum(between)


def test_where_no_rule_comes_near_its_edge_the_way_is_not_walked(monkeypatch):
    ends, between = counted(monkeypatch, TILES.with_values({"adapter.rated_current": 20}))
    assert ends > 80
    assert between < ends / 2  # walked everywhere it is 1.7 times as many


def test_where_a_rule_took_effect_every_way_is_walked(monkeypatch):
    """How far it is from not doing so the run itself does not tell."""
    trips = TILES.with_values({"adapter.limit_style": "hiccup", "adapter.rated_current": 1, "run.duration": 0.5})
    ends, between = counted(monkeypatch, trips)
    assert between > ends


@pytest.mark.parametrize("build", [TILES, SWITCH, TILES.with_values({"adapter.rated_current": 2})], ids=lambda b: "")
def test_walking_every_way_finds_no_other_edges(build, monkeypatch):
    found = nearest_edges(build)
    at_ends = _Runs.keep_all_the_way

    def none_is_settled(runs, some):
        kept, settled, answers = at_ends(runs, some)
        return kept, settled & False, answers

    monkeypatch.setattr(_Runs, "keep_all_the_way", none_is_settled)
    assert nearest_edges(build) == found


def test_up_to_a_bound_and_not_beyond():
    """By equal factors the last step on the way would come out above the bound by rounding."""
    own = next(value for value in range(70, 200) if value * (200 / value) > 200)
    nearest_edges(TILES.with_values({"adapter.rated_current": own}), keys=["adapter.rated_current"])


def test_nearest_first_and_values_of_zero_last(edges):
    relative = [abs(edge.relative) for edge in edges.values() if edge.relative is not None]
    assert relative == sorted(relative)
    of_switch = nearest_edges(SWITCH)
    zero = [edge.own == 0.0 for edge in of_switch]
    assert zero == sorted(zero)
    assert all((edge.relative is None) == (edge.own == 0.0) for edge in of_switch)


def test_within_its_range_only():
    keys = ["adapter.limit_current"]
    assert nearest_edges(TILES, keys=keys, ranges={"adapter.limit_current": (3.59, 3.7)}) == ()
    (edge,) = nearest_edges(TILES, keys=keys, ranges={"adapter.limit_current": (3.5, 3.7)})
    assert edge.value == pytest.approx(3.558, abs=2e-3)


@pytest.mark.parametrize(
    ("entry", "width"),
    [({"relative": 0.05}, 0.05 * 3.6), ({"sigma": 0.02}, 0.02), ({"low": 3.5, "high": 4.0}, 0.1)],
)
def test_in_units_of_the_tolerance_on_that_side(entry, width):
    build = TILES.with_values({"tolerance.adapter.limit_current": entry})
    (edge,) = nearest_edges(build, keys=["adapter.limit_current"])
    assert edge.in_tolerances == pytest.approx((3.6 - edge.value) / width)
    assert edge.stated


def test_in_half_ranges_where_no_tolerance_is_stated():
    """The typical range of an assumed limit begins at 1.05 of the label, that of a given one 8 % below it."""
    for build, end in ((TILES, 3.15), (TILES.with_values({"adapter.limit_current": 3.6}), 3.312)):
        (edge,) = nearest_edges(build, keys=["adapter.limit_current"])
        assert edge.in_tolerances == pytest.approx((3.6 - edge.value) / (3.6 - end))
        assert not edge.stated
    (edge,) = nearest_edges(TILES, keys=["adapter.rated_current"])
    assert edge.in_tolerances is None  # chosen: it has no range


def test_not_beyond_what_a_part_can_have():
    """A given listen voltage scatters a little; what lies far beyond that is no edge of this build."""
    given = TILES.with_values({"pixel.listen_voltage": 2.2})
    assert [edge.key for edge in nearest_edges(TILES, keys=["pixel.listen_voltage"])]
    assert nearest_edges(given, keys=["pixel.listen_voltage"]) == ()


def test_a_class_moves_within_its_own_range():
    build = TILES.with_values({"adapter.class": "plug-in 3 A"})
    (edge,) = nearest_edges(build, keys=["adapter.limit_current"])
    assert edge.in_tolerances == pytest.approx((3.6 - edge.value) / (3.6 - 3.3))


def turning_limit(tolerance):
    """Limit current at which six tiles turn from sticking to booting, by runs of a tolerance."""
    sticks, boots = 3.5, 3.6
    for _ in range(40):
        middle = 0.5 * (sticks + boots)
        verdict = screen(TILES.with_values({"adapter.limit_current": middle}), tolerance=tolerance).verdict
        sticks, boots = (sticks, middle) if verdict is Verdict.BOOTS else (middle, boots)
    return 0.5 * (sticks + boots)


def test_coarse_runs_on_the_other_side_of_an_edge_are_made_finer():
    """Between where coarse and where fine runs turn they say otherwise: the edges go by the fine ones."""
    coarse, fine = turning_limit(SCREEN_TOLERANCE), turning_limit(TOLERANCE)
    between = TILES.with_values({"adapter.limit_current": 0.5 * (coarse + fine)})
    own = simulate(between).verdict
    assert screen(between, tolerance=SCREEN_TOLERANCE).verdict is not own
    (edge,) = nearest_edges(between, verdict=own, keys=["adapter.limit_current"])
    assert edge.verdict is not own
    assert simulate(between.with_values({"adapter.limit_current": edge.value})).verdict is edge.verdict
    assert edge.above == (own is Verdict.STUCK)
    (misled,) = nearest_edges(between, keys=["adapter.limit_current"])
    assert misled.verdict is own  # what it would say of itself otherwise


def test_a_build_may_have_every_value_that_is_tried():
    """Where levels have an order, the range ends before the other level."""
    move = Move(TILES, pack(TILES), "controller.brownout_falling", {})
    assert 2.3 < move.high < 2.8
    move = Move(TILES, pack(TILES), "pixel.listen_voltage", {})
    assert 1.8 < move.low < 2.2


@pytest.mark.parametrize("key", movable_keys(SWITCH))
def test_moved_in_the_record_is_moved_in_the_build(key):
    move = Move(SWITCH, pack(SWITCH), key, {})
    for value in (move.low, move.high):
        built = pack(SWITCH.with_values({key: move.values_at(value)}))
        moved = move.at(value)
        assert moved.parts.tobytes() == built.parts.tobytes()
        assert moved.lumps.tobytes() == built.lumps.tobytes()


def test_stops_when_asked():
    with pytest.raises(Cancelled):
        nearest_edges(TILES, cancelled=lambda: True)


@pytest.fixture
def tiles_file(tmp_path):
    path = tmp_path / "tiles.toml"
    path.write_text(
        'title = "six tiles"\n[adapter]\nrated_current = "3 A"\n[wiring]\nsections = 6\npixels_per_section = 64\n'
    )
    return str(path)


def test_check_prints_what_came_closest_and_five_edges(tiles_file, capsys):
    assert main(["check", tiles_file]) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines()]
    assert "reset released with 9.9 mV to spare at 7.22 ms (bus at 2.89 V, 2.88 V needed)" in lines
    assert any(line.startswith("sticks if adapter.limit_current is below 3.56 A (-1.1 %, 9 %") for line in lines)
    assert sum(line.startswith("sticks if ") for line in lines) == 5


def test_check_says_by_how_much_it_missed(tiles_file, capsys):
    with open(tiles_file, "a", encoding="utf-8") as file:
        file.write("hop_resistance = 0.01\n")
    assert main(["check", tiles_file]) == 1
    page = capsys.readouterr().out
    assert "reset not released: the rail is " in page
    assert "boots if adapter.limit_current is above " in page


def test_json_has_slack_and_edges(tiles_file, capsys):
    assert main(["check", tiles_file, "--json"]) == 0
    flat = json.loads(capsys.readouterr().out)
    assert [set(each) for each in flat["slack"]] == [{"rule", "slack", "unit", "at", "where"}] * len(flat["slack"])
    assert flat["slack"][0]["slack"] == pytest.approx(10e-3, abs=1e-3)
    named = {each["key"]: each for each in flat["edges"]}
    assert {"adapter.limit_current", "controller.dropout_voltage", "pixel.forward_voltages"} <= set(named)
    assert set(named["adapter.limit_current"]) == {"key", "value", "relative", "in_tolerances", "verdict"}
    assert named["adapter.limit_current"]["verdict"] == "stuck"
    assert 0 < named["adapter.limit_current"]["in_tolerances"] < 1
