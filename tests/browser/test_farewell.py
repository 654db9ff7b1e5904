"""A kernel lives as long as its page, and one more is kept to spare: counted among this machine's processes."""

import re
import time
from pathlib import Path

import pytest

from inrushlib import serve

PROC = Path("/proc")
SPARE = 1
pytestmark = [pytest.mark.browser, pytest.mark.skipif(not PROC.is_dir(), reason="reads /proc")]


def kernels(work):
    """Return the process numbers of the kernels of the server that was started in this folder."""
    found = set()
    for entry in PROC.iterdir():
        try:
            mine = f"INRUSH_FOLDER={work}".encode() in (entry / "environ").read_bytes().split(b"\0")
            if mine and b"ipykernel_launcher" in (entry / "cmdline").read_bytes():
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


@pytest.fixture
def served_here(tmp_path, run_server):
    """Starts a server whose kernels are ended after a time without a page, looked for every second."""
    running = []

    def start(idle):
        work, scratch = tmp_path / "work", tmp_path / "scratch"
        work.mkdir()
        scratch.mkdir()
        server = serve.prepare(work, scratch)
        for i, word in enumerate(server.command):
            word = re.sub(r"(cull_idle_timeout=)\d+", rf"\g<1>{idle}", word)
            server.command[i] = re.sub(r"(cull_interval=)\d+", r"\g<1>1", word)
        running.append(run_server(server, scratch / "log"))
        running[0].__enter__()
        return server, work

    yield start
    running[0].__exit__(None, None, None)


def test_a_page_that_is_closed_left_or_loaded_anew_ends_its_kernel(served_here, new_visit):
    server, work = served_here(idle=3600)
    pages = []
    for _ in range(3):
        pages.append(new_visit(server, work))
        pages[-1].open()
    wait_for(work, 3)
    pages[0].page.close(run_before_unload=True)
    wait_for(work, 2)
    pages[1].page.goto("about:blank")
    wait_for(work, 1)
    before = kernels(work)
    pages[2].open()
    wait_for(work, 1)
    assert not before <= kernels(work)
    for _ in range(3):  # quicker than the spare one is made anew
        pages[2].open()
    wait_for(work, 1)
    assert pages[2].errors == []
    for visit in pages:
        visit.page.context.close()


def test_a_page_that_died_without_a_word_loses_its_kernel_and_an_idle_one_keeps_it(served_here, new_visit):
    server, work = served_here(idle=4)
    kept = new_visit(server, work)
    kept.open()
    dying = new_visit(server, work)
    dying.open()
    wait_for(work, 2)
    dying.page.context.close()  # closes the page without its farewell
    wait_for(work, 1)
    time.sleep(8)  # twice the time without a page
    assert len(kernels(work)) == 1 + SPARE
    before = kept.picture()
    kept.slider("rated current [A]")
    kept.page.keyboard.press("PageUp")
    kept.changed(before)
    assert kept.errors == []
    kept.page.context.close()
