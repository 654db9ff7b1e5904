"""The second notebook's page without a browser."""

import re
import threading
from html import unescape

import pytest
from widgets import question_page as supply_page
from widgets import supply_remedies
from widgets.question import Task
from widgets.question_page import SupplyPage
from widgets.supply_map import end_of, mappable, suggested

from inrushlib.build import load_build
from inrushlib.cli import main
from inrushlib.errors import UsageError
from inrushlib.parts import keys_in_words
from inrushlib.quantities import with_signs
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.axis import Axis, check_axes
from inrushlib.search.brightness import brightness_caps
from inrushlib.search.ratings import next_rating
from inrushlib.search.reservoir import smallest_reservoir
from inrushlib.startup import Cancelled


@pytest.fixture
def page(work):
    """The second notebook's page, computing at once."""
    return SupplyPage(threaded=False)


def load(page, name):
    page.frame.rail.open.pick.value = dict(page.frame.rail.open.pick.options)[f"example: tide_board_{name}.toml"]


def ask(page, name):
    """Open a question, ask it where it is not asked by itself, return its view."""
    page.asked.value = name
    view = page.questions[name]
    if not view.task.live:
        view.run.click()
    return view


def test_adapter_shown_is_the_one_found_and_can_be_taken_over(page, builds):
    size = smallest_adapter(load_build(builds / "tide_board_never_starts.toml"))
    view = ask(page, "Smallest adapter")
    assert f"<b>Take {size.standard_rating:g} A</b>" in view.output.value
    assert f"{size.running.current:.3g} A" in view.output.value
    assert size.standard_rating == next_rating(max(size.starting.rated_current, size.running.rating))
    assert view.output.value.count('<tr class="wb-chosen">') == 1
    assert "wb-short" in page.frame.reading.box.value
    view.take.click()
    assert page.state.build.adapter.rated_current == size.standard_rating
    assert page.state.build.adapter.limit_current == pytest.approx(1.2 * size.standard_rating)
    assert "wb-short" not in page.frame.reading.box.value
    assert view.take.disabled  # it is in the build now


def test_a_limit_that_the_build_gives_is_taken_over_with_the_rating(page):
    page.state.change({"adapter.limit_current": "5.5 A"})
    view = ask(page, "Smallest adapter")
    view.take.click()
    a = page.state.build.adapter
    assert a.limit_current / a.rated_current == pytest.approx(1.1)
    assert page.state.start.verdict.starts


def test_quick_answers_follow_the_build_and_only_the_open_one(page):
    adapter, brightness = (page.questions[name] for name in ("Smallest adapter", "Brightness cap"))
    before = adapter.output.value
    page.state.change({"adapter.limit_style": "hiccup"})
    assert adapter.task.fresh
    assert adapter.output.value != before
    assert brightness.task.result is None
    page.asked.value = "Brightness cap"
    assert brightness.task.fresh


def test_remedies_as_a_table_and_not_the_same_once_more_as_a_picture(page):
    view = ask(page, "Remedies")
    assert "<img" not in view.output.value
    assert "Start as it is: stuck" in view.output.value
    for remedy in view.task.result.remedies[1:]:
        assert f">{remedy.name}" in view.output.value
    assert view.stale.value == ""
    shown = view.output.value
    page.state.change({"adapter.rated_current": "20 A"})
    assert "before it was changed" in view.stale.value
    assert view.output.value == shown  # a slow one waits until it is asked again
    view.run.click()
    assert view.stale.value == ""
    assert "boots at the first try as it is" in view.output.value


@pytest.mark.parametrize("build", ["shelf", "board"])
def test_the_first_remedy_is_put_into_the_build(work, builds, build):
    shelf = 'title = "s"\n[adapter]\nrated_current = "2 A"\n[wiring]\nsections = 1\npixels_per_section = 300\n'
    (work / "shelf.toml").write_text(shelf)
    page = SupplyPage({"shelf": work / "shelf.toml", "board": builds / "tide_board_never_starts.toml"}[build], False)
    view = ask(page, "Remedies")
    first = view.task.result.recommendation.ranked[0]
    view.take.click()
    assert page.state.problem == ""
    assert page.state.build.differences(first.build) == {}
    assert page.state.start.headline.boots


def test_reservoir_by_model_and_by_hand_or_why_there_is_none(page, builds):
    view = ask(page, "Reservoir")
    assert "does not help" in view.output.value
    assert view.take.disabled
    load(page, "with_switch")
    size = smallest_reservoir(load_build(builds / "tide_board_with_switch.toml"))
    assert "By hand: C = I t / dV" in view.output.value
    view.take.click()
    assert page.state.build.controller.reservoir == size.standard.value


def test_brightness_table_and_constants(page, builds):
    view = ask(page, "Brightness cap")
    caps = brightness_caps(load_build(builds / "tide_board_never_starts.toml"))
    assert f"<b>Full white up to level {caps.white.continuous.level} of 255</b>" in view.output.value
    assert "5000 µs" in view.output.value
    load(page, "with_switch")
    assert "gate delay" in view.output.value
    assert "recommended" in view.output.value


