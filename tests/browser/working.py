"""What a builder does on each page, by keyboard, and what the page has to say to it."""

import re

import pytest
from playwright.sync_api import expect

from inrushlib.build import load_build
from inrushlib.safety.finding import DEFERS

from .rules import begins_as_sentences_do, says_it_plainly


def keep(visit, name: str) -> None:
    """Keep a screenshot of the page, once its pictures are there and nothing is wider than it."""
    visit.page.wait_for_function("() => [...document.images].every(i => i.complete && i.naturalWidth > 0)")
    assert visit.wider() == [], name
    says_it_plainly(visit)
    begins_as_sentences_do(visit)
    visit.shoot(name)


def says(visit, words: str | re.Pattern[str]) -> None:
    """Wait until the page says so in passing."""
    expect(visit.page.get_by_role("status").filter(has_text=words).first).to_be_visible()


def drawn(visit) -> None:
    """Wait until the open question's picture is there."""
    visit.page.wait_for_function(
        "() => { const i = document.querySelector('img.wb-plot'); return i && i.complete && i.naturalWidth > 400; }"
    )


def check_answers(visit) -> None:
    """Page 0: an answer is checked."""
    pages = visit.page.get_by_role("navigation", name="pages of the workbook")
    assert pages.bounding_box()["y"] < visit.page.locator(".wb-story").bounding_box()["y"]
    visit.enter("answer 1", "2.46 V")
    says(visit, "Right.")
    visit.enter("answer 2", "1 A")
    says(visit, "Not yet")
    keep(visit, "0 story")


def find_a_supply(visit) -> None:
    """Page 2: adapter, remedies, reservoir, brightness, map."""
    visit.verdict("stuck")
    visit.answered("Take 10 A")
    keep(visit, "2 adapter")
    visit.press("Remedies")
    visit.press("Compare remedies")
    visit.answered("is what to take")
    keep(visit, "2 remedies")
    # That it does not start, full white and the build's picture have a box each.
    for name, boxes, words in (("Reservoir", 1, "No reservoir"), ("Brightness cap", 3, "Full white")):
        visit.press(name)
        expect(visit.page.locator(".wb-answer")).to_have_count(boxes)
        visit.answered(words)
        keep(visit, f"2 {name}")
    visit.press("Map of two values")
    visit.enter("y range, begin", "3 V")
    visit.press("Draw the map")
    expect(visit.page.get_by_role("alert")).to_contain_text("Lead length")
    visit.enter("y range, begin", "200 mm")
    visit.press("Draw the map")
    visit.answered("Over adapter's rated current and lead length")
    expect(visit.page.get_by_role("alert")).to_have_count(0)
    drawn(visit)
    keep(visit, "2 map")
    visit.press("Smallest adapter")
    visit.press("Put this rating into the build")
    visit.verdict("boots")


def find_a_delay(visit) -> None:
    """Page 3: window, gate map stopped and drawn, stress, and a build without a switch."""
    visit.verdict("boots")
    visit.answered("Wait ")
    keep(visit, "3 window")
    visit.press("Gate map")
    visit.press("Draw the map")
    expect(visit.page.get_by_role("button", name="Cancel")).to_be_enabled()
    visit.press("Cancel")
    says(visit, "Stopped")
    visit.press("Draw the map")
    says(visit, re.compile(r"^\d+ %$"))
    visit.answered("Some delay boots")
    drawn(visit)
    keep(visit, "3 gate map")
    visit.press("Switch stress")
    visit.answered("findings")
    keep(visit, "3 stress")
    visit.turn("Open")
    visit.pick("build", "example: tide_board_boots.toml")
    expect(visit.page.get_by_role("alert")).to_contain_text("This build has no switch")
    expect(visit.page.locator(".wb-stale")).to_be_visible()
    keep(visit, "3 no switch")


def feed_and_wire(visit) -> None:
    """Page 4: the steady panel, feeds taken into the build, wires, safety."""
    visit.answered("The worst pixel, number 1023")
    expect(visit.page.locator("img.wb-plot")).to_have_count(3)
    keep(visit, "4 panel")
    visit.pick("colour", "red, full")
    expect(visit.page.get_by_role("textbox", name="duties")).to_have_value("1, 0, 0")
    visit.pick("colour", "white, full")
    visit.turn("Where to feed")
    visit.press("Compare feeds")
    visit.answered("Feed sections")
    keep(visit, "4 feeds")
    visit.press("Put these feeds into the build")
    expect(visit.page.locator(".wb-grid .wb-chosen")).to_contain_text("best of 2")
    visit.turn("Wires")
    visit.answered("Sized for what the panel draws")
    keep(visit, "4 wires")
    visit.turn("Safety")
    visit.answered("The worst finding is")
    expect(visit.page.get_by_text(DEFERS).filter(visible=True).first).to_be_visible()
    keep(visit, "4 safety")


def fit_a_capture(visit) -> None:
    """Page 5: a capture over the model, a fit stopped, a fit done and saved."""
    visit.answered("Model and capture differ by")
    expect(visit.page.get_by_role("textbox", name="shift")).not_to_have_value("0 s")
    keep(visit, "5 overlay")
    visit.turn("Fit")
    repeats = visit.page.locator(".wb-row", has_text="repeats").locator("input")
    usual = repeats.input_value()
    repeats.fill("1000")
    repeats.press("Enter")
    visit.press("Fit values")
    says(visit, "…")
    visit.press("Cancel")
    says(visit, "Stopped")
    repeats.fill(usual)
    repeats.press("Enter")
    visit.press("Fit values")
    visit.answered("The capture determines 3 of 3 parameters")
    keep(visit, "5 fit")
    visit.enter("save to", "from_scope")  # the enter key presses its button
    says(visit, "Saved")
    assert load_build(visit.work / "from_scope.toml").adapter.limit_current == pytest.approx(5.6, rel=0.01)


def ask_how_sure(visit) -> None:
    """Page 6: what turns the verdict, and the adapter by odds taken into the build."""
    visit.verdict("boots")
    expect(visit.page.get_by_text("The verdict changes with any one of these")).to_be_visible()
    visit.press("Adapter by odds")
    visit.press("Try the ratings")
    visit.answered("boots in")
    keep(visit, "6 what turns it")


def enter_a_reading(visit) -> None:
    """Page 7: a reading typed in moves odds and order."""
    visit.answered("Measure next: The regulator on a low supply")
    cards = visit.page.locator(".wb-bench-card")
    expect(cards.first).to_contain_text("1. The regulator on a low supply")
    field = "The regulator on a low supply: drop across the regulator, current"
    visit.enter(field, "130 mV")  # the enter key presses the card's button
    expect(cards.first.get_by_role("alert")).to_have_text(re.compile("^1 given; accepted: 2"))
    assert visit.wider() == []
    visit.enter(field, "130 mV, 91 mA")
    visit.answered("Before these readings it was")
    expect(cards.first).not_to_contain_text("The regulator on a low supply")
    expect(visit.page.get_by_role("row").filter(has_text=re.compile("dropout voltage")).first).to_be_visible()
    keep(visit, "7 bench")
