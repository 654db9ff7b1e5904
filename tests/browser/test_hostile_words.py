"""A title, a file and a folder that hold HTML and scripts, in a real browser: shown, not run."""

import pytest
from playwright.sync_api import expect

from .. import hostile

pytestmark = pytest.mark.browser


def test_no_script_runs_and_no_element_is_inserted(visit):
    (visit.work / hostile.FILE).write_text(hostile.BUILD, encoding="utf-8")
    page = visit.page
    visit.turn("Open")
    expect(page.locator(".wb-note code")).to_have_text(str(visit.work))
    assert hostile.FOLDER in str(visit.work)
    visit.enter("or file", hostile.FILE)
    title = page.locator(".wb-title")
    expect(title).to_contain_text(hostile.SCRIPT)
    expect(title).to_contain_text("\\x1b[31m")
    visit.settled()
    # The list of files is made anew after one was saved: then this one is in it.
    visit.turn("Save")
    visit.enter("file", "innocent")
    visit.press("Save file")
    expect(page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    visit.turn("Open")
    visit.pick("build", "<i>\\x1b[31m.toml")
    expect(page.get_by_role("status").filter(has_text="Opened")).to_be_visible()
    assert title.locator("script, img, i, b > *").count() == 0
    assert page.locator(".wb-note b, .wb-note code > *, .wb-message i, .wb-message b").count() == 0
    assert page.locator("[onerror], [onmouseover]").count() == 0
    assert page.evaluate("window.struck") is None
    visit.shoot("hostile")
