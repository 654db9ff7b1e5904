"""What the page shows of a start."""

import asyncio
import io
import re
import threading

import ipywidgets as w
import pytest
from PIL import Image
from widgets import reading
from widgets.boot_page import AROUND, BootPage

from inrushlib.answers.html import html_of
from inrushlib.answers.margins import closest_line
from inrushlib.answers.margins import shown as shown_slack
from inrushlib.build import new_build
from inrushlib.margins import nearest_edges
from inrushlib.parts import key_words
from inrushlib.plots import Line
from inrushlib.startup import Cancelled, Kind, simulate
from tests.own_loop import run_alone


def figures(page):
    return "".join(card.value for card in page.view.figures)


def picture(page):
    return Image.open(io.BytesIO(page.view.image.value))


def load(page, name):
    page.frame.rail.open.pick.value = dict(page.frame.rail.open.pick.options)[f"example: tide_board_{name}.toml"]


def test_of_a_list_the_largest_stands_beside_where_it_turns():
    start = simulate(new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
                                "wiring.pixels_per_section": 300, "wiring.rail_resistance": "10 mohm"}))  # fmt: skip
    html = reading.reading_html(start, "Will it boot?", None, nearest_edges(start.build))
    assert "<b>2.85 V</b><em>fails under 2.77 V</em>" in html


def test_what_makes_another_no_of_a_no_is_not_called_a_failure():
    sign = {"title": "t", "adapter.rated_current": 20, "wiring.sections": 12, "wiring.pixels_per_section": 128}
    start = simulate(new_build(sign))
    html = reading.reading_html(start, "Will it boot?", None, nearest_edges(start.build))
    assert "starts over 2.35 V" in html
    assert "sticks over 890 mV" in html
    assert "fails" not in re.sub(r'class="[^"]*"', "", html)


def test_verdict_is_in_words_with_a_mark_and_told_to_screen_readers(page):
    for name, sign in (("never_starts", "wb-short"), ("boots", "wb-thin")):
        load(page, name)
        page.frame.margin.look(page.state.start)
        assert sign in page.frame.reading.box.value
        assert f">{page.state.start.headline.words}<" in page.frame.reading.box.value
        assert page.frame.reading.said.value == f"Will it boot? {page.state.start.headline.words}."
        assert page.state.start.reason[1:].rstrip(".") in page.frame.reading.box.value


def test_figures_are_those_of_the_start(page):
    load(page, "with_switch")
    found = page.state.start.figures
    assert f"{found.peak_lead_current:.2f} A" in figures(page)
    assert f"{found.highest_junction_temperature:.0f} °C (absolute maximum 150 °C)" in figures(page)


def test_lumps_and_the_lowest_one_are_told_in_short_rows(page):
    load(page, "never_starts")
    start, shown = page.state.start, figures(page)
    section, lumps = start.figures.final_lowest_lump_section, start.steps.lumps
    assert f"lowest lump, section {section}</th><td>{start.figures.final_lowest_lump_voltage:.2f} V<" in shown.replace(
        ' class="wb-number"', ""
    )
    assert f">{len(lumps)}, {len(lumps) // 4} a section<" in shown


def test_a_voltage_above_what_the_part_stands_is_pointed_out(page):
    assert "too much" not in figures(page)
    page.state.change({"pixel.highest_supply": "2 V"})
    assert "▲" in figures(page)
    assert "too much" in figures(page)


def test_cursor_reads_the_curves_and_marks_the_picture(page):
    load(page, "boots")
    before = page.view.image.value
    page.view.times.at.value = "410"
    assert page.time.cursor == pytest.approx(0.41)
    bus = float(page.state.start.at([0.41])["bus_voltage"][0])
    assert page.view.times.channels[Line.BUS].description == f"bus\n{bus:.2f} V"
    assert "controller <b>run</b>" in page.view.doing.value
    assert page.view.image.value != before


def test_a_line_of_the_list_moves_the_cursor(page):
    load(page, "boots")
    words, at = next(option for option in page.view.log.options if "runs the program" in option[0])
    page.view.log.value = at
    assert page.time.cursor == at == page.state.start.running_at
    assert words.split()[0] == f"{at * 1e3:.3f}"


