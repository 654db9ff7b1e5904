"""The workbook in a real headless browser."""

import functools
import os
import re
import shutil
import subprocess
import time
import urllib.parse
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from inrushlib import serve

from .. import hostile

NAME = ".inrush-working-copy.json"
STORY = "0_start_here.ipynb"
EXAMPLE = "tide_board_never_starts.toml"
WIDTH, HEIGHT = 1280, 900  # [px]
FAILED = pytest.StashKey[bool]()

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PATIENCE = 120_000  # [ms], for a machine that is busy and has the model still to compile
expect.set_options(timeout=PATIENCE)
KERNEL = """() => {
  const told = document.getElementById('jupyter-config-data');
  return told && JSON.parse(told.textContent).kernelId;
}"""
"""What a page knows of its kernel; nothing where it is no page of the workbook."""
SCRIPT = """
window.picture = () => {
  const image = document.querySelector('.wb-picture img');
  return image && image.complete && image.naturalWidth > 100 ? image.src : '';
};
window.fits = () => {
  const image = document.querySelector('.wb-picture img');
  return image && image.naturalWidth === Math.floor(image.getBoundingClientRect().width);
};
"""


def find_browser() -> str:
    """Path of a Chromium; without one the tests are skipped, but in CI they fail."""
    given = os.environ.get("INRUSH_BROWSER")
    names = ("chromium", "chromium-browser", "google-chrome", "chrome")
    found = given or next((path for name in names if (path := shutil.which(name))), None)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("no Chromium on this machine; CI has to install one")
        pytest.skip("no Chromium on this machine; install one, or name it in INRUSH_BROWSER")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = find_browser()
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield running
        running.close()


