"""The page's state: what is accepted, what is kept apart, what is loaded and saved."""

import pytest
from widgets import working_copy
from widgets.state import BuildState
from widgets.time_state import TimeState
from widgets.titles import title_that_fits
from widgets.working_copy import WorkingCopy

from inrushlib.build import load_build
from inrushlib.startup import Verdict


@pytest.fixture
def state(builds):
    return BuildState(load_build(builds / "tide_board_never_starts.toml"), threaded=False)


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
        assert BuildState(load_build(builds / f"{name}.toml"), threaded=False).start.verdict is verdict


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


def test_a_change_taken_back_before_it_was_shown_is_shown_all_the_same(state, monkeypatch):
    # The field in which it was entered would keep it.
    told = []
    state.observe(told.append, "shown")
    monkeypatch.setattr(state, "_follow_soon", lambda: None)  # as in the moment before fields follow
    state.change({"adapter.rated_current": "7 A"})
    state.undo()
    assert not told
    state._follow_build()
    assert [each["new"] for each in told] == [state.build]


def test_undo_and_redo(state):
    first = state.build
    state.change({"adapter.rated_current": "7 A"})
    state.change({"lead.length": "2 m"})
    state.undo()
    assert (state.build.adapter.rated_current, state.build.lead.length) == (7.0, first.lead.length)
    state.undo()
    assert state.build == first
    state.undo()  # nothing is left to take back
    assert state.build == first
    state.redo()
    assert state.build.adapter.rated_current == 7.0
    assert state.start.build == state.build
    state.change({"lead.length": "3 m"})  # another way from here: what was taken back is gone
    state.redo()
    assert state.build.lead.length == 3.0


def test_a_slider_on_its_way_is_one_step(state):
    first = state.build
    for length in (1.1, 1.2, 1.3):
        state.change({"lead.length": length})
    state.undo()
    assert state.build == first


def test_a_part_goes_back_to_typical(state):
    state.change({"adapter.soft_start": "30 ms", "lead.length": "3 m"})
    assert state.reset(["adapter.rated_current", "adapter.soft_start"])
    assert state.build.adapter.soft_start == 8e-3
    assert state.build.adapter.rated_current == 5.0  # a build cannot do without
    assert state.build.lead.length == 3.0


def test_what_differs_from_the_file_is_known(state, tmp_path):
    assert state.changed  # it has no file yet
    state.save(tmp_path / "mine.toml")
    assert not state.changed
    state.change({"lead.length": "3 m"})
    assert state.changed
    assert state.differences["lead.length"] == (1.5, 3.0)
    state.undo()
    assert not state.changed


class TestWorkingCopy:
    @pytest.fixture
    def other(self, builds):
        return load_build(builds / "tide_board_boots.toml")

    def make(self, build, folder):
        return BuildState(build, threaded=False, copy=WorkingCopy(folder))

    def test_a_page_takes_up_what_another_left(self, other, tmp_path, builds):
        first = self.make(other, tmp_path)
        first.change({"lead.length": "3 m"})
        first.save(tmp_path / "mine.toml")
        first.change({"lead.gauge": "16 AWG"})
        again = self.make(load_build(builds / "tide_board_never_starts.toml"), tmp_path)
        assert again.build == first.build
        assert again.path == tmp_path / "mine.toml"
        assert "lead.gauge" in again.differences

    def test_the_newer_change_wins_and_says_so(self, other, tmp_path):
        one, two = self.make(other, tmp_path), self.make(other, tmp_path)
        one.change({"lead.length": "3 m"})
        assert two.follow()
        assert two.build.lead.length == 3.0
        assert two.start.build == two.build
        assert "another page" in two.message
        assert not two.follow()  # nothing new since
        two.undo()
        assert two.build == other

    def test_its_own_change_is_no_news(self, other, tmp_path):
        one = self.make(other, tmp_path)
        one.change({"lead.length": "3 m"})
        assert not one.follow()

    def test_a_change_that_still_waits_to_be_kept_is_kept_when_the_page_is_left(self, other, tmp_path, monkeypatch):
        ends = []
        monkeypatch.setattr("widgets.state.atexit.register", ends.append)
        one = BuildState(other, threaded=True, copy=WorkingCopy(tmp_path))
        assert one.worker.wait()
        monkeypatch.setattr(one.worker, "submit", lambda kind, job: None)  # it never comes to its turn
        one.change({"lead.length": "3 m"})
        assert not (tmp_path / working_copy.NAME).exists()
        for end in ends:
            end()
        two = self.make(other, tmp_path)
        assert two.build.lead.length == 3.0
        two.change({"lead.length": "4 m"})
        for end in ends:  # has nothing new to say
            end()
        assert self.make(other, tmp_path).build.lead.length == 4.0

    @pytest.mark.parametrize("damage", ["", "{", '{"build": 3, "file": null}', '{"build": "x = ", "file": null}'])
    def test_a_damaged_one_is_passed_over(self, other, tmp_path, damage):
        (tmp_path / working_copy.NAME).write_text(damage)
        assert self.make(other, tmp_path).build == other

    def test_where_nothing_can_be_written_the_page_goes_on_and_says_so(self, other, tmp_path):
        state = self.make(other, tmp_path / "none")
        assert state.change({"lead.length": "3 m"})
        assert state.build.lead.length == 3.0
        assert "only as long as this page" in state.problem


@pytest.mark.parametrize(
    ("title", "rated", "fits"),
    [
        ("Harbour board, 5 A", 1.0, "Harbour board, 1 A"),
        ("Harbour board, 5 A", 5.0, None),
        ("Harbour board", 1.0, None),
        ("from 3 A to 5 A", 1.0, None),
        ("2.5A test", 0.75, "0.75A test"),
    ],
)
def test_a_title_that_contradicts_the_label_is_offered_to_be_changed(state, title, rated, fits):
    state.change({"title": title, "adapter.rated_current": rated})
    assert title_that_fits(state.build) == fits


def test_zoom_stays_within_the_run_and_around_the_cursor(state):
    time = TimeState(state)
    assert time.shown_span == (0.0, 0.8)
    time.cursor = 0.2
    time.zoom_by(0.5)
    assert time.shown_span == pytest.approx((0.0, 0.4))
    time.zoom_by(0.5)
    assert time.shown_span == pytest.approx((0.1, 0.3))
    time.zoom(-1.0, 2.0)
    assert time.span is None
    time.zoom(0.7, 0.8)
    state.change({"run.duration": "0.5 s"})
    low, high = time.shown_span
    assert 0.0 <= low < high <= 0.5
