"""The third notebook's page without a browser."""

import re

import pytest
from widgets import question_page
from widgets.delay_page import DelayPage, switch_delay
from widgets.question import Task

from inrushlib.build import load_build
from inrushlib.safety.switch_stress import switch_stress
from inrushlib.search.axis import Axis
from inrushlib.search.gate_map import CAPACITANCE, RESISTANCE, gate_map
from inrushlib.search.window import NoWindow, delay_window, with_delay
from inrushlib.startup import screen


@pytest.fixture
def page(work):
    """The third notebook's page, computing at once."""
    return DelayPage(threaded=False)


def test_the_first_answer_is_asked_for_before_the_frame_is_made(work, monkeypatch):
    done = []
    frame, start = question_page.Frame, Task.start
    monkeypatch.setattr(question_page, "Frame", lambda *about: (done.append("frame"), frame(*about))[1])
    monkeypatch.setattr(Task, "start", lambda task: (done.append("asked"), start(task)))
    page = DelayPage(threaded=False)
    assert done == ["asked", "frame"]
    assert page.questions["Delay window"].output.value


@pytest.fixture
def small_map(page):
    """The gate map's view, its map small enough for a test."""
    x, y = Axis(RESISTANCE, 1e3, 2e4, 2, log=True), Axis(CAPACITANCE, 5e-9, 50e-9, 2, log=True)
    view = page.questions["Gate map"]
    view.task.compute = lambda build, told, asked: gate_map(build, x, y, progress=told, cancelled=asked)
    page.asked.value = "Gate map"
    return view


def load(page, name):
    page.frame.rail.open.pick.value = dict(page.frame.rail.open.pick.options)[f"example: tide_board_{name}.toml"]


def test_window_shown_is_the_one_found_and_its_delay_boots(page, builds):
    build = load_build(builds / "tide_board_with_switch.toml")
    window = delay_window(build)
    view = page.questions["Delay window"]
    for delay in (window.recommended, window.margin_early, window.flash):
        assert f"{1e3 * delay:.2f} ms" in view.output.value  # all of one column to one place
    assert window.latest is None
    assert "no upper edge" in view.output.value
    # However late: by a run of its own that is long enough to show it.
    late = with_delay(build, 0.6).with_values({"run.duration": 2.0})
    assert screen(late).verdict.starts
    view.take.click()
    assert page.state.build.firmware.first_frame_delay == pytest.approx(window.recommended, rel=1e-3)
    assert "wb-short" not in page.frame.reading.box.value
    assert view.take.disabled


def test_bar_has_recommended_delay_within_what_boots(page):
    drawn = page.questions["Delay window"].output.value
    # It ends in a point: this window has no upper edge; and its left end is said, though the ruler has no zero.
    bar = re.search(r'<path d="M([\d.]+) 34 L[\d.]+ 34 L([\d.]+) 47 L[\d.]+ 60 H[\d.]+ Z" fill="var', drawn)
    left, right = map(float, bar.groups())
    at = float(re.search(r'<text x="([\d.]+)"[^>]*>recommended', drawn).group(1))
    assert left < at < right
    assert re.search(rf'<text x="{left}" y="80" text-anchor="middle">0 s<', drawn)


def test_without_a_switch_it_says_so_and_the_last_window_is_marked_old(page):
    view = page.questions["Delay window"]
    shown = view.output.value
    load(page, "boots")
    assert "This build has no switch between bus and panel" in view.problem.value
    assert view.output.value == shown
    assert "before it was changed" in view.stale.value
    assert view.take.disabled
    load(page, "with_switch")
    assert view.problem.value == ""
    assert view.stale.value == ""


def test_a_build_without_a_window_says_why(page):
    page.state.change({"adapter.rated_current": "0.5 A"})
    view = page.questions["Delay window"]
    assert isinstance(view.task.result.window, NoWindow)
    assert "wb-answer" in view.output.value
    assert "wb-window" not in view.output.value


def test_a_window_without_a_late_edge_says_so(page):
    page.state.change({"adapter.rated_current": "15 A", "run.duration": "0.3 s"})
    view = page.questions["Delay window"]
    assert view.task.result.window.latest is None
    assert "no upper edge" in view.output.value
    # With the recommended delay the display is ready after the run that the page shows.
    assert view.task.result.window.ready_at > 0.3
    assert "ends before that can be seen" in view.output.value


def test_gate_map_is_drawn_when_asked_for_and_can_be_cancelled(small_map):
    assert small_map.task.result is None
    small_map.run.click()
    assert "data:image/png;base64," in small_map.output.value
    assert small_map.task.share == 1.0
    shown, compute = small_map.output.value, small_map.task.compute

    def cancelled(build, told, asked):
        small_map.cancel.click()
        return compute(build, told, asked)

    small_map.task.compute = cancelled
    small_map.run.click()
    assert "Stopped" in small_map.said.value
    assert small_map.output.value == shown


def test_gate_map_of_a_load_switch_is_refused(page, small_map):
    page.state.change({"switch.kind": "load-switch"})
    small_map.run.click()
    assert "P-channel" in small_map.problem.value


def test_all_findings_of_the_switch_are_shown_worst_first(page, builds):
    page.asked.value = "Switch stress"
    shown = page.questions["Switch stress"].output.value
    findings = switch_stress(load_build(builds / "tide_board_with_switch.toml")).findings
    marks = re.findall(r'<th scope="row">.\s(danger|caution|note|fine)</th>', shown)
    assert marks == [finding.severity.value for finding in findings]
    assert "Local codes decide" in shown


def test_the_notebook_shows_the_page(work):
    assert "wb-fit" in switch_delay()._dom_classes


def test_a_build_without_a_switch_gets_one_at_the_press_of_a_button(page):
    assert page.offered.layout.display == "none"
    load(page, "boots")
    view = page.questions["Delay window"]
    assert "This build has no switch" in view.problem.value
    assert page.offered.layout.display == ""
    page.put.click()
    assert page.state.build.switch is not None
    assert page.offered.layout.display == "none"
    assert view.problem.value == ""
    page.state.undo()
    assert page.offered.layout.display == ""
