"""Kernels that are forked: real processes, of a template that has no pages to load."""

import ast
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from inrushlib.serve.forked import ForkedProcess, Template, can_fork
from inrushlib.serve.kernels import Kernels
from tests.kernel_processes import is_kernel
from tests.workbook.counted_kernels import WITHIN, run_kernels, until

PROC = Path("/proc")
KERNEL = ["python", "-m", "ipykernel_launcher", "-f", "{connection_file}"]
LOADS = "def get_ready():\n    pass\ndef in_steps():\n    yield\n"
BROKEN = "open('tried', 'a').write('.')\nraise ImportError\n"
THREAD = """import threading
def get_ready():
    threading.Thread(target=threading.Event().wait, daemon=True).start()
def in_steps():
    get_ready()
    yield
"""
SLOW = """import pathlib, time
def get_ready():
    pass
def note(word):
    with open("loaded", "a") as file:
        file.write(word)
noted = iter(["first "])
def in_steps():
    note(next(noted, ""))
    yield
    while not pathlib.Path("go on").exists():
        time.sleep(0.01)
    note("later ")
"""
SERVER = """import asyncio, time
from inrushlib.serve.forked import Template
template = Template()
forked = asyncio.run(template.fork([], {"IPYTHONDIR": ".", "JUPYTER_RUNTIME_DIR": "."}, "."))
print(template.process.pid, forked.pid, flush=True)
time.sleep(600)
"""
needs_fork = pytest.mark.skipif(not can_fork(), reason="this system cannot fork kernels")


@pytest.fixture
def pages(tmp_path, monkeypatch):
    """Takes a text in the place of the pages' code, and makes this folder that of the start."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path / "ipython"))
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{Path(__file__).parents[2]}")
    return lambda text: (tmp_path / "widgets.py").write_text(text)


@pytest.fixture
def run(tmp_path, pages):
    """Runs a case on such kernels."""

    def run_case(case, text=LOADS, begin=lambda: None):
        pages(text)
        begin()
        run_kernels(case, KERNEL, tmp_path)

    return run_case


async def evaluate(kernels, kernel_id, *expressions):
    """Return what a kernel takes expressions for."""
    client = kernels.get_kernel(kernel_id).client()
    client.start_channels()
    await client.wait_for_ready(timeout=WITHIN)
    asked = {text: text for text in expressions}
    answer = await client.execute(
        "import os, random, signal, numpy", user_expressions=asked, reply=True, timeout=WITHIN
    )
    client.stop_channels()
    found = answer["content"]["user_expressions"]
    return [ast.literal_eval(found[text]["data"]["text/plain"]) for text in expressions]


@needs_fork
def test_forked_kernels_run_in_the_environment_and_folder_asked_for_each_with_its_own_chance(run, tmp_path):
    async def case(kernels):
        pages = [await kernels.start_kernel(env={**os.environ, "MARK": "a page's"}), await kernels.start_kernel()]
        asked = "os.environ.get('MARK')", "os.getcwd()", "os.getsid(0)", "signal.getsignal(signal.SIGCHLD) == 0"
        found = await evaluate(kernels, pages[0], *asked)
        assert found == ["a page's", str(tmp_path), kernels.process(pages[0]).pid, True]
        drawn = [await evaluate(kernels, page, "random.random()", "float(numpy.random.random())") for page in pages]
        assert len({number for numbers in drawn for number in numbers}) == 4

    run(case)


@needs_fork
def test_a_forked_kernel_is_there_until_it_is_ended_and_leaves_nothing_behind(run):
    async def case(kernels):
        told, killed = await kernels.start_kernel(), await kernels.start_kernel()
        processes = [kernels.process(page) for page in (told, killed)]
        assert all(isinstance(process, ForkedProcess) and process.poll() is None for process in processes)
        await evaluate(kernels, told, "1")
        await until(lambda: all(is_kernel(PROC / str(process.pid)) for process in processes))
        await kernels.shutdown_kernel(told)
        processes[1].send_signal(signal.SIGKILL)
        await until(lambda: all(process.poll() is not None for process in processes))
        await until(lambda: not any((PROC / str(process.pid)).exists() for process in processes))
        processes[1].send_signal(signal.SIGKILL)  # which finds nobody, and whoever has its number now is let alone

    run(case)


@needs_fork
def test_a_kernel_outlives_its_template_and_the_next_one_has_another(run):
    async def case(kernels):
        first = await kernels.start_kernel()
        template = kernels.template.process.pid
        os.kill(template, signal.SIGKILL)
        assert await evaluate(kernels, first, "1") == [1]
        for _ in range(2):  # the spare one may have been forked before
            page = await kernels.start_kernel()
            assert isinstance(kernels.process(page), ForkedProcess)
        assert kernels.template.process.pid != template
        assert not (PROC / str(template)).exists()
        assert kernels.process(first).poll() is None

    run(case)


@pytest.mark.parametrize("text", [BROKEN, THREAD], ids=["does not load", "has a thread"])
def test_a_template_that_cannot_fork_leaves_kernels_to_be_started_as_usual_and_is_not_tried_again(run, text, tmp_path):
    async def case(kernels):
        for _ in range(2):
            page = await kernels.start_kernel()
            assert isinstance(kernels.process(page), subprocess.Popen)
        assert await evaluate(kernels, page, "1") == [1]
        assert kernels.template.process is None
        if text == BROKEN:
            assert (tmp_path / "tried").read_text() == "."

    run(case, text)


@needs_fork
def test_what_is_needed_later_holds_no_kernel_up(run, tmp_path):
    async def case(kernels):
        page = await kernels.start_kernel()
        assert isinstance(kernels.process(page), ForkedProcess)
        assert (tmp_path / "loaded").read_text() == "first "
        (tmp_path / "go on").touch()
        await until(lambda: (tmp_path / "loaded").read_text() == "first later ")

    run(case, SLOW)


@needs_fork
def test_the_template_that_was_begun_before_the_server_had_loaded_forks_the_first_kernel(run, monkeypatch):
    begun = Template()
    monkeypatch.setattr(Kernels, "loading", begun)

    async def case(kernels):
        loading = begun.process
        assert isinstance(kernels.process(await kernels.start_kernel()), ForkedProcess)
        assert kernels.template.process is loading
        begun.load()  # there is one
        assert begun.process is loading

    run(case, begin=begun.load)


def test_a_system_without_a_handle_for_processes_starts_kernels_as_usual(run, monkeypatch):
    monkeypatch.delattr(os, "pidfd_open", raising=False)
    without = Template()
    without.load()
    assert without.process is None

    async def case(kernels):
        assert isinstance(kernels.process(await kernels.start_kernel()), subprocess.Popen)
        assert kernels.template.process is None

    run(case)


@needs_fork
def test_template_and_kernels_end_with_their_server_however_that_ended(pages):
    pages(LOADS)
    server = subprocess.Popen([sys.executable, "-c", SERVER], stdout=subprocess.PIPE, text=True)
    pids = server.stdout.readline().split()
    assert all((PROC / pid).exists() for pid in pids)
    server.kill()
    server.communicate()
    ended = threading.Event()
    for _ in range(20 * WITHIN):
        if not any((PROC / pid).exists() for pid in pids):
            return
        ended.wait(0.05)
    pytest.fail(f"still there: {pids}")
