"""The workbook in a real headless browser."""

import functools
import os
import re
import shutil
import subprocess
import time
import urllib.parse
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
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

    def open(self, address: str = "") -> None:
        """Open the first notebook on its example and wait for its picture, in the width that there is for it."""
        self.forget()
        self.page.goto(address or self.server.address, wait_until="domcontentloaded")
        self.page.wait_for_function("picture() !== '' && fits()", timeout=PATIENCE)

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
        """Return what is wider than the page, but for what scrolls by itself."""
        found: list[str] = self.page.evaluate(
            "() => [...document.querySelectorAll('.wb-page *')].filter(e => e.getClientRects().length && "
            "!e.closest('.wb-scroll, .wb-nav') && e.getBoundingClientRect().right > innerWidth + 1)"
            ".map(e => e.className)"
        )
        return found

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
    """The first notebook, opened when it is first asked for: what costs most of a test is a page's loading."""

    browser: Browser
    server: serve.Server
    work: Path
    visit: Visit | None = None

    def take(self) -> Visit:
        """Return the page as at its beginning."""
        if self.visit is not None and serve.FIRST_NOTEBOOK not in self.visit.page.url:
            self.close()
        if self.visit is None:
            self.visit = make_visit(self.browser, self.server, self.work)
            self.visit.open()
        else:
            self.visit.begin_anew()
        return self.visit

    def close(self) -> None:
        """Leave the page, with its farewell; the next one who asks gets another."""
        if self.visit is not None:
            self.visit.leave()
        self.visit = None


@pytest.fixture(scope="session")
def kept_page(browser: Browser, served: tuple[serve.Server, Path]) -> Iterator[KeptPage]:
    """The page that tests of the first notebook share; who opens others in its folder closes it before."""
    kept = KeptPage(browser, *served)
    yield kept
    kept.close()


@pytest.fixture
def visit(request: pytest.FixtureRequest, kept_page: KeptPage) -> Iterator[Visit]:
    """The first notebook with its example; what went wrong on the page fails the test at its end.

    Tests share one page; after one that failed it is another.
    """
    try:
        found = kept_page.take()
    except BaseException:
        kept_page.close()
        raise
    yield found
    errors, away = found.errors, found.away
    if request.node.stash.get(FAILED, False) or errors or away:
        kept_page.close()
    assert errors == []
    assert away == []


@pytest.fixture
def notebook(
    browser: Browser, served: tuple[serve.Server, Path], kept_page: KeptPage
) -> Iterator[Callable[..., Visit]]:
    """Opens a notebook by its name; what went wrong on the page fails the test at its end."""
    found = []
    kept_page.close()  # it would follow each change

    def open_one(name: str, width: int = 1280, height: int = 2400, answered: bool = True, ratio: float = 1.0) -> Visit:
        visit = make_visit(browser, *served, width, height)
        found.append(visit)
        visit.forget()
        visit.page.goto(visit.server.address.replace(serve.FIRST_NOTEBOOK, name), wait_until="domcontentloaded")
        first = ".wb-story details" if name == STORY else ".wb-answer" if answered else ".wb-margin"
        expect(visit.page.locator(first).first).to_be_visible()
        return visit

    yield open_one
    for visit in found:
        visit.leave()
    for visit in found:
        assert visit.errors == []
        assert visit.away == []


def is_away(url: str) -> bool:
    """Whether an address is on another machine."""
    parts = urllib.parse.urlsplit(url)
    return parts.scheme in ("http", "https", "ws", "wss") and parts.hostname not in ("127.0.0.1", "localhost")