@pytest.mark.parametrize("name", ["never_starts", "with_switch", "boots"])
@pytest.mark.parametrize(
    ("question", "command"),
    [("Smallest adapter", "size"), ("Reservoir", "reservoir"), ("Brightness cap", "brightness")],
)
def test_the_page_says_word_for_word_what_the_command_says(page, builds, capsys, question, command, name):
    page.frame.rail.open.pick.value = dict(page.frame.rail.open.pick.options)[f"example: tide_board_{name}.toml"]
    view = ask(page, question)
    capsys.readouterr()
    more = [] if command == "brightness" else ["--no-odds"]  # which the page leaves to its page of odds
    main([command, str(builds / f"tide_board_{name}.toml"), *more])
    _, printed = capsys.readouterr().out.split("\n", 1)
    answer, _, _ = printed.partition("\n  Next: ")  # the next command; a page has its rail
    answer = with_signs(keys_in_words(answer))  # on a page, where a file's spelling is of no use
    assert words_of(re.sub("<[^>]*>", " ", view.output.value)) == words_of(answer)


def words_of(text):
    """Words and numbers in their order, whatever the medium writes between them."""
    return re.findall(r"\w+(?:\.\d+)?%?", unescape(text).replace("\N{DEGREE SIGN}", "degrees ").lower())


def test_a_map_that_cannot_be_made_says_why_and_keeps_the_last_one(page):
    page.questions["Map of two values"].task.compute = page.map.ask
    page.map.points.value = 8
    view = ask(page, "Map of two values")
    shown = view.output.value
    assert "data:image/png;base64," in shown
    assert view.task.result.x_values[0] == pytest.approx(0.3)
    for field, text, words in (
        (page.map.x.low, "5 V", "Adapter&#x27;s rated current"),
        (page.map.x.low, "50 A", "first value below the last"),
        (page.map.x.low, "-1", "Adapter&#x27;s rated current"),
    ):
        field.value = text
        view.run.click()
        assert words in view.problem.value
        assert view.output.value == shown
        assert not view.run.disabled
    page.map.x.low.value = "1"
    view.run.click()
    assert view.problem.value == ""
    assert view.task.result.x_values[0] == 1.0
    page.map.y.key.value = page.map.x.key.value
    view.run.click()
    assert "two different keys" in view.problem.value
    page.map.y.key.value = "switch.gate_resistance"
    view.run.click()
    assert "no [switch] table" in view.problem.value


def test_every_key_offered_for_the_map_comes_with_a_range_that_is_accepted(builds):
    build = load_build(builds / "tide_board_with_switch.toml").with_values({"limiter": {}})
    refused = []
    for key in mappable():
        low, high, by_factors = suggested(build, key)
        try:
            check_axes(build, Axis(key, low, high, 5, by_factors))
        except UsageError as error:
            refused.append((key, str(error)))
    # What two values together do not allow cannot be known from one key's own range.
    assert [key for key, words in refused if "(with " not in words] == []


def test_ends_of_a_range_are_read_as_in_the_fields_of_the_build():
    assert end_of("panel.bulk", "22u") == pytest.approx(22e-6)
    assert end_of("panel.bulk", "0.47 mF") == pytest.approx(470e-6)
    assert end_of("adapter.rated_current", "2") == 2.0
    for text in ("", "soon", "3 V"):
        with pytest.raises(UsageError, match=r"panel\.bulk"):
            end_of("panel.bulk", text)


def test_progress_and_cancel_in_the_worker(page):
    entered, seen = threading.Event(), []

    def slow(build, told, asked):
        told(0.25)
        entered.set()
        while not asked():
            threading.Event().wait(0.005)
        raise Cancelled("stopped")

    page.state.worker.threaded = True
    task = Task(page.state, slow)
    task.result, task.build = "earlier", page.state.build
    task.observe(lambda change: seen.append(change["new"]), "share")
    task.start()
    assert entered.wait(60)
    assert task.running
    task.cancel()
    assert task.worker.wait(60)
    assert not task.running
    assert seen == [0.25]
    assert (task.result, task.problem) == ("earlier", "")
    assert task.message.startswith("Stopped")


def test_an_error_of_the_page_itself_is_said_and_ends_the_wait(page, caplog):
    task = Task(page.state, lambda build, told, asked: 1 // 0)
    task.start()
    assert "ZeroDivisionError" in task.problem
    assert not task.running


def test_remedies_can_be_cancelled(page):
    told = []
    with pytest.raises(Cancelled):
        supply_remedies.ask_remedies(page.state.build, told.append, lambda: len(told) > 2)
    assert len(told) == 3


def test_a_wrong_file_is_said_and_nothing_is_lost(page, work):
    (work / "wrong.toml").write_text('title = "x"\n[adapter]\nrated_current = "2 V"\n')
    before, shown = page.state.build, page.questions["Smallest adapter"].output.value
    page.frame.rail.open.path.value = "wrong.toml"
    page.frame.rail.open.button.click()
    assert "adapter.rated_current" in page.frame.rail.told.value
    assert page.state.build == before
    assert page.questions["Smallest adapter"].output.value == shown


def test_the_notebook_shows_the_page(work):
    assert "wb-fit" in supply_page.which_supply()._dom_classes