@dataclass
class Visit:
    """A page, with everything that should not have happened on it."""

    page: Page
    server: serve.Server
    work: Path
    errors: list[str] = field(default_factory=list)
    away: list[str] = field(default_factory=list)

    def open(self) -> None:
        """Open the first notebook on its example and wait for its picture, in the width that there is for it."""
        self.forget()
        self.go(serve.FIRST_NOTEBOOK)
        self.page.wait_for_function("picture() !== '' && fits()", timeout=PATIENCE)

    def go(self, notebook: str) -> None:
        """Go to a notebook, which need not be all there yet."""
        address = self.server.address.replace(serve.FIRST_NOTEBOOK, notebook)
        self.page.goto(address, wait_until="domcontentloaded")

    def turn_away(self) -> None:
        """Leave the page for an empty one, and wait until its kernel has ended, which keeps nothing more then."""
        kernel = self.page.evaluate(KERNEL)
        self.page.goto("about:blank")
        deadline = time.monotonic() + PATIENCE / 1000
        while kernel and self.page.request.get(f"{self.server.root}/voila/api/kernels/{kernel}").ok:
            assert time.monotonic() < deadline, kernel
            time.sleep(0.05)

    def begin_anew(self) -> None:
        """Bring the first notebook back to its example, to how it looks when it is opened."""
        page = self.page
        page.set_viewport_size({"width": WIDTH, "height": HEIGHT})
        page.emulate_media(color_scheme="light")
        page.evaluate("() => document.querySelectorAll('.wb-page details').forEach(e => { e.open = false; })")
        away = page.get_by_role("button", name="Take away", exact=True)
        if away.is_visible():
            away.click()
        self.fold("Lay a capture over")
        self.turn("Open")
        self.pick("build", f"example: {EXAMPLE}")
        expect(page.get_by_role("status").filter(has_text=f"Opened {EXAMPLE}")).to_be_visible()
        self.verdict("stuck")
        self.fold("Open")
        self.turn("Adapter")
        expect(page.get_by_role("textbox", name="rated current [A]", exact=True)).to_have_value("5 A")
        page.wait_for_function("picture() !== '' && fits()", timeout=PATIENCE)

    def resize(self, width: int, height: int) -> None:
        """Make the window another size [px] and wait until the picture fits."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.wait_for_function("picture() !== '' && fits()")

    def wider(self) -> list[str]:
        """Return what stays wider than the page, but for what scrolls by itself; a picture follows a new width."""
        deadline = time.monotonic() + PATIENCE / 1000
        while True:
            found: list[str] = self.page.evaluate(
                "() => [...document.querySelectorAll('.wb-page *')].filter(e => e.getClientRects().length && "
                "!e.closest('.wb-scroll, .wb-nav') && e.getBoundingClientRect().right > innerWidth + 1)"
                ".map(e => e.className)"
            )
            if not found or time.monotonic() > deadline:
                return found
            time.sleep(0.05)

    def forget(self) -> None:
        """Take away what other pages of the folder worked on."""
        (self.work / NAME).unlink(missing_ok=True)

    def kept(self, words: str) -> None:
        """Wait until a change is on the disk, some milliseconds after it is on the page."""
        copy = self.work / NAME
        deadline = time.monotonic() + PATIENCE / 1000
        while not (copy.is_file() and words in copy.read_text()):
            assert time.monotonic() < deadline, words
            time.sleep(0.05)

    def leave(self) -> None:
        """Close the page as a reader does, so that its kernel ends."""
        context = self.page.context
        self.page.close(run_before_unload=True)
        context.close()

    def picture(self) -> str:
        return str(self.page.evaluate("picture()"))

    def changed(self, before: str) -> None:
        """Wait until the picture is another one."""
        self.page.wait_for_function("before => picture() !== '' && picture() !== before", arg=before, timeout=PATIENCE)

    def verdict(self, words: str) -> None:
        """Wait until the reading says that it turns out so."""
        expect(self.page.locator(".wb-answered .wb-words")).to_have_text(words, timeout=PATIENCE)

    def turn(self, part: str) -> None:
        """Open a part of the chain, or press a button that stays pressed."""
        button = self.page.get_by_role("button", name=part, exact=True)
        if "mod-active" not in (button.get_attribute("class") or ""):
            button.click()
        expect(button).to_have_class(re.compile("mod-active"))
        for group in (".wb-node-head", ".wb-top button"):  # of which the page lets go of the one that was pressed
            if button.and_(self.page.locator(group)).count():
                expect(self.page.locator(f"{group}.mod-active")).to_have_count(1)
        folds = any(name in (button.get_attribute("class") or "") for name in ("wb-node-head", "wb-fold"))
        told = "aria-expanded" if folds else "aria-pressed"
        expect(button).to_have_attribute(told, "true")

    def fold(self, part: str) -> None:
        """Let go of a button that stays pressed, where it is."""
        button = self.page.get_by_role("button", name=part, exact=True)
        if "mod-active" in (button.get_attribute("class") or ""):
            button.click()
        expect(button).not_to_have_class(re.compile("mod-active"))

    def settled(self) -> None:
        """Wait until what the answer rests on is said, the last that follows a change."""
        expect(self.page.locator(".wb-rests li").first).to_be_visible()

    def slider(self, name: str) -> None:
        """Focus a slider, so that keys go to it."""
        handle = self.page.get_by_role("slider", name=name, exact=True)
        handle.focus(timeout=PATIENCE)
        expect(handle).to_be_focused()

    def enter(self, name: str, text: str) -> None:
        """Type into a field and leave it by the enter key."""
        entry = self.page.get_by_role("textbox", name=name, exact=True)
        entry.fill(text, timeout=PATIENCE)
        entry.press("Enter")

    def pick(self, name: str, label: str) -> None:
        """Choose from a list, whose labels have other blanks than their values."""
        self.page.get_by_role("combobox", name=name, exact=True).select_option(value=label, timeout=PATIENCE)

    def press(self, name: str) -> None:
        """Press a button by keyboard once it can be pressed; an icon may come before its words."""
        button = self.page.get_by_role("button", name=re.compile(f"{re.escape(name)}$"))
        expect(button).to_be_enabled()
        button.focus(timeout=PATIENCE)
        expect(button).to_be_focused()
        self.page.keyboard.press("Enter")

    def answered(self, words: str) -> None:
        """Wait until a box of the open question's answer has these words in it."""
        boxes = self.page.locator(".wb-answer").filter(has_text=re.compile(re.escape(words)))
        expect(boxes.first).to_be_visible()

    def shoot(self, name: str) -> None:
        """Keep a screenshot, for somebody to look at."""
        self.page.screenshot(path=self.work / f"{name}.png")


@contextmanager
def running(server: serve.Server, log: Path) -> Iterator[None]:
    """Run a server while the block lasts."""
    process = server.start(log)
    try:
        assert serve.wait_until_ready(server, process), log.read_text()
        yield
    finally:
        process.terminate()
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            process.kill()
        process.stdin.close()


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[serve.Server, Path]]:
    # A folder whose name shows wherever words are taken for HTML; every page has to stand it.
    work, scratch = tmp_path_factory.mktemp("work") / hostile.FOLDER, tmp_path_factory.mktemp("scratch")
    work.mkdir()
    server = serve.prepare(work, scratch)
    with running(server, scratch / "log"):
        yield server, work


