"""The notebook to begin with in a browser: an answer is checked."""

import pytest
from playwright.sync_api import expect

from tests.browser.test_more_notebooks import nothing_sticks_out

pytestmark = pytest.mark.browser


def test_an_answer_is_checked(new_visit, served):
    server, work = served
    visit = new_visit(server, work, 390, 1200)
    visit.page.goto(server.address.replace("1_will_it_boot", "0_start_here"), wait_until="domcontentloaded")
    expect(visit.page.locator(".wb-story details").first).to_be_attached()
    pages = visit.page.get_by_role("navigation", name="pages of the workbook")
    assert pages.bounding_box()["y"] < visit.page.locator(".wb-story").bounding_box()["y"]
    visit.enter("answer 1", "2.46 V")
    expect(visit.page.get_by_role("status").filter(has_text="Right.")).to_be_visible()
    visit.enter("answer 2", "1 A")
    expect(visit.page.get_by_role("status").filter(has_text="Not yet")).to_be_visible()
    nothing_sticks_out(visit)
    visit.page.context.close()
    assert visit.errors == []
    assert visit.away == []
