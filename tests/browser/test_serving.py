"""Who may see the workbook, and what it needs."""

import shutil
import urllib.error
import urllib.parse
import urllib.request

import pytest
from playwright.sync_api import TimeoutError as PlaywrightTimeoutError
from playwright.sync_api import expect

from inrushlib import serve

pytestmark = pytest.mark.browser


KERNEL_IS_IDLE = """() => {
  const panel = window.jupyterapp && window.jupyterapp.shell.currentWidget;
  const session = panel && panel.sessionContext && panel.sessionContext.session;
  return session && session.kernel && session.kernel.status === 'idle' && session.kernel.info;
}"""


class _Stay(urllib.request.HTTPRedirectHandler):
    """Do not follow a redirect."""

    def redirect_request(self, *_):
        return None


def status_of(address: str, method: str = "GET") -> int:
    request = urllib.request.Request(address, method=method, data=b"{}" if method == "POST" else None)
    try:
        return urllib.request.build_opener(_Stay).open(request, timeout=20).status
    except urllib.error.HTTPError as error:
        return error.code


def without_token(server: serve.Server) -> tuple[str, str]:
    """Address of the machine and of the first page, without the token."""
    parts = urllib.parse.urlsplit(server.address)
    return f"{parts.scheme}://{parts.netloc}", parts.path


def test_without_its_token_the_page_is_refused(served, new_visit):
    server, work = served
    root, path = without_token(server)
    for address in (f"{root}{path}", f"{root}{path}?token=wrong", f"{root}/", f"{root}/voila/tree"):
        assert status_of(address) in (302, 401, 403), address
    assert status_of(f"{root}/voila/api/contents") in (302, 401, 403)
    visit = new_visit(server, work)
    visit.page.goto(root + path)
    expect(visit.page.locator(".wb-page")).to_have_count(0)
    assert "/login" in visit.page.url
    visit.page.context.close()


def test_without_its_token_the_kernel_cannot_be_reached(visit):
    kernel = visit.page.evaluate(
        "() => JSON.parse(document.getElementById('jupyter-config-data').textContent).kernelId"
    )
    assert kernel
    root, _ = without_token(visit.server)
    assert status_of(f"{root}/api/kernels/{kernel}") in (302, 401, 403)
    assert status_of(f"{root}/api/kernels/{kernel}/channels") in (302, 400, 401, 403)
    stranger = visit.page.context.browser.new_context().new_page()
    stranger.goto(root + "/login")
    closed = stranger.evaluate(
        "address => new Promise(done => { const s = new WebSocket(address); s.onopen = () => done('open');"
        " s.onerror = () => done('refused'); })",
        f"{root.replace('http', 'ws')}/api/kernels/{kernel}/channels",
    )
    stranger.context.close()
    assert closed == "refused"


def test_only_this_machine_is_served(served):
    assert urllib.parse.urlsplit(served[0].address).hostname == "127.0.0.1"
    assert any(part.endswith(".ip=127.0.0.1") for part in served[0].command)


def test_the_token_is_not_among_the_arguments(served):
    token = urllib.parse.parse_qs(urllib.parse.urlsplit(served[0].address).query)["token"][0]
    assert len(token) >= 32
    assert not any(token in part for part in served[0].command)


def test_lab_opens_a_copy_of_the_notebook_runs_it_and_asks_for_its_token(new_visit, run_server, tmp_path, monkeypatch):
    work, scratch, packed = tmp_path / "work", tmp_path / "scratch", tmp_path / "_workbook"
    work.mkdir()
    scratch.mkdir()
    shutil.copytree(serve.workbook_folder(), packed)
    monkeypatch.setattr("inrushlib.serve.notebooks.workbook_folder", lambda: packed)  # as in an installed package
    server = serve.prepare(work, scratch, lab=True)
    server.command.append("--LabApp.expose_app_in_browser=True")
    assert (work / serve.COPY / serve.FIRST_NOTEBOOK).is_file()
    with run_server(server, scratch / "log"):
        root, path = without_token(server)
        assert status_of(root + path) in (302, 401, 403)
        assert status_of(f"{root}/api/kernels") in (401, 403)
        assert status_of(f"{root}/api/contents") in (401, 403)
        visit = new_visit(server, work)
        page = visit.page
        page.goto(server.address, wait_until="domcontentloaded")
        page.wait_for_selector(".jp-NotebookPanel .jp-Cell", timeout=60_000)
        page.wait_for_function(KERNEL_IS_IDLE, timeout=60_000)
        run_all(page)
        visit.verdict("stuck")
        visit.shoot("lab")
        page.context.close()
        assert visit.away == []


def run_all(page, tries=3):
    """Run all cells; where the editor was not ready yet it asks for a kernel, and the command is given again."""
    for left in reversed(range(tries)):
        page.evaluate("() => { window.jupyterapp.commands.execute('runmenu:run-all'); }")
        try:
            page.wait_for_function("picture() !== ''", timeout=20_000)
        except PlaywrightTimeoutError:
            if left == 0:
                raise
            accept = page.locator(".jp-Dialog .jp-mod-accept")
            if accept.count():
                accept.first.click()
        else:
            return
