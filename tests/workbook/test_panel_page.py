"""The fourth notebook: colour, arrangement, feeds, wires, safety."""

import math
import re

import numpy as np
import pytest
from widgets.panel_page import PanelPage

from inrushlib.panel import solve_panel
from inrushlib.safety.finding import DEFERS
from inrushlib.search.feeds import place_feeds
from inrushlib.startup import Cancelled


@pytest.fixture
def panel(work):
    return PanelPage(threaded=False)


def text_of(view):
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", view.output.value))


def opened(panel, name):
    panel.asked.value = name
    view = panel.questions[name]
    if not view.task.live:
        view.run.click()
    assert view.problem.value == ""
    return view


def test_panel_shows_three_pictures_and_the_worst_pixel(panel):
    view = panel.questions["Panel"]
    assert view.output.value.count("data:image/png") == 3
    state = solve_panel(panel.state.build)
    assert f"{state.lowest_voltage:.2f} V" in text_of(view)


def test_another_colour_is_solved_anew_in_the_open_question_only(panel):
    opened(panel, "Safety")
    opened(panel, "Panel")
    panel.colour.pick.value = "1, 0, 0"
    assert panel.shown.colour == "1, 0, 0"
    state = panel.questions["Panel"].task.result.state
    assert state.adapter_current == pytest.approx(solve_panel(panel.state.build, (1, 0, 0)).adapter_current)
    assert panel.questions["Panel"].task.fresh
    assert not panel.questions["Safety"].task.fresh
    assert "what was asked before" in panel.questions["Safety"].stale.value


@pytest.mark.parametrize("typed", ["1, 1", "red", "1, 1, 2"])
def test_a_colour_that_is_none_is_said(panel, typed):
    before = panel.questions["Panel"].output.value
    panel.colour.typed.value = typed
    assert "Colour" in panel.questions["Panel"].problem.value
    assert "accepted" in panel.questions["Panel"].problem.value
    assert panel.questions["Panel"].output.value == before


def test_arrangement_is_the_builds(panel):
    assert panel.questions["Panel"].task.result.arrangement.shape == (8, 128)
    assert panel.state.change({"wiring.sections_across": 2})
    assert panel.questions["Panel"].task.result.arrangement.shape == (16, 64)
    assert panel.state.change({"wiring.section_rows": 16})
    assert panel.questions["Panel"].task.result.arrangement.shape == (32, 32)
    assert not panel.state.change({"wiring.sections_across": 3})
    assert "divided" in panel.state.problem


def test_best_feeds_are_found_and_put_into_the_build(panel):
    view = opened(panel, "Where to feed")
    best = place_feeds(panel.state.build, 2).best
    assert view.task.result.search.best == best
    assert "exact: all arrangements tried" in text_of(view)
    view.take.click()
    assert panel.state.build.wiring.feeds == best.feeds
    panel.feeds.count.value = 9
    view.run.click()
    assert "accepted: 1 to 4" in view.problem.value


def test_wires_keep_the_drop_and_go_into_the_build(panel):
    view = opened(panel, "Wires")
    panel.wires.fields["feed drop"].value = "50 mV"
    plan = view.task.result.plan
    assert all(wire.drop <= 0.05 for wire in plan.feeds)
    assert all(wire.ampacity >= 1.25 * wire.current for wire in (*plan.feeds, *plan.hops))
    shown, bought = text_of(view), text_of(view).partition("To buy")[2]
    assert "supply and return together, without waste" in shown
    for gauge in {wire.gauge for wire in (*plan.feeds, *plan.hops)}:
        metres = sum(2 * wire.length for wire in (*plan.feeds, *plan.hops) if wire.gauge == gauge)
        assert f"{gauge} AWG {metres:.2f} m" in bought
    panel.wires.fields["contacts"].value = "2 mΩ"
    plan = view.task.result.plan
    view.take.click()
    assert np.allclose(panel.state.build.wiring.feed_resistance, [w.resistance + 2e-3 for w in plan.feeds])
    assert len(panel.state.build.wiring.hop_resistance) == 3
    assert "Sized for what the panel draws from a supply that does not limit: " in text_of(view)
    panel.wires.fields["largest adapter"].value = "20 A"
    assert "Sized for an adapter that gives up to" in text_of(view)
    panel.wires.fields["largest adapter"].value = "large"
    assert "Largest adapter" in view.problem.value
    assert "or any" in view.problem.value
    panel.wires.fields["largest adapter"].value = "any"
    panel.wires.fields["feed length"].value = "1 m, 2 m, 3 m"
    assert "Feed length: 3 values; accepted: one for all, or 2" in view.problem.value
    panel.wires.fields["feed length"].value = "1 V"
    assert "Feed length" in view.problem.value


def test_safety_says_how_bad_in_words_and_defers(panel):
    view = opened(panel, "Safety")
    words = text_of(view)
    assert DEFERS in words
    ranks = [finding.severity.rank for finding in view.task.result]
    assert ranks == sorted(ranks, reverse=True)
    assert "danger" in words
    for field, words in (("lead", "as in the build"), ("feeds", "as in the build"), ("fuses", "any that fits")):
        assert getattr(panel.safety, field).label == words
    panel.safety.feeds.value = "2.0 mm pitch wire-to-board"
    assert "through its 2.0 mm pitch wire-to-board connector" in text_of(view)


def test_gauges_of_the_build_reach_the_findings(panel):
    view = opened(panel, "Safety")
    assert "say how thick this wire is" in text_of(view).lower()
    panel.state.change({"wiring.feed_gauge": "16 AWG", "wiring.hop_gauge": "16 AWG"})
    assert "say how thick this wire is" not in text_of(view).lower()


def test_placing_feeds_is_stopped(panel):
    # With one thread nobody can press Cancel in between: the question is asked as if it had been pressed.
    with pytest.raises(Cancelled):
        panel.feeds.ask(panel.state.build, lambda share: None, lambda: True)


@pytest.mark.parametrize(("latest", "steps"), [(math.inf, ["ooo", "noo", "nno", "nnn"]), (-1.0, ["ooo", "nnn"])])
def test_words_come_before_slow_pictures_these_from_the_top_all_where_they_waited(panel, monkeypatch, latest, steps):
    monkeypatch.setattr("widgets.question_view.QUICK", -1.0)
    monkeypatch.setattr("widgets.question_view.LATEST", latest)
    output = panel.questions["Panel"].output
    before, shown = images(output.value), []
    output.observe(lambda change: shown.append(change["new"]), "value")
    panel.state.change({"lead.resistance": "90 mohm"})
    after = images(shown[-1])
    assert len(before) == len(after) == 3
    assert all(old != new for old, new in zip(before, after, strict=True))
    found = [
        "".join("o" if each == old else "n" for each, old in zip(images(html), before, strict=True)) for html in shown
    ]
    assert found == steps
    assert [html.split("<img")[0] for html in shown] == [shown[-1].split("<img")[0]] * len(shown)


def test_pictures_that_are_quick_come_together_with_their_words(panel, monkeypatch):
    monkeypatch.setattr("widgets.question_view.QUICK", math.inf)
    output = panel.questions["Panel"].output
    before, shown = images(output.value), []
    output.observe(lambda change: shown.append(change["new"]), "value")
    panel.state.change({"lead.resistance": "90 mohm"})
    assert len(shown) == 1
    assert not set(images(shown[0])) & set(before)


def images(html):
    return re.findall(r"base64,([^\"]+)", html)
