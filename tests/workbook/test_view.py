"""What the page shows of a start."""

import io

import pytest
from PIL import Image


def load(page, name):
    page.files.pick.value = dict(page.files.pick.options)[f"example: tide_board_{name}.toml"]


def test_verdict_is_in_words_with_a_mark_and_told_to_screen_readers(page):
    assert 'role="status"' in page.view.verdict.value
    for name, mark in (("never_starts", "✗ NO"), ("boots", "✓ YES")):
        load(page, name)
        assert mark in page.view.verdict.value
        assert page.state.start.reason[1:].rstrip(".") in page.view.verdict.value


def test_figures_are_those_of_the_start(page):
    load(page, "with_switch")
    figures = page.state.start.figures
    assert f"{figures.peak_lead_current:.1f} A" in page.view.figures.value
    assert f"{figures.highest_junction_temperature:.0f} °C (absolute maximum 150 °C)" in page.view.figures.value


def test_lumps_and_the_lowest_one_are_told_in_short_rows(page):
    load(page, "never_starts")
    start, shown = page.state.start, page.view.figures.value
    section, lumps = start.figures.final_lowest_lump_section, start.steps.lumps
    assert f"lowest lump, section {section}</th><td>{start.figures.final_lowest_lump_voltage:.2f} V<" in shown.replace(
        ' class="wb-number"', ""
    )
    assert f">{len(lumps)}, {len(lumps) // 4} a section<" in shown


def test_a_voltage_above_what_the_part_stands_is_pointed_out(page):
    assert "too much" not in page.view.figures.value
    page.state.change({"pixel.highest_supply": "2 V"})
    assert "▲" in page.view.figures.value
    assert "too much" in page.view.figures.value


def test_cursor_reads_the_curves_and_marks_the_picture(page):
    load(page, "boots")
    before = page.view.image.value
    page.view.times.at.value = "400"
    assert page.state.cursor == pytest.approx(0.4)
    bus = float(page.state.start.at([0.4])["bus_voltage"][0])
    assert f"bus <b>{bus:.2f} V</b>" in page.view.readings.value
    assert "controller <b>run</b>" in page.view.readings.value
    assert page.view.image.value != before


def test_a_line_of_the_list_moves_the_cursor(page):
    load(page, "boots")
    words, at = next(option for option in page.view.log.options if "runs the program" in option[0])
    page.view.log.value = at
    assert page.state.cursor == at == page.state.start.running_at
    assert words.split()[0] == f"{at * 1e3:.3f}"


def test_range_by_sliders_fields_and_buttons(page):
    times = page.view.times
    times.range.value = (25, 50)
    assert page.state.shown_span == pytest.approx((0.2, 0.4))
    times.last.value = "210 ms"
    assert page.state.shown_span == pytest.approx((0.2, 0.21))
    times.last.value = "nonsense"
    assert page.state.shown_span == pytest.approx((0.2, 0.21))
    assert times.last.value == "210 ms"
    times.cursor.value = 50
    assert page.state.cursor == pytest.approx(0.205)
    times.wider.click()
    assert page.state.shown_span == pytest.approx((0.195, 0.215))
    times.whole.click()
    assert page.state.span is None
    assert times.range.value == (0, 100)


def test_voltages_can_be_chosen_but_not_none(page):
    times = page.view.times
    times.boxes["gate"].value = True
    assert "gate" in page.state.voltages
    for box in times.boxes.values():
        box.value = False
    assert len(page.state.voltages) == 1


def test_limits_are_drawn_anew_only_when_they_change(page):
    draws = page.view.picture.full_draws
    for place in (20, 21, 22, 23):
        page.controls.groups["Adapter"].keys["adapter.soft_start"].slider.value = place
    assert page.view.picture.full_draws == draws


def test_picture_follows_the_width_of_the_page(page):
    page.access.width = 600
    assert Image.open(io.BytesIO(page.view.image.value)).size == (600, 460)
    page.access.ratio = 2.0
    assert Image.open(io.BytesIO(page.view.image.value)).size == (1200, 920)


def test_a_page_that_was_just_built_is_sent_everything(page, monkeypatch):
    sent = []
    for name in ("verdict", "figures", "readings", "log", "image", "title", "problem"):
        monkeypatch.setattr(type(getattr(page.view, name)), "send_state", lambda self, key=None: sent.append(self))
    page.access.built = 1
    assert {id(widget) for widget in sent} >= {id(page.view.verdict), id(page.view.figures), id(page.view.log)}


def test_page_says_what_came_closest_and_rings_it_in_the_picture(page):
    load(page, "never_starts")
    assert "reset not released: the rail is 423 mV short" in page.view.closest.value
    assert "bus at 2.46 V, 2.88 V needed" in page.view.closest.value
    ringed = page.view.picture.picture.rings[0]
    assert list(ringed.get_xdata()) == [1e3 * page.state.start.slack[0].at]
    load(page, "boots")
    assert "423 mV" not in page.view.closest.value
    assert len(ringed.get_xdata()) > 1