def test_time_shown_by_views_fields_and_buttons(page):
    load(page, "boots")
    times = page.view.times
    times.first.value = "200"
    times.last.value = "210 ms"
    assert page.time.shown_span == pytest.approx((0.2, 0.21))
    times.last.value = "nonsense"
    assert page.time.shown_span == pytest.approx((0.2, 0.21))
    assert times.last.value == "210 ms"
    times.cursor.value = 50
    assert page.time.cursor == pytest.approx(0.205)
    times.wider.click()
    assert page.time.shown_span == pytest.approx((0.195, 0.215))
    times.buttons["Whole run"].click()
    assert page.time.span is None
    times.buttons["First 20 ms"].click()
    assert page.time.shown_span == (0.0, 0.02)
    assert page.time.cursor == pytest.approx(0.01)  # what is read lies within what is shown
    times.buttons["First frame"].click()
    begin, end = page.time.shown_span
    frame = next(each.time for each in page.state.start.switchings if each.kind is Kind.FRAME_START)
    assert begin < frame < end
    assert end - begin < 0.5


def test_a_view_of_what_is_not_there_changes_nothing(page):
    page.view.times.buttons["First frame"].click()  # it never starts, so it sends none
    assert page.time.span is None


def test_curves_are_switched_but_never_all_off(page):
    channels = page.view.times.channels
    channels[Line.GATE].value = True
    assert Line.GATE in page.time.voltages
    for button in channels.values():
        button.value = False
    assert len(page.time.voltages) == 1
    assert channels[Line.LEAD_CURRENT].value  # it has axes of its own


def test_the_cursor_starts_where_it_says_something(page):
    assert 0 < page.time.cursor < page.state.build.run.duration


def test_limits_are_drawn_anew_only_when_they_change(page):
    draws = page.view.picture.full_draws
    for place in (20, 21, 22, 23):
        page.frame.controls.groups["Adapter"].keys["adapter.soft_start"].slider.value = place
    assert page.view.picture.full_draws == draws


def test_picture_follows_page_screen_and_scheme(page):
    access = page.frame.access
    access.width = 900
    assert picture(page).size == (900, 720 - AROUND)
    access.height = 1080
    assert picture(page).size == (900, 1080 - AROUND)
    access.ratio = 2.0
    assert picture(page).size == (1800, 2 * (1080 - AROUND))
    light = picture(page).convert("L").getpixel((4, 4))
    access.dark = True
    assert picture(page).convert("L").getpixel((4, 4)) < 60 < 200 < light
    access.width = 350
    assert picture(page).size == (700, 660)


def test_a_place_that_is_asked_for_while_one_before_is_taken_up_is_drawn_for(page, monkeypatch):
    fitted = []
    first, second = lambda: fitted.append(1), lambda: fitted.append(2)

    class View(type(page.view)):
        """The page's own thread asks for a second place just after the drawing one has read the first twice."""

        reads = 0

        @property
        def size(self):
            found, self.reads = self.asked, self.reads + 1
            if self.reads == 2:
                self.asked = second
            return found

        @size.setter
        def size(self, fit):
            self.asked = fit

    monkeypatch.delattr(page.view, "size")
    monkeypatch.setattr(page.view, "__class__", View)
    page.view.size = first
    for _ in range(3):
        page.view.draw()
    assert fitted == [1, 2]


def test_a_page_that_was_just_built_is_sent_everything(page, monkeypatch):
    sent = []
    monkeypatch.setattr(w.Widget, "send_state", lambda self, key=None: sent.append(self))
    page.frame.access.built = 1
    wanted = [page.frame.reading.box, page.frame.rail.title, page.frame.rail.told, page.view.image, page.view.log]
    assert {id(widget) for widget in sent} >= {id(widget) for widget in [*wanted, *page.view.figures]}


def test_page_says_what_came_closest_and_rings_it_in_the_picture(page):
    load(page, "never_starts")
    assert "reset not released: the rail is 423 mV short" in page.frame.reading.box.value
    assert "bus at 2.46 V, 2.88 V needed" in page.frame.reading.box.value
    ringed = page.view.picture.picture.rings[0]
    assert list(ringed.get_xdata()) == [1e3 * page.state.start.slack[0].at]
    load(page, "boots")
    assert "423 mV" not in page.frame.reading.box.value
    assert len(ringed.get_xdata()) > 1


