"""The second and the third notebook, worked by keyboard."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
PATIENCE = 60_000  # [ms]


def drawn(visit) -> None:
    """Wait until the open question's picture is there."""
    visit.page.wait_for_function(
        "() => { const i = document.querySelector('img.wb-plot'); return i && i.complete && i.naturalWidth > 400; }",
        timeout=PATIENCE,
    )


def nothing_sticks_out(visit) -> None:
    """Nothing but what scrolls by itself is wider than the page."""
    wide = visit.page.evaluate(
        "() => [...document.querySelectorAll('.wb-page *')].filter(e => e.getClientRects().length && "
        "!e.closest('.wb-scroll, .wb-nav') && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.className)"
    )
    assert wide == []


def test_which_supply(notebook):
    visit = notebook("2_which_supply.ipynb")
    visit.verdict("stuck")
    visit.answered("Take 10 A")
    visit.shoot("supply adapter")
    visit.press("Remedies")
    visit.press("Compare remedies")
    visit.answered("is what to take")
    visit.shoot("supply remedies")
    nothing_sticks_out(visit)
    # That it does not start, full white and the build's picture have a box each.
    for name, boxes in (("Reservoir", 1), ("Brightness cap", 3)):
        visit.press(name)
        expect(visit.page.locator(".wb-answer")).to_have_count(boxes, timeout=PATIENCE)
        visit.answered("No reservoir" if name == "Reservoir" else "Full white")
        visit.shoot(f"supply {name}")
        nothing_sticks_out(visit)
    visit.press("Map of two keys")
    visit.enter("y range, begin", "3 V")
    visit.press("Draw the map")
    expect(visit.page.get_by_role("alert")).to_contain_text("lead.length")
    visit.enter("y range, begin", "200 mm")
    visit.press("Draw the map")
    visit.answered("adapter.rated_current and lead.length")
    expect(visit.page.get_by_role("alert")).to_have_count(0)
    drawn(visit)
    visit.shoot("supply map")
    visit.press("Smallest adapter")
    visit.press("Put this rating into the build")
    visit.verdict("boots")


def test_switch_delay(notebook):
    visit = notebook("3_switch_delay.ipynb")
    visit.verdict("boots")
    visit.answered("Wait ")
    visit.shoot("delay window")
    visit.press("Gate map")
    visit.press("Draw the map")
    cancel = visit.page.get_by_role("button", name="Cancel")
    expect(cancel).to_be_enabled(timeout=PATIENCE)
    visit.press("Cancel")
    expect(visit.page.get_by_role("status").filter(has_text="Stopped")).to_be_visible(timeout=PATIENCE)
    visit.press("Draw the map")
    expect(visit.page.get_by_role("status").filter(has_text=re.compile(r"^\d+%$"))).to_be_visible()
    visit.shoot("delay gate map under way")
    visit.answered("Some delay boots")
    drawn(visit)
    visit.shoot("delay gate map")
    nothing_sticks_out(visit)
    visit.press("Switch stress")
    visit.answered("findings")
    visit.shoot("delay stress")
    nothing_sticks_out(visit)
    visit.turn("Open")
    visit.pick("build", "example: tide_board_boots.toml")
    expect(visit.page.get_by_role("alert")).to_contain_text("switch: none in the build")
    expect(visit.page.locator(".wb-stale")).to_be_visible()
    visit.shoot("delay no switch")
