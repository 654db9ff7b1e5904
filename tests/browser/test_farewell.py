"""A kernel lives as long as its page, and one more is kept to spare: counted among this machine's processes."""

import time
from pathlib import Path

import pytest

from inrushlib import serve

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


def test_a_page_that_is_closed_left_or_loaded_anew_ends_its_kernel(served, kept_page, new_visit):
    server, work = served
    kept_page.close()
    closed, left = new_visit(server, work), new_visit(server, work)
    for visit in (closed, left):
        visit.open()
    wait_for(work, 2)
    closed.leave()
    wait_for(work, 1)
    before = kernels(work)
    for _ in range(2):  # quicker than the spare one is made anew
        left.open()
    wait_for(work, 1)
    assert not before <= kernels(work)
    assert left.errors == []
    left.page.goto("about:blank")
    wait_for(work, 0)
    left.page.context.close()


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
