"""The second and the third notebook, worked by keyboard."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from inrushlib import launch

pytestmark = pytest.mark.browser
PATIENCE = 60_000  # [ms]


@pytest.fixture
def notebook(new_visit: Callable, served: tuple[launch.Server, Path]) -> Iterator[Callable]:
    """Opens a notebook by its name; what went wrong on the page fails the test at its end."""
    found = []

    def open_one(name: str, width: int = 1280, height: int = 2000):
        visit = new_visit(*served, width, height)
        found.append(visit)
        visit.page.goto(visit.server.address.replace(launch.FIRST_NOTEBOOK, name), wait_until="domcontentloaded")
        expect(visit.page.locator(".wb-answer").first).to_be_visible(timeout=PATIENCE)
        return visit

    yield open_one
    for visit in found:
        visit.page.context.close()
        assert visit.errors == []
        assert visit.away == []


def press(visit, name: str) -> None:
    """Press a button by keyboard."""
    button = visit.page.get_by_role("button", name=re.compile(f"{name}$"))  # an icon may come before the words
    button.focus(timeout=PATIENCE)
    visit.page.keyboard.press("Enter")


def answered(visit, words: str) -> None:
    """Wait until the open question's answer has these words in it."""
    expect(visit.page.locator(".wb-answer")).to_contain_text(words, timeout=PATIENCE)


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
        "!e.closest('.wb-scroll') && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.className)"
    )
    assert wide == []


def test_which_supply(notebook):
    visit = notebook("2_which_supply.ipynb")
    visit.verdict("✗ NO")
    answered(visit, "Take an adapter of 10 A")
    visit.shoot("supply adapter")
    press(visit, "Remedies")
    press(visit, "Compare remedies")
    answered(visit, "makes it boot with least change")
    drawn(visit)
    visit.shoot("supply remedies")
    nothing_sticks_out(visit)
    for name in ("Reservoir", "Brightness cap"):
        press(visit, name)
        expect(visit.page.locator(".wb-answer")).to_have_count(1, timeout=PATIENCE)
        answered(visit, "No reservoir" if name == "Reservoir" else "Full white")
        visit.shoot(f"supply {name}")
        nothing_sticks_out(visit)
    press(visit, "Map of two keys")
    visit.enter("y range, begin", "3 V")
    press(visit, "Draw the map")
    expect(visit.page.get_by_role("alert")).to_contain_text("lead.length")
    visit.enter("y range, begin", "200 mm")
    press(visit, "Draw the map")
    answered(visit, "adapter.rated_current and lead.length")
    expect(visit.page.get_by_role("alert")).to_have_count(0)
    drawn(visit)
    visit.shoot("supply map")
    press(visit, "Smallest adapter")
    press(visit, "Put this rating into the build")
    visit.verdict("✓ YES")


def test_switch_delay(notebook):
    visit = notebook("3_switch_delay.ipynb")
    visit.verdict("✓ YES")
    answered(visit, "Send the first frame")
    visit.shoot("delay window")
    press(visit, "Gate map")
    press(visit, "Draw the map")
    cancel = visit.page.get_by_role("button", name="Cancel")
    expect(cancel).to_be_enabled(timeout=PATIENCE)
    press(visit, "Cancel")
    expect(visit.page.get_by_role("status").filter(has_text="Stopped")).to_be_visible(timeout=PATIENCE)
    press(visit, "Draw the map")
    expect(visit.page.get_by_role("status").filter(has_text=re.compile(r"^\d+%$"))).to_be_visible()
    visit.shoot("delay gate map under way")
    answered(visit, "Some delay boots")
    drawn(visit)
    visit.shoot("delay gate map")
    nothing_sticks_out(visit)
    press(visit, "Switch stress")
    answered(visit, "findings")
    visit.shoot("delay stress")
    nothing_sticks_out(visit)
    visit.pick("build", "example: tide_board_boots.toml")
    expect(visit.page.get_by_role("alert")).to_contain_text("switch: none in the build")
    expect(visit.page.locator(".wb-stale")).to_be_visible()
    visit.shoot("delay no switch")
