"""A title, a file and a folder that hold HTML and scripts, in a real browser: shown, not run."""

import pytest
from playwright.sync_api import expect

from inrushlib import serve

from .. import hostile

pytestmark = pytest.mark.browser


def test_no_script_runs_and_no_element_is_inserted(new_visit, run_server, tmp_path):
    work, scratch = tmp_path / hostile.FOLDER, tmp_path / "scratch"
    work.mkdir()
    scratch.mkdir()
    (work / hostile.FILE).write_text(hostile.BUILD, encoding="utf-8")
    server = serve.prepare(work, scratch)
    with run_server(server, scratch / "log"):
        visit = new_visit(server, tmp_path)
        visit.open()
        page = visit.page
        visit.turn("Open")
        expect(page.locator(".wb-note code")).to_have_text(str(work))
        before = visit.picture()
        visit.pick("build", "<i>\\x1b[31m.toml")
        visit.changed(before)
        title = page.locator(".wb-title")
        expect(title).to_contain_text(hostile.SCRIPT)
        expect(title).to_contain_text("\\x1b[31m")
        assert title.locator("script, img, i, b > *").count() == 0
        assert page.locator(".wb-note b, .wb-note code > *, .wb-message i, .wb-message b").count() == 0
        assert page.locator("[onerror], [onmouseover]").count() == 0
        assert page.evaluate("window.struck") is None
        visit.shoot("hostile")
        page.context.close()
        assert visit.away == []
        assert visit.errors == []
