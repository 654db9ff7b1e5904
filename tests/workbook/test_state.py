"""The page's state: what is accepted, what is kept apart, what is loaded and saved."""

import pytest
from widgets.state import BootState

from inrushlib.build import load_build
from inrushlib.startup import Verdict


@pytest.fixture
def state(builds):
    return BootState(load_build(builds / "tide_board_never_starts.toml"), threaded=False)


def test_demo_builds_end_as_they_say(builds):
    ends = {
        "tide_board_never_starts": Verdict.STUCK,
        "tide_board_boots": Verdict.BOOTS,
        "tide_board_with_switch": Verdict.BOOTS,
        "harbour_lamp": Verdict.BOOTS,
        "greenhouse_ring": Verdict.BOOTS,
        "tram_stop": Verdict.STUCK,
        "stairway_strip": Verdict.BOOTS,
        "lighthouse_column": Verdict.BOOTS,
        "market_clock": Verdict.BOOTS,
        "ferry_board": Verdict.BOOTS,
        "festival_wall": Verdict.STUCK,
    }
    assert {path.stem for path in builds.glob("*.toml")} == set(ends)
    for name, verdict in ends.items():
        assert BootState(load_build(builds / f"{name}.toml"), threaded=False).start.verdict is verdict


def test_the_gallery_spans_sizes_and_says_that_it_is_invented(builds):
    pixels = []
    for path in builds.glob("*.toml"):
        assert path.read_text(encoding="utf-8").startswith("# Invented for this workbook")
        pixels.append(sum(load_build(path).wiring.pixels_per_section))
    assert (min(pixels), max(pixels)) == (30, 10_000)


def test_a_change_is_run(state):
    assert state.start.verdict is Verdict.STUCK
    assert state.change({"adapter.rated_current": "15 A"})
    assert state.start.build.adapter.limit_current == 18.0
    assert state.start.verdict is Verdict.BOOTS


def test_a_refused_value_leaves_the_build_and_says_why(state):
    before = state.build
    assert not state.change({"lead.length": "3 V"})
    assert state.build == before
    assert state.problem.startswith("lead.length")
    assert '"3 V"' in state.problem
    assert state.refused == {"lead.length": "3 V"}
    assert state.change({"lead.length": "3 m"})
    assert (state.problem, state.refused, state.build.lead.length) == ("", {}, 3.0)


def test_two_values_that_only_fit_each_other_can_be_entered_one_after_the_other(state):
    assert not state.change({"controller.brownout_rising": "2 V"})  # not above brownout_falling, 2.3 V
    assert state.change({"controller.brownout_falling": "1.9 V"})
    assert (state.build.controller.brownout_rising, state.build.controller.brownout_falling) == (2.0, 1.9)
    assert state.problem == ""


def test_a_refused_value_does_not_stand_in_the_way_of_another_one(state):
    state.change({"lead.length": "long"})
    assert state.change({"adapter.rated_current": "7 A"})
    assert state.build.adapter.rated_current == 7.0
    assert "lead.length" in state.problem
    assert state.refused == {"lead.length": "long"}


def test_a_wrong_file_leaves_everything_and_shows_its_problems(state, tmp_path):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text('title = "x"\n[adapter]\nrated_current = "2 V"\ncolour = 1\n')
    before = state.build, state.start
    assert not state.load(wrong)
    assert (state.build, state.start) == before
    assert "adapter.rated_current" in state.problem
    assert "adapter.colour" in state.problem
    assert not state.load(tmp_path / "none.toml")
    assert "none.toml" in state.problem


def test_save_and_load_keep_values_and_comments(state, tmp_path):
    state.change({"adapter.rated_current": "7 A", "bus.bulk_esr": "47 mohm"})
    assert state.save(tmp_path / "mine.toml")
    text = (tmp_path / "mine.toml").read_text()
    assert 'rated_current = "7 A"        # the label' in text
    assert 'bulk_esr = "47 mohm"' in text
    assert load_build(tmp_path / "mine.toml") == state.build
    state.change({"adapter.rated_current": "8 A"})
    assert state.load(tmp_path / "mine.toml")
    assert state.build.adapter.rated_current == 7.0


def test_a_save_that_fails_says_why(state, tmp_path):
    assert not state.save(tmp_path / "no folder" / "mine.toml")
    assert "mine.toml" in state.problem
    state.change({"lead.length": "long"})
    assert not state.save(tmp_path / "mine.toml")
    assert "not saved" in state.problem
    assert not (tmp_path / "mine.toml").exists()


def test_zoom_stays_within_the_run_and_around_the_cursor(state):
    assert state.shown_span == (0.0, 0.8)
    state.cursor = 0.2
    state.zoom_by(0.5)
    assert state.shown_span == pytest.approx((0.0, 0.4))
    state.zoom_by(0.5)
    assert state.shown_span == pytest.approx((0.1, 0.3))
    state.zoom(-1.0, 2.0)
    assert state.span is None
    state.zoom(0.7, 0.8)
    state.change({"run.duration": "0.5 s"})
    low, high = state.shown_span
    assert 0.0 <= low < high <= 0.5
