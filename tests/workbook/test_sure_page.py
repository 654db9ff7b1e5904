"""The sixth notebook's page: what turns the verdict, the odds, the adapter by odds."""

import pytest
from widgets import how_sure
from widgets.sure_page import SurePage

from inrushlib.answers.html import html_of
from inrushlib.answers.margins import closest_line, shown
from inrushlib.build import load_build
from inrushlib.margins import nearest_edges
from inrushlib.odds import spread
from inrushlib.parts import key_words
from inrushlib.startup import simulate
from inrushlib.text import for_html


@pytest.fixture
def page(builds, work):
    return SurePage(builds / "tide_board_boots.toml", threaded=False)


def test_what_turns_it_is_what_the_library_finds(page, builds):
    build = load_build(builds / "tide_board_boots.toml")
    told, start = page.questions["What turns it"].output.value, simulate(build)
    assert html_of(closest_line(start, shown(start)[0])) in told
    key = nearest_edges(build)[0].key
    assert for_html(key_words(key)) in told
    assert key not in told  # a page has words, a file keys
    assert told.count("<img") == 1


def test_odds_are_those_of_the_same_runs(page, builds, monkeypatch):
    monkeypatch.setattr("widgets.sure_page.RUNS", 64)
    page.asked.value = "Odds"
    page.questions["Odds"].run.click()
    told = page.questions["Odds"].output.value
    found = spread(load_build(builds / "tide_board_boots.toml"), runs=64, full=True)
    assert f"From {found.runs} starts of the model" in told
    assert "easure" in told


def test_curves_over_the_ranges(page, monkeypatch):
    monkeypatch.setattr("widgets.sure_page.RUNS_OF_CURVES", 64)
    page.asked.value = "Curves"
    page.questions["Curves"].run.click()
    told = page.questions["Curves"].output.value
    assert told.count("<img") == 3
    assert "nine in ten are between" in told
    assert "From 64 starts of the model" in told


def test_a_rating_by_odds_can_be_taken_over(page):
    page.asked.value = "Adapter by odds"
    view = page.questions["Adapter by odds"]
    view.run.click()
    _, decision = view.task.result
    assert "of the runs" in view.output.value
    assert view.take.disabled == (decision.chosen is None)
    if decision.chosen is not None:
        view.take.click()
        assert page.state.build.adapter.rated_current == decision.chosen.value


def test_the_notebook_shows_the_page(work):
    assert "wb-fit" in how_sure()._dom_classes
