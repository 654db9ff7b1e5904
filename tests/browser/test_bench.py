"""The seventh notebook in a browser: a reading typed in moves odds and order."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.test_more_notebooks import nothing_sticks_out

pytestmark = pytest.mark.browser


def test_a_reading_moves_odds_and_order(notebook):
    visit = notebook("7_at_the_bench.ipynb", width=390, height=1200)
    visit.answered("Measure next: The regulator on a low supply")
    cards = visit.page.locator(".wb-bench-card")
    expect(cards.first).to_contain_text("1. The regulator on a low supply")
    visit.enter("regulator-dropout", "130 mV")
    cards.first.get_by_role("button", name="Enter").click()
    expect(cards.first.get_by_role("alert")).to_contain_text("accepted: 2")
    nothing_sticks_out(visit)
    visit.enter("regulator-dropout", "130 mV, 91 mA")
    cards.first.get_by_role("button", name="Enter").click()
    visit.answered("Before these readings it was")
    expect(cards.first).not_to_contain_text("The regulator on a low supply")
    expect(visit.page.get_by_role("row").filter(has_text=re.compile("dropout voltage")).first).to_be_visible()
    nothing_sticks_out(visit)
    visit.shoot("bench")
