"""A kernel lives as long as its page, and one more is kept to spare: counted among this machine's processes."""

import contextlib
import os
import signal
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect

from inrushlib import serve
from inrushlib.serve.gone import Gone

from ..kernel_processes import is_kernel

PROC = Path("/proc")
SPARE = 1
IDLE = 15  # [s] without a page, after which a kernel is ended: long enough for a page to be built on a busy machine
pytestmark = [pytest.mark.browser, pytest.mark.skipif(not PROC.is_dir(), reason="reads /proc")]


def kernels(work):
    """Return the process numbers of the kernels of the server that was started in this folder."""
    found = set()
    for entry in PROC.iterdir():
        try:
            mine = f"INRUSH_FOLDER={work}".encode() in (entry / "environ").read_bytes().split(b"\0")
            if mine and is_kernel(entry):
                found.add(int(entry.name))
        except (OSError, ValueError):
            continue  # no process, or one that has ended
    return found


def wait_for(work, pages, within=60):
    """Wait until there is a kernel for each page, and the spare one."""
    end = time.monotonic() + within
    while len(kernels(work)) != pages + SPARE and time.monotonic() < end:
        time.sleep(0.1)
    assert len(kernels(work)) == pages + SPARE


def test_a_page_that_is_closed_left_or_loaded_anew_ends_its_kernel(visit, new_visit):
    work = visit.work
    other = new_visit(visit.server, work)
    other.open()
    wait_for(work, 2)
    other.leave()  # closed
    wait_for(work, 1)
    before = kernels(work)
    for _ in range(2):  # loaded anew, quicker than the spare one is made anew
        visit.open()
    wait_for(work, 1)
    assert not before <= kernels(work)
    visit.page.goto("about:blank")  # left
    wait_for(work, 0)


def test_a_page_that_died_without_a_word_loses_its_kernel_and_an_idle_one_keeps_it(tmp_path, new_visit, run_server):
    work, scratch = tmp_path / "work", tmp_path / "scratch"
    work.mkdir()
    scratch.mkdir()
    server = serve.prepare(work, scratch, idle=IDLE, looking=1)
    with run_server(server, scratch / "log"):
        kept, dying = new_visit(server, work), new_visit(server, work)
        kept.open()
        dying.open()
        wait_for(work, 2)
        before = kept.picture()
        dying.page.context.close()  # closes the page without its farewell
        wait_for(work, 1, within=120)  # so long nobody did anything on the other one either
        kept.slider("rated current [A]")
        kept.page.keyboard.press("PageUp")
        kept.changed(before)
        assert kept.errors == []
        kept.page.context.close()


def kill_all(work):
    """Kill the kernels, the pages' and the spare one: none of them can say farewell."""
    for kernel in kernels(work):
        with contextlib.suppress(ProcessLookupError):  # one that was about to end
            os.kill(kernel, signal.SIGKILL)


@pytest.fixture
def changed(visit):
    """A page with a change that nobody saved."""
    visit.enter("rated current [A]", "12")
    visit.verdict("boots")
    visit.kept("12 A")
    return visit


def has_change(visit):
    """Wait until the page is there, with the change."""
    visit.verdict("boots")
    expect(visit.page.get_by_role("textbox", name="rated current [A]", exact=True)).to_have_value("12 A")


def test_a_change_survives_kernels_that_are_killed(changed):
    kill_all(changed.work)
    changed.page.reload(wait_until="domcontentloaded")
    has_change(changed)
    wait_for(changed.work, 1)
    changed.errors.clear()  # what the browser says of a kernel that was killed


def test_a_page_whose_kernel_was_killed_says_so_and_loads_again(changed):
    kill_all(changed.work)
    expect(changed.page.get_by_role("alert").filter(has_text=Gone.ENDED.words)).to_be_visible()
    changed.page.get_by_role("button", name="Load the page again").click()
    has_change(changed)
    expect(changed.page.get_by_role("alert")).to_have_count(0)
    wait_for(changed.work, 1)
    changed.errors.clear()
