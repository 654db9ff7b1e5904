"""Kernels that end by themselves: real processes, which do nothing but wait in the place of Python."""

import asyncio
import contextlib
import os
import signal
import sys
from types import SimpleNamespace

import pytest
from voila.notebook_renderer import NotebookRenderer

from inrushlib.serve import kernels as kernels_module
from inrushlib.serve.gone import NOT_MADE
from inrushlib.serve.kernels import IN_A_ROW
from inrushlib.serve.pages import ATTEMPTS, KernelEnded, Page
from tests.own_loop import run_alone
from tests.workbook.counted_kernels import run_kernels, until

WAITS = [sys.executable, "-c", "import time; time.sleep(600)"]
ENDS = [sys.executable, "-c", ""]


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Runs a case on kernels that are such a program."""
    monkeypatch.setattr(kernels_module, "REFILL", 0.01)
    return lambda case, program=WAITS: run_kernels(case, program, tmp_path)


def there(kernels):
    """The kernels that are known and whose process lives."""
    processes = {kernel_id: kernels.process(kernel_id) for kernel_id in kernels.list_kernel_ids()}
    return {kernel_id for kernel_id, process in processes.items() if process is not None and process.poll() is None}


def test_a_spare_kernel_that_is_killed_is_taken_out_and_replaced(run):
    async def case(kernels):
        await until(lambda: len(kernels.started) == 1)
        first = kernels.started[0]
        kernels.process(first).kill()
        await until(lambda: len(kernels.started) == 2)
        await until(lambda: first not in kernels)
        assert there(kernels) == {kernels.started[1]}
        assert await kernels.start_kernel() == kernels.started[1]

    run(case)


def test_a_pages_kernel_that_is_killed_is_taken_out_and_not_started_again(run):
    async def case(kernels):
        page = await kernels.start_kernel()
        await until(lambda: len(kernels.started) == 2)
        kernels.process(page).kill()
        await until(lambda: page not in kernels)
        assert there(kernels) == {kernels.started[1]}
        assert len(kernels.started) == 2

    run(case)


def test_a_kernel_that_was_handed_out_dying_is_replaced_and_nothing_is_left_of_it(run):
    async def case(kernels):
        await until(lambda: len(kernels.started) == 1)
        process = kernels.process(kernels.started[0])
        page = await kernels.start_kernel()
        os.kill(process.pid, signal.SIGKILL)
        other = await kernels.instead_of(page)
        assert other != page
        assert page not in kernels
        await until(lambda: len(there(kernels)) == 2)  # the page's, and one to spare
        assert other in there(kernels)
        assert process.poll() is not None

    run(case)


def test_a_kernel_that_does_not_answer_is_ended_for_the_next_one(run):
    async def case(kernels):
        page = await kernels.start_kernel()
        process = kernels.process(page)
        process.send_signal(signal.SIGSTOP)
        assert await kernels.instead_of(page) != page
        assert process.poll() is not None

    run(case)


def test_a_kernel_that_does_not_hear_its_page_out_is_ended_all_the_same(run, monkeypatch):
    monkeypatch.setattr(kernels_module, "HEARING", 0.05)

    async def case(kernels):
        page = await kernels.start_kernel()
        process = kernels.process(page)
        await kernels.shutdown_kernel(page)
        assert page not in kernels
        assert process.poll() is not None

    run(case)


def test_ending_a_kernel_twice_at_once_ends_it(run):
    async def case(kernels):
        page = await kernels.start_kernel()
        await asyncio.gather(kernels.end(page), kernels.end(page), kernels.end("none"))
        assert page not in kernels

    run(case)


def test_spare_kernels_that_end_at_once_are_not_started_for_ever(run):
    async def case(kernels):
        await until(lambda: len(kernels.started) == IN_A_ROW and not kernels.list_kernel_ids())
        await asyncio.sleep(0.2)
        assert len(kernels.started) == IN_A_ROW
        await kernels.start_kernel()
        await until(lambda: len(kernels.started) > IN_A_ROW + 1)  # the page's, and one to spare

    run(case, program=ENDS)


def test_what_a_kernel_was_kept_to_say_to_its_page_goes_with_it(run):
    async def case(kernels):
        page = await kernels.start_kernel()
        stream = kernels.get_kernel(page).connect_iopub()
        ending = asyncio.ensure_future(kernels.end(page))
        await asyncio.sleep(0)  # its farewell is on the way; then the page closes its connection
        kernels._kernel_buffers[page] = {"buffer": [], "session_key": "page", "channels": {"iopub": stream}}
        await ending
        assert stream.closed()

    run(case)


class Handed:
    """In the place of the kernels: numbers them."""

    def __init__(self):
        self.asked = []

    async def instead_of(self, kernel_id):
        self.asked.append(kernel_id)
        return f"{kernel_id}'"

    def get_kernel(self, kernel_id):
        return f"manager of {kernel_id}"


@pytest.fixture
def handed():
    return Handed()


@pytest.fixture
def page(handed):
    asking = SimpleNamespace(kernel_manager=handed)
    return Page(voila_configuration=SimpleNamespace(prelaunch_hook=None), request_handler=asking)


async def all_of(pieces):
    return [piece async for piece in pieces]


@pytest.mark.parametrize("dead", [0, 1, ATTEMPTS - 1])
def test_a_page_whose_kernel_died_on_the_way_is_made_with_another(page, handed, monkeypatch, dead):
    tried = []

    async def start(self, nb, kernel_id, kernel_future):
        tried.append((kernel_id, kernel_future))
        if len(tried) <= dead:
            raise RuntimeError("Kernel died before replying to kernel_info")
        return kernel_id

    monkeypatch.setattr(NotebookRenderer, "_jinja_kernel_start", start)
    name = run_alone(page._jinja_kernel_start(None, "k", "manager of k"))
    assert name == "k" + "'" * dead
    assert len(handed.asked) == dead
    assert tried[-1] == (name, f"manager of {name}")


def test_a_page_whose_kernels_all_die_gives_up(page, handed, monkeypatch):
    async def start(self, nb, kernel_id, kernel_future):
        raise RuntimeError("Kernel died before replying to kernel_info")

    monkeypatch.setattr(NotebookRenderer, "_jinja_kernel_start", start)
    with pytest.raises(RuntimeError, match="died"):
        run_alone(page._jinja_kernel_start(None, "k", "manager of k"))
    assert len(handed.asked) == ATTEMPTS - 1


def test_a_page_that_cannot_be_made_ends_and_says_so(page, monkeypatch):
    async def pieces(self, kernel_id=None, kernel_future=None):
        yield "head", None
        raise KernelEnded(kernel_id)

    monkeypatch.setattr(NotebookRenderer, "generate_content_generator", pieces)
    assert run_alone(all_of(page.generate_content_generator("k", None))) == [("head", None), (NOT_MADE, None)]


def test_a_cell_whose_kernel_ended_is_no_answer(page, monkeypatch):
    alive = iter([True, False])
    stopped = []

    async def cells(self, nb, kernel_id):
        for cell in nb:
            yield cell

    async def is_alive():
        return next(alive)

    async def stop():
        stopped.append(True)

    monkeypatch.setattr(NotebookRenderer, "_jinja_cell_generator", cells)
    page.executor = SimpleNamespace(km=SimpleNamespace(is_alive=is_alive), kc=SimpleNamespace(stop_channels=stop))
    found = []

    async def run_cells():
        async for cell in page._jinja_cell_generator(["title", "import", "page"], "k"):
            found.append(cell)

    with contextlib.suppress(KernelEnded):
        run_alone(run_cells())
    assert found == ["title"]
    assert stopped == [True]