def make_visit(browser: Browser, server: serve.Server, work: Path, width: int = WIDTH, height: int = HEIGHT) -> Visit:
    """Return a page that was not opened yet."""
    page = browser.new_context(viewport={"width": width, "height": height}).new_page()
    page.set_default_timeout(PATIENCE)
    found = Visit(page, server, work)
    page.add_init_script(SCRIPT)
    page.on("console", lambda m: found.errors.append(m.text) if m.type == "error" else None)
    page.on("pageerror", lambda error: found.errors.append(str(error)))
    page.on("request", lambda r: found.away.append(r.url) if is_away(r.url) else None)
    page.on("websocket", lambda socket: found.away.append(socket.url) if is_away(socket.url) else None)
    return found


@pytest.fixture
def new_visit(browser: Browser) -> Callable[..., Visit]:
    """Makes a page of a server that was not opened yet."""
    return functools.partial(make_visit, browser)


@pytest.fixture
def run_server() -> Callable[..., AbstractContextManager[None]]:
    """Runs another server."""
    return running


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Iterator[None]:
    """Note which tests failed: the page that they leave is not gone on with."""
    report = yield
    item.stash[FAILED] = item.stash.get(FAILED, False) or report.failed
    return report


@dataclass
class KeptPage:
    """One tab for all tests, opened when it is first asked for: loading pages is what costs most of them.

    A browser that has shown a page has its programs ready for the next one in the same tab.
    """

    browser: Browser
    server: serve.Server
    work: Path
    visit: Visit | None = None

    def take(self) -> Visit:
        """Return the first notebook as at its beginning."""
        if self.visit is not None and serve.FIRST_NOTEBOOK in self.visit.page.url:
            self.visit.begin_anew()
            return self.visit
        visit = self._tab()
        visit.open()
        return visit

    def show(self, notebook: str, width: int, height: int) -> Visit:
        """Return a notebook on its own example, its first answer there."""
        visit = self._tab()
        visit.page.set_viewport_size({"width": width, "height": height})
        visit.forget()
        visit.go(notebook)
        expect(visit.page.locator(".wb-story details" if notebook == STORY else ".wb-answer").first).to_be_visible()
        return visit

    def _tab(self) -> Visit:
        """Return the tab, empty."""
        if self.visit is None:
            self.visit = make_visit(self.browser, self.server, self.work)
        else:
            self.visit.turn_away()
            self.visit.page.set_viewport_size({"width": WIDTH, "height": HEIGHT})
            self.visit.page.emulate_media(color_scheme="light")
        return self.visit

    @contextmanager
    def watched(self, request: pytest.FixtureRequest, ask: Callable[[], Visit]) -> Iterator[Visit]:
        """Lend what is asked for; what went wrong on it fails the test at its end, and the next gets another tab."""
        try:
            found = ask()
        except BaseException:
            self.close()
            raise
        yield found
        if request.node.stash.get(FAILED, False) or found.errors or found.away:
            self.close()
        assert found.errors == []
        assert found.away == []

    def close(self) -> None:
        """Leave the tab, with its page's farewell; the next one who asks gets another."""
        if self.visit is not None:
            self.visit.leave()
        self.visit = None


@pytest.fixture(scope="session")
def kept_page(browser: Browser, served: tuple[serve.Server, Path]) -> Iterator[KeptPage]:
    """The tab that tests share."""
    kept = KeptPage(browser, *served)
    yield kept
    kept.close()


@pytest.fixture
def visit(request: pytest.FixtureRequest, kept_page: KeptPage) -> Iterator[Visit]:
    """The first notebook with its example."""
    with kept_page.watched(request, kept_page.take) as found:
        yield found


@pytest.fixture
def notebook(request: pytest.FixtureRequest, kept_page: KeptPage) -> Iterator[Callable[..., Visit]]:
    """Opens a notebook by its name, once in a test."""
    with ExitStack() as stack:

        def open_one(name: str, width: int, height: int) -> Visit:
            return stack.enter_context(kept_page.watched(request, lambda: kept_page.show(name, width, height)))

        yield open_one


def is_away(url: str) -> bool:
    """Whether an address is on another machine."""
    parts = urllib.parse.urlsplit(url)
    return parts.scheme in ("http", "https", "ws", "wss") and parts.hostname not in ("127.0.0.1", "localhost")
