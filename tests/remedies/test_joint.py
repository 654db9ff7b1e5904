"""Remedies over all levers at once: the case that one axis at a time does not find."""

import json
import math

import pytest

from inrushlib.answers.remedies import recommendation_answer
from inrushlib.answers.terminal import render
from inrushlib.build import load_build, new_build
from inrushlib.cli import main
from inrushlib.errors import Cancelled
from inrushlib.odds import spread
from inrushlib.remedies import Effort, NoRemedy, compare_remedies, recommend, recommend_remedies
from inrushlib.remedies.designs import Space, first_rungs, neighbours, pieces_of
from inrushlib.remedies.joint import search_jointly
from inrushlib.remedies.measures import measures_of
from inrushlib.remedies.picture import carries_picture, fitting_picture, picture_current
from inrushlib.search.preferred import E6, E12, E24, ladder
from inrushlib.startup import simulate

SIX = {"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6, "wiring.pixels_per_section": 64}
PARTS = {
    "switch.gate_resistance", "switch.gate_drain_capacitance", "bus.bulk", "panel.bulk", "controller.reservoir",
    "limiter.cold_resistance", "switch.slew_rate",
}  # fmt: skip


@pytest.fixture(scope="module")
def six():
    return new_build(SIX)


@pytest.fixture(scope="module")
def quick(six):
    return recommend_remedies(six, runs=0)


@pytest.fixture(scope="module")
def tile():
    """One tile that boots as it is, but not often enough: firmware, parts, rewiring and buying all do something."""
    return new_build(
        {"title": "t", "adapter.rated_current": 1.5, "wiring.sections": 1, "wiring.pixels_per_section": 64}
    )


@pytest.fixture(scope="module")
def found(tile):
    return recommend_remedies(tile, runs=64)


def test_one_axis_at_a_time_finds_no_switch(six):
    alone = {remedy.name: remedy for remedy in compare_remedies(six)}
    assert not alone["high-side switch"].helps
    assert not alone["own supply for the controller"].helps


def test_the_case_has_two_remedies_with_its_adapter_and_one_with_a_switch(six):
    found = recommend_remedies(six, runs=64)
    kept = [each for each in found.good if each.build.adapter == six.adapter]
    assert len(kept) >= 2
    switched = [each for each in kept if each.build.switch is not None]
    assert all(each.build.pixel == six.pixel for each in switched)
    surest = max(switched, key=lambda each: each.odds.value)
    # Other points than those that found and judged it.
    assert spread(surest.build, runs=512, seed=77).boots.value >= 0.95


def test_parts_are_standard_values(found, quick):
    seen = set()
    for remedy in (*found.ranked, *quick.ranked):
        for needed in remedy.needed:
            if needed.key in PARTS:
                seen.add(needed.key)
                one = needed.value / pieces_of(needed.value) if needed.key == "bus.bulk" else needed.value
                mantissa = one / 10 ** math.floor(math.log10(one) + 1e-9)
                assert any(mantissa == pytest.approx(step) for step in E12), needed
    assert {"bus.bulk", "switch.gate_resistance"} <= seen


def test_what_is_needed_stands_in_the_build_and_is_all_that_changes(tile, found, quick):
    for remedy in (*found.ranked, *quick.ranked):
        for needed in remedy.needed:
            if needed.key:
                assert remedy.build.get(needed.key) == pytest.approx(needed.value)
        assert remedy.helps
        assert simulate(remedy.build).headline.boots
    best = next(each for each in found.good if each.build.switch is not None)
    changed = set(tile.differences(best.build)) & best.build.given  # what follows from these by default aside
    named = {needed.key for needed in best.needed} | {"bus.bulk_esr", "run.duration"}
    assert {key for key in changed if not key.startswith("switch")} <= named


def test_recommended_pictures_fit_the_adapter(six, found, quick):
    assert not carries_picture(six)
    for remedy in (*found.good, *quick.good):
        assert carries_picture(remedy.build)
    dimmed = fitting_picture(six)
    assert picture_current(six, dimmed) <= 0.8
    brighter = tuple(duty * 1.05 for duty in dimmed)
    assert picture_current(six, brighter) > 0.8


def test_order_is_often_enough_then_effort_then_odds(found):
    good = [each.effort for each in found.good]
    assert good == sorted(good)
    assert {Effort.REWIRING, Effort.BUYING} <= set(good)
    rest = [each.odds.value for each in found.ranked if each not in found.good]
    assert rest == sorted(rest, reverse=True)
    assert len(rest) > 1
    assert found.ranked[: len(found.good)] == found.good
    assert Effort.FIRMWARE < Effort.PART < Effort.REWIRING < Effort.BUYING


def test_without_odds_it_still_finds_a_switch(quick):
    names = {each.name for each in quick.ranked}
    assert {"high-side switch", "pixels that wake dark"} <= names
    assert all(each.odds is None for each in quick.ranked)


def test_cancelled_and_progress(six):
    told = []
    with pytest.raises(Cancelled):
        search_jointly(six, progress=told.append, cancelled=lambda: len(told) > 3)
    assert 0 < told[0] <= told[-1] < 1


def test_saved_files_are_confirmed_by_check(tmp_path, capsys):
    build = tmp_path / "six.toml"
    build.write_text('title = "six"\n[adapter]\nrated_current = 1\n[wiring]\nsections = 6\npixels_per_section = 64\n')
    folder = tmp_path / "remedies"
    assert main(["remedies", str(build), "--no-odds", "--json", "--save-all", str(folder)]) == 0
    listed = json.loads(capsys.readouterr().out)
    files = [each["file"] for each in listed if each["file"] is not None]
    assert len(files) == len(set(files)) == len(list(folder.iterdir())) >= 3
    for each in listed:
        assert {"name", "change", "applicable", "needed", "verdict", "odds", "slack", "effort"} <= set(each)
        if each["place"] is not None:
            assert each["reason"].startswith("take this: ")
            assert each["slack"]["slack"] >= 0
    for path in files:
        assert main(["check", path, "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["verdict"] == "boots"
        assert load_build(path).title.startswith("six: ")
    assert len({load_build(path).title for path in files}) == len(files)
    assert build.read_text().startswith('title = "six"\n')


def test_folder_of_the_build_itself_is_refused(tmp_path, capsys):
    build = tmp_path / "six.toml"
    build.write_text('title = "six"\n[adapter]\nrated_current = 1\n[wiring]\nsections = 1\npixels_per_section = 8\n')
    assert main(["remedies", str(build), "--save-all", str(tmp_path)]) == 2
    assert "another folder" in capsys.readouterr().err
    assert main(["remedies", str(build), "--save-all", str(build / "x")]) == 2


def test_measures_are_those_that_a_build_can_have(six):
    names = {measure.name.value for measure in measures_of(six)}
    assert {"high-side switch", "load switch", "own supply for the controller", "more data lines"} <= names
    switched = six.with_values({"switch": {}, "controller.feed": "own", "wiring.lanes": 6})
    names = {measure.name.value for measure in measures_of(switched)}
    assert "slower gate" in names
    assert not names & {"high-side switch", "load switch", "own supply for the controller", "more data lines",
                        "reservoir behind a diode"}  # fmt: skip


def test_every_design_of_every_measure_can_be_built(six):
    for measure in measures_of(six):
        space = Space(six, (measure,))
        for rungs in first_rungs(space.levers, 16, 1):
            build = space.made(rungs)
            assert build is not None, (measure.name, rungs)
            if build.switch is not None and build.switch.kind == "p-channel":
                assert build.switch.gate_resistance <= 0.25 * build.switch.pullup_resistance * (1 + 1e-9)
            assert build.firmware.first_frame_delay >= build.firmware.gate_delay


def test_neighbours_differ_on_one_ladder(six):
    levers = Space(six, measures_of(six)[:1]).levers
    around = neighbours(levers, (3, 1, 1))
    assert len(around) == 6
    assert all(sum(a != b for a, b in zip(each, (3, 1, 1), strict=True)) == 1 for each in around)


def test_ladders_and_pieces():
    assert ladder(E6, 1.0, 10.0) == (*E6[:-1], 10.0)
    assert ladder(E12, 90.0, 100e3)[:3] == (100.0, 120.0, 150.0)
    assert [pieces_of(c) for c in (470e-6, 10e-3, 15e-3, 0.1)] == [1, 1, 2, 10]


@pytest.mark.parametrize(("series", "count"), [(E6, 6), (E12, 12), (E24, 24)])
def test_series_are_those_of_the_standard(series, count):
    """IEC 60063: n values a decade, each 10^(i/n) to two digits; some of the older ones are off by up to 5 %."""
    assert len(series) == count + 1
    for i, value in enumerate(series):
        assert value == pytest.approx(10 ** (i / count), rel=0.05)
    assert set(E6) < set(E12) < set(E24)


def test_what_boots_often_enough_is_left_as_it_is(monkeypatch):
    monkeypatch.setattr(recommend, "search_jointly", lambda *_, **__: pytest.fail("searched in vain"))
    build = new_build({"title": "t", "adapter.rated_current": 10, "wiring.sections": 1, "wiring.pixels_per_section": 8})
    left = recommend_remedies(build)
    assert left.ranked == ()
    assert not isinstance(left.remedies[0], NoRemedy)
    assert left.remedies[0].odds.value >= 0.95


def test_what_boots_but_does_not_carry_its_picture_is_not_left_as_it_is():
    """Steady and start together: 2.5 A start this tile, but its picture at 90 % takes more than 80 % of that."""
    bright = {"firmware.content": [0.9, 0.9, 0.9], "run.duration": 0.5}
    build = new_build(
        {"title": "t", "adapter.rated_current": 2.5, "wiring.sections": 1, "wiring.pixels_per_section": 64} | bright
    )
    found = recommend_remedies(build, runs=0)
    assert found.remedies[0].helps
    assert not carries_picture(build)
    assert found.ranked
    assert all(carries_picture(each.build) and simulate(each.build).headline.boots for each in found.ranked)
    assert found.ranked[0].effort is Effort.FIRMWARE
    assert "firmware.content" in [needed.key for needed in found.ranked[0].needed]
    page = render(recommendation_answer("t", found))
    assert "its running picture is more than the adapter carries" in page


def test_an_adapter_goes_before_other_pixels(quick, six):
    """Both are bought; an adapter is one thing to plug in, other pixels are every section anew."""
    names = [each.name for each in quick.ranked]
    assert names.index("bigger adapter") < names.index("pixels that wake dark")
    dark = next(each for each in quick.ranked if each.name == "pixels that wake dark")
    assert dark.pieces == six.wiring.sections


def test_bursts_of_the_radio_are_carried_beside_what_is_bought(six):
    """A larger adapter, or dark pixels, do not carry them at the controller's rail: a capacitor there does."""
    rail = "controller.rail_capacitance"
    quiet = {each.name: each for each in measures_of(six)}
    radio = {each.name: each for each in measures_of(six.with_values({"controller.burst_current": 0.3}))}
    for name in ("bigger adapter", "pixels that wake dark"):
        assert rail not in {lever.key for lever in quiet[name].levers}
        (lever,) = (lever for lever in radio[name].levers if lever.key == rail)
        assert lever.values == (six.controller.rail_capacitance, 1e-3)


def test_what_is_left_as_it_is_stays_assumed_and_is_no_part(six):
    """Given anew it would move by its scatter alone, as if somebody had looked at it."""
    build = six.with_values({"controller.burst_current": 0.3})
    measure = next(each for each in measures_of(build) if each.name == "pixels that wake dark")
    space = Space(build, (measure,))
    rungs = (0,) * len(space.levers)
    made = space.made(rungs)
    assert "controller.rail_capacitance" not in made.given
    assert "controller.rail_capacitance" not in {each.key for each in space.needed(made, rungs)}
    fitted = space.made((1, *rungs[1:]))
    assert fitted.controller.rail_capacitance == 1e-3


def test_a_larger_adapter_goes_with_feeds_alone(six):
    """What it gives has to arrive; with all else it is the dearer way already."""
    larger = next(each for each in measures_of(six) if each.name == "bigger adapter")
    assert [each.name for each in measures_of(six) if larger.goes_with(each)] == ["a feed to each section"]