def test_the_reading_says_margin_and_what_it_rests_on(page):
    load(page, "boots")
    assert "Rests on" not in page.frame.reading.box.value
    page.frame.margin.look(page.state.start)
    shown, start = page.frame.reading.box.value, page.state.start
    assert "Margin at the tightest point" in shown
    assert html_of(closest_line(start, shown_slack(start)[0])) in shown
    edge = page.frame.margin.edges[0]
    assert key_words(edge.key).replace("'", "&#x27;") in shown
    assert ("over" if edge.above else "under") in shown
    assert "hangs on" in shown


def test_a_slider_shows_where_the_answer_turns_until_the_build_changes(page):
    load(page, "boots")
    page.frame.margin.look(page.state.start)
    edges = {edge.key: edge for edge in page.frame.margin.edges}
    control = page.frame.controls.groups["Adapter"].keys["adapter.rated_current"]
    edge = edges["adapter.rated_current"]
    assert ("wb-above" if edge.above else "wb-below") in control.flip.value
    assert "the answer turns" in control.flip.value
    page.state.change({"lead.length": "2 m"})
    assert control.flip.value == ""


def test_what_would_turn_the_answer_is_not_looked_for_any_longer_once_the_build_changes(page, monkeypatch):
    asked = []

    def look(build, *, cancelled):
        asked.append(cancelled())
        page.state.change({"lead.length": "2 m"})
        asked.append(cancelled())
        raise Cancelled("stopped")

    monkeypatch.setattr("widgets.margin.nearest_edges", look)
    page.frame.margin.look(page.state.start)
    assert asked == [False, True]
    assert page.frame.margin.edges == ()


def test_a_change_is_drawn_and_said_once_with_its_margin(work):
    page = BootPage()
    assert page.state.worker.wait()
    drawn, said = [], []
    png = page.view.picture.png
    page.view.picture.png = lambda start, view: drawn.append(view) or png(start, view)
    page.frame.reading.box.observe(lambda change: said.append(change["new"]), "value")
    page.state.change({"adapter.rated_current": 5.5})
    assert page.state.worker.wait()
    assert len(drawn) == 1
    assert drawn[0].slack
    assert said
    assert all("reset not released" in words for words in said)


def test_the_newest_start_is_said_last_whichever_thread_comes_first(work, monkeypatch):
    """While one thread puts the reading of a start together, another one comes with a newer start."""
    page = BootPage()
    assert page.state.worker.wait()
    newer = simulate(page.state.build.with_values({"adapter.rated_current": 20}))
    said, others = reading.reading_html, []

    def slowly(start, *more):
        if not others and start.build.adapter.rated_current == 5.5:
            others.append(threading.Thread(target=setattr, args=(page.state, "start", newer)))
            others[0].start()
            others[0].join()
        return said(start, *more)

    monkeypatch.setattr(reading, "reading_html", slowly)
    page.state.change({"adapter.rated_current": 5.5})
    assert page.state.worker.wait()
    assert others
    assert newer.headline.words in page.frame.reading.box.value


def test_the_picture_of_a_change_goes_before_its_words_and_fields_and_rail_follow(work):
    """In the order in which they are sent; a page runs in an event loop, as in its kernel."""
    page, sent = BootPage(), []
    assert page.frame.margin.worker.wait()
    assert page.state.worker.wait()
    slider = page.frame.controls.groups["Adapter"].keys["adapter.rated_current"].slider
    parts = {"picture": page.view.image, "words": page.frame.reading.box, "rail": page.frame.rail.undo}
    for name, widget in parts.items():
        widget.observe(lambda _, name=name: sent.append(name), ["value", "disabled"])

    async def moved():
        slider.value += 5
        while page.state.shown is not page.state.build:
            await asyncio.sleep(0.01)

    run_alone(asyncio.wait_for(moved(), 60))
    assert page.state.worker.wait()
    assert sent.index("picture") < sent.index("words")
    assert "rail" in sent
