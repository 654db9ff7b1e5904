"""The served workbook as a process: who can read its token, and what is left when it ends.

What runs is read from /proc, so these tests need Linux.
"""

import os
import re
import signal
import stat
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from inrushlib.serve.held import hold, is_held
from tests.kernel_processes import is_kernel

PROC = Path("/proc")
pytestmark = pytest.mark.skipif(not PROC.is_dir(), reason="reads /proc")
PATIENCE = 300.0  # [s]; only a fault takes so long
COMMAND = "import sys; from inrushlib.cli import main; sys.exit(main(sys.argv[1:]))"
BROWSER = """#!/bin/sh
path="${1#file://}"
printf '%s\\n' "$@" > "$REPORT.arguments"
stat -c '%a' "$path" "$(dirname "$path")" > "$REPORT.modes"
cp "$path" "$REPORT.page"
mv "$REPORT.page" "$REPORT"
sleep 600
"""


class Workbook:
    """A running command, and every process that came of it: they all inherit its folder for temporary files."""

    def __init__(self, work, temporary, *arguments, **environment):
        self.work, self.temporary = work, temporary
        self.temporary.mkdir()
        self.mark = f"TMPDIR={self.temporary}".encode()
        self.command = subprocess.Popen(
            [sys.executable, "-c", COMMAND, "workbook", *arguments], cwd=self.work, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, text=True, env={**os.environ, "TMPDIR": str(self.temporary), **environment},
        )  # fmt: skip
        self.address = ""

    def wait_for_its_address(self):
        for line in self.command.stdout:
            if found := re.search(r"http://127\.0\.0\.1:\d+/\S+token=\w+", line):
                self.address = found[0]
                return
        raise AssertionError(self.command.stderr.read())

    @property
    def token(self):
        return self.address.rpartition("token=")[2].encode()

    def open_a_page(self):
        """Have a notebook run, as a browser does; its kernel stays."""
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(self.address, timeout=PATIENCE) as answer:
            assert b"jupyter-config-data" in answer.read()

    def running(self, words=b""):
        """Return process numbers with these words among the arguments."""
        return {
            int(entry.name) for entry in PROC.iterdir()
            if entry.name.isdigit() and self.mark in read(entry / "environ").split(b"\0") and words in arguments(entry)
        }  # fmt: skip

    def kernels(self):
        return {pid for pid in self.running() if is_kernel(PROC / str(pid))}

    def close(self):
        for pid in self.running():
            os.kill(pid, signal.SIGKILL)
        self.command.kill()
        self.command.communicate()


def read(path):
    try:
        return path.read_bytes()
    except OSError:
        return b""  # it ended meanwhile, or is another user's


def arguments(entry):
    return read(entry / "cmdline")


def wait_until(condition):
    end = time.monotonic() + PATIENCE
    while not condition() and time.monotonic() < end:
        time.sleep(0.05)
    assert condition()


@pytest.fixture(autouse=True)
def signals_not_ignored():
    """A test run in the background, or one that outlives its terminal, ignores some; commands would inherit that."""
    before = {
        signal.SIGINT: signal.signal(signal.SIGINT, signal.default_int_handler),
        signal.SIGHUP: signal.signal(signal.SIGHUP, signal.SIG_DFL),
    }
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture
def workbook(tmp_path):
    """Starts servers, all of one folder."""
    started, work = [], tmp_path / "work"
    work.mkdir()

    def start(*words, **environment):
        temporary = tmp_path / f"temporary{len(started)}"
        started.append(Workbook(work, temporary, *words, **environment))
        return started[-1]

    yield start
    for each in started:
        each.close()


