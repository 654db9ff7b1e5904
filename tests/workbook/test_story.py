"""The notebook to begin with: numbers are the library's, tasks can be checked, links lead somewhere."""

from pathlib import Path

import pytest
from widgets import start_here
from widgets.rail import PLACES
from widgets.story import STEPS, Judged, Story, judge
from widgets.story_page import ANSWERS, StoryPage

from inrushlib.build import load_build
from inrushlib.search import delay_window
from inrushlib.startup import simulate

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"


@pytest.fixture(scope="module")
def page():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("widgets.story.RUNS", 64)
        return StoryPage(threaded=False)


def test_numbers_are_those_of_the_library(page, builds):
    stuck = simulate(load_build(builds / "tide_board_never_starts.toml"))
    window = delay_window(load_build(builds / "tide_board_with_switch.toml"))
    answers = {view.step.title: view.answer for view in page.views}
    assert answers["It sticks"] == stuck.figures.final_bus_voltage
    assert answers["When to send the first frame"] == window.recommended
    # The made capture's recipe has 291 ms and 5.6 A, where 6 A are assumed.
    assert answers["A capture"] == pytest.approx(0.291, abs=2e-4)
    assert answers["The fit"] == pytest.approx(100 * (1 - 5.6 / 6.0), abs=0.2)


def test_every_step_says_something_and_its_answer_checks(page):
    for view in page.views:
        assert "being computed" not in view.told.value
        assert "<details>" in view.open.value
        unit = view.step.unit
        view.field.value = f"{view.answer:.6g} {unit}".strip()
        assert Judged.RIGHT.value in view.judged.value, view.step.title
        view.field.value = f"{3 * abs(view.answer) + 7:.6g} {unit}".strip()
        assert Judged.NOT_YET.value in view.judged.value, view.step.title


@pytest.mark.parametrize(
    ("text", "unit", "answer", "judged"),
    [
        ("2.46 V", "V", 2.4597, Judged.RIGHT),
        ("2460 mV", "V", 2.4597, Judged.RIGHT),
        ("423 mV", "V", -0.42343, Judged.RIGHT),
        ("2.7 V", "V", 2.4597, Judged.NOT_YET),
        ("4", "", 4.0, Judged.RIGHT),
        ("5", "", 4.0, Judged.NOT_YET),
        ("58 %", "%", 57.4, Judged.RIGHT),
        ("two volts", "V", 2.0, Judged.UNREADABLE),
        ("  ", "V", 2.0, Judged.EMPTY),
    ],
)
def test_answers_are_judged_by_their_value(text, unit, answer, judged):
    assert judge(text, unit, answer) is judged


def test_all_notebooks_are_named_and_there():
    notebooks = sorted(path.name for path in WORKBOOK.glob("*.ipynb"))
    assert sorted(place.notebook for place in PLACES) == notebooks
    # In the order of the rail, which begins with the page that lists them.
    assert [notebook for notebook, _, _ in ANSWERS] == [place.notebook for place in PLACES[1:]]
    assert {step.notebook for step in STEPS} == {notebook for notebook, _, _ in ANSWERS}


def test_a_reading_as_expected_narrows_the_odds(monkeypatch):
    monkeypatch.setattr("widgets.story.RUNS", 64)
    story = Story()
    measured = {each.key: each for each in story.measured.odds.ranges}
    for key in story.dealt.cards[0].keys:
        before = next(each for each in story.dealt.odds.ranges if each.key == key)
        assert measured[key].high - measured[key].low < before.high - before.low


def test_the_notebook_shows_the_page(monkeypatch):
    monkeypatch.setattr("widgets.story_page.Latest.submit", lambda *_: None)
    assert "wb-fit" in start_here()._dom_classes
