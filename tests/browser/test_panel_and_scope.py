"""The fourth and the fifth notebook, worked by keyboard."""

import pytest
from playwright.sync_api import expect

from inrushlib.build import load_build
from inrushlib.safety.finding import DEFERS

pytestmark = pytest.mark.browser
PATIENCE = 25_000  # [ms]


def keep(visit, name: str) -> None:
    """Keep a screenshot of the whole page, once nothing but what scrolls by itself is wider than it."""
    visit.page.wait_for_function(
        "() => [...document.images].every(i => i.complete && i.naturalWidth > 0)", timeout=PATIENCE
    )
    wide = visit.page.evaluate(
        "() => [...document.querySelectorAll('.wb-page *')].filter(e => e.getClientRects().length && "
        "!e.closest('.wb-scroll, .wb-nav') && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.className)"
    )
    visit.page.screenshot(path=visit.work / f"{name}.png")
    assert wide == []


def test_panel_feeds_wires_and_safety(notebook):
    visit = notebook("4_feed_and_wire.ipynb")
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


def test_capture_overlay_fit_and_save(notebook):
    visit = notebook("5_model_against_scope.ipynb")
    visit.answered("Model and capture differ by")
    expect(visit.page.get_by_role("textbox", name="shift")).not_to_have_value("0 s", timeout=PATIENCE)
    keep(visit, "5 overlay")
    visit.turn("Fit")
    visit.press("Fit values")
    visit.answered("The capture determines 3 of 3 parameters")
    keep(visit, "5 fit")
    visit.enter("save to", "from_scope")
    visit.press("Save fitted build")
    expect(visit.page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    assert load_build(visit.work / "from_scope.toml").adapter.limit_current == pytest.approx(5.6, rel=0.01)


def test_a_fit_is_cancelled(notebook):
    visit = notebook("5_model_against_scope.ipynb")
    visit.answered("Model and capture differ by")
    visit.turn("Fit")
    repeats = visit.page.locator(".wb-row", has_text="repeats").locator("input")
    repeats.fill("1000")
    repeats.press("Enter")
    visit.press("Fit values")
    expect(visit.page.get_by_role("status").filter(has_text="…")).to_be_visible(timeout=PATIENCE)
    visit.press("Cancel")
    expect(visit.page.get_by_role("status").filter(has_text="Stopped")).to_be_visible(timeout=PATIENCE)