def test_no_process_has_the_token_among_its_arguments(workbook, tmp_path):
    browser, report = tmp_path / "browser", tmp_path / "report"
    browser.write_text(BROWSER)
    browser.chmod(0o755)
    running = workbook(BROWSER=str(browser), REPORT=str(report))
    seen = set()

    def opened():
        seen.update(arguments(entry) for entry in PROC.iterdir() if entry.name.isdigit())
        return report.exists()

    wait_until(opened)
    running.wait_for_its_address()
    running.open_a_page()
    assert opened()
    assert running.running(b"inrushlib.serve.child")
    assert running.kernels()
    assert any(str(browser).encode() in words for words in seen)
    assert running.token
    assert not [words for words in seen if running.token in words]
    assert not [pid for pid in running.running() if running.token in read(PROC / str(pid) / "environ")]
    assert running.token.decode() in report.read_text()
    assert Path(f"{report}.arguments").read_text().startswith("file://")
    assert Path(f"{report}.modes").read_text().split() == ["600", "700"]
    end(running, signal.SIGINT, 0, apart=(str(browser).encode(), b"sleep"))


def end(running, number, status, apart=()):
    """End the command; nothing is left of it, apart from a browser that it opened."""
    running.command.send_signal(number)
    assert running.command.wait(PATIENCE) == status
    wait_until(lambda: not running.running().difference(*(running.running(words) for words in apart)))
    wait_until(lambda: not list(running.temporary.iterdir()))
    assert not list(running.work.iterdir())


# What Ctrl-C ends is seen above, for a server takes ten seconds of processor time to come and go.
def test_a_killed_command_takes_server_and_kernels_with_it(workbook):
    running = workbook("--no-browser")
    running.wait_for_its_address()
    running.open_a_page()
    wait_until(running.kernels)
    assert len(running.kernels()) <= 2  # the page's, and the next to spare
    template = min(running.running(b"inrushlib.serve.template"))  # it was there before what it forks
    # What another thread locks, a kernel finds locked. Those of linear algebra end before each fork, by its own doing.
    wait_until(lambda: len(list((PROC / str(template) / "task").iterdir())) == 1)
    end(running, signal.SIGKILL, -signal.SIGKILL)


def test_of_two_servers_of_one_folder_one_goes_on_where_the_other_is_hung_up(workbook):
    one, other = workbook("--no-browser"), workbook("--no-browser")
    for each in (one, other):
        each.wait_for_its_address()
        wait_until(each.kernels)
    end(one, signal.SIGHUP, 129)
    other.open_a_page()
    end(other, signal.SIGTERM, 143)


def test_a_server_that_ends_by_itself_is_told_and_leaves_no_kernel(workbook):
    running = workbook("--no-browser")
    running.wait_for_its_address()
    running.open_a_page()
    (server,) = running.running(b"inrushlib.serve.child")
    os.kill(server, signal.SIGKILL)
    assert running.command.wait(PATIENCE) == 3
    assert "ended by itself (killed by signal 9)" in running.command.stderr.read()
    wait_until(lambda: not running.running())
    assert not list(running.temporary.glob("inrush-*"))


def test_the_log_counts_as_held_until_the_last_process_that_writes_it_has_ended(tmp_path):
    child = "import subprocess, sys; subprocess.Popen([sys.executable, '-c', 'input()'], start_new_session=True)"
    log = tmp_path / "log"
    with log.open("wb") as output:
        hold(output)
        started = subprocess.Popen([sys.executable, "-c", child], stdin=subprocess.PIPE, stdout=output, stderr=output)
    assert started.wait(PATIENCE) == 0
    with log.open("rb") as file:
        assert is_held(file)
        started.stdin.close()  # by which the second process ends
        wait_until(lambda: not is_held(file))


def test_a_hang_up_that_is_ignored_stays_ignored(workbook):
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)  # as a command that is to outlive its terminal is started
    try:
        running = workbook("--no-browser")
    finally:
        signal.signal(signal.SIGHUP, before)
    running.wait_for_its_address()
    running.command.send_signal(signal.SIGHUP)
    with pytest.raises(subprocess.TimeoutExpired):
        running.command.wait(1)
    running.command.terminate()
    assert running.command.wait(PATIENCE) == 143


def test_a_private_file_is_never_written_into_one_that_others_can_read(tmp_path):
    from inrushlib.serve.settings import write_private

    path = tmp_path / "open.html"
    path.write_text("")
    path.chmod(0o666)
    write_private(path, "words")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert path.read_text() == "words"
