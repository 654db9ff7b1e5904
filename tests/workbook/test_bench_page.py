"""The seventh notebook's page: cards in their order, readings that move the odds, a log beside the build's file."""

import shutil

import pytest
from widgets import at_the_bench
from widgets.bench_page import BenchPage

from inrushlib.errors import Cancelled
from inrushlib.guide import CardName, deal
from inrushlib.measurements import log_beside, read_log
from inrushlib.parts import Origin

DROPOUT = CardName.REGULATOR_DROPOUT


@pytest.fixture
def small(monkeypatch):
    monkeypatch.setattr("widgets.bench_state.RUNS", 64)


@pytest.fixture
def page(builds, work, small):
    shutil.copy(builds / "tide_board_boots.toml", work / "board.toml")
    return BenchPage(work / "board.toml", threaded=False)


def enter(page, name, text):
    view = page.views[name]
    view.field.value = text
    view.button.click()
    return view


def test_cards_stand_in_the_order_of_the_guide(page):
    dealt = deal(page.state.build, runs=64)
    order = [page.views[card.name].box for card in (*dealt.cards, *dealt.others)]
    assert list(page.cards.children) == order
    assert "Measure next: The regulator on a low supply" in page.head.value
    first = page.views[dealt.cards[0].name]
    assert "<details open>" in first.about.value
    assert "107" in first.field.placeholder
    assert first.label.value.endswith("drop across the regulator, current</span>")  # in the order of the field


def test_a_reading_moves_odds_order_and_build_at_once_and_is_logged(page, work):
    before = page.bench.task.result.odds.boots.value
    view = enter(page, DROPOUT, "130 mV, 91 mA")
    assert page.bench.task.result.odds.boots.value > before
    assert "Before these readings it was" in page.head.value
    assert view.box not in page.cards.children
    assert view.field.value == ""
    assert page.state.build.controller.dropout_voltage == pytest.approx(0.1027, rel=1e-3)
    assert page.state.build.origin("controller.dropout_voltage") is Origin.MEASURED
    assert "dropout voltage" in page.log.value
    assert "Save puts" in page.log.value
    assert page.state.changed  # build and log are written by Save alone
    assert not log_beside(work / "board.toml").exists()
    page.state.save(work / "board.toml")
    assert [row.key for row in read_log(log_beside(work / "board.toml")).rows] == ["controller.dropout_voltage"]
    assert "Save puts" not in page.log.value
    assert not page.state.changed


def test_a_reading_is_taken_back_with_all_that_it_moved(page):
    before = page.bench.task.result.odds.boots
    enter(page, DROPOUT, "130 mV, 91 mA")
    page.state.undo()
    assert page.bench.task.result.odds.boots == before
    assert page.state.build.measured.rows == ()
    assert "Before these readings" not in page.head.value
    assert page.log.value == ""
    assert not page.state.changed
    page.state.redo()
    assert page.state.build.origin("controller.dropout_voltage") is Origin.MEASURED


def test_what_is_stopped_is_told_to_be_old_and_computed_when_asked(page, monkeypatch):
    """A long strip's odds take some seconds: what stands there meanwhile is for the build before."""
    compute, before = page.bench.task.compute, page.head.value

    def stopped(*_):
        assert "for the build before" in page.stale.value
        raise Cancelled("stopped")

    monkeypatch.setattr(page.bench.task, "compute", stopped)
    page.state.change({"adapter.rated_current": 3})
    assert "for the build before" in page.stale.value
    assert page.head.value == before
    monkeypatch.setattr(page.bench.task, "compute", compute)
    page.again.click()
    assert page.stale.value == ""
    assert page.head.value != before
    assert page.again.layout.display == "none"


def test_what_is_not_accepted_is_said_at_its_card_and_changes_nothing(page):
    build = page.state.build
    view = enter(page, DROPOUT, "130 mV")
    assert "accepted: 2" in view.problem.value
    assert view.field.value == "130 mV"
    assert page.state.build == build
    enter(page, DROPOUT, "130 mV, 91 mA")
    assert view.problem.value == ""


def test_a_log_without_a_file_goes_beside_it_once_the_build_is_saved(work, small):
    page = BenchPage(threaded=False)
    enter(page, DROPOUT, "130 mV, 91 mA")
    assert "Save puts" in page.log.value
    page.state.save(work / "mine.toml")
    assert len(read_log(log_beside(work / "mine.toml")).rows) == 1


def test_another_build_has_its_own_log(page, work, builds):
    enter(page, DROPOUT, "130 mV, 91 mA")
    page.state.save(work / "board.toml")
    page.state.load(builds / "tide_board_with_switch.toml", example=True)
    assert page.state.build.measured.rows == ()
    assert page.log.value == ""
    page.state.load(work / "board.toml")
    assert len(page.state.build.measured.rows) == 1
    assert not page.state.changed


def test_a_log_that_is_broken_is_told(work, builds, small):
    shutil.copy(builds / "tide_board_boots.toml", work / "board.toml")
    log_beside(work / "board.toml").write_text("measured = 1\n")
    page = BenchPage(work / "board.toml", threaded=False)
    assert "measured: not rows" in page.frame.rail.told.value
    assert page.cards.children


def test_the_list_of_builds_has_no_logs(page, work):
    enter(page, DROPOUT, "130 mV, 91 mA")
    page.state.save(work / "board.toml")
    page.frame.rail.open.refresh()
    assert not [name for name, _ in page.frame.rail.open.pick.options if "measured" in name]


def test_the_notebook_shows_the_page(work, small):
    assert "wb-fit" in at_the_bench()._dom_classes
