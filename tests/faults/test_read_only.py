"""A folder in which nothing can be made: commands and pages answer, and say what they could not write."""

import ctypes
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.writing import CALLS

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="asks Linux to hold root to a folder's mode")

ROOT = Path(__file__).resolve().parents[2]
DROP, WRITES_ANYTHING = 24, 1  # PR_CAPBSET_DROP and CAP_DAC_OVERRIDE of Linux (prctl(2), capabilities(7))

MADE = "plans: cannot be made: Permission denied; accepted: a folder that is there or may be made"
WRITTEN = "cannot be written: Permission denied; accepted: a new name or a file that may be written, in a folder"

COMMAND = "import sys; from inrushlib.cli import main; print(main(sys.argv[1:]), file=sys.stderr)"
PAGE = f"""
import sys
sys.path.insert(0, {str(ROOT / "workbook")!r})
from pathlib import Path
from widgets.boot_page import BootPage
page = BootPage(threaded=False)
page.state.load("tiny.toml")
page.state.change({{"lead.length": 3.0}})
print(page.state.build.lead.length, page.state.start.build == page.state.build)
print(page.state.problem)
print(page.state.save("tiny.toml"), page.state.save("new.toml"))
print(page.state.problem)
"""


def as_anyone():
    """Let root be held to what a folder's mode says, as anyone else is."""
    if os.geteuid() == 0 and ctypes.CDLL(None).prctl(DROP, WRITES_ANYTHING, 0, 0, 0):
        raise PermissionError  # not even that may be given up


@pytest.fixture
def closed(desk):
    """The desk, in which nothing can be made or removed."""
    desk.chmod(0o555)
    yield desk
    desk.chmod(0o755)


def run(program, folder, *words):
    """Run a program in a folder, in a process that may not write everywhere; what it printed, a line each."""
    environment = {**os.environ, "INRUSH_FOLDER": str(folder)}
    command = [sys.executable, "-c", program, *words]
    try:
        done = subprocess.run(
            command, cwd=folder, env=environment, preexec_fn=as_anyone, check=False, capture_output=True, text=True,
            timeout=300,
        )  # fmt: skip
    except subprocess.SubprocessError:
        pytest.skip("root cannot be held to a folder's mode here")
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines(), done.stderr.splitlines()


@pytest.mark.parametrize(
    ("words", "told"),  # one of each kind: a table and a picture, a build with its log, builds in a folder
    [
        (CALLS["check"].words, [f"a.csv: {WRITTEN}", f"a.png: {WRITTEN}"]),
        (CALLS["guide"].words, [f"tiny.measured.toml: {WRITTEN}"]),
        ("remedies stuck.toml --no-odds --save-all plans", [MADE]),
    ],
    ids=["check", "guide", "remedies"],
)
def test_a_command_answers_and_says_what_it_could_not_write(words, told, closed):
    before = {path.name: path.read_bytes() for path in closed.iterdir()}
    said, errors = run(COMMAND, closed, *shlex.split(words))
    assert {path.name: path.read_bytes() for path in closed.iterdir()} == before
    problems = [line for line in errors if ": cannot be " in line]
    assert [line.startswith(words) for line, words in zip(problems, told, strict=True)] == [True] * len(told)
    assert errors[-1] == "2"
    assert len(said) > 8  # it has answered all the same


def test_a_page_goes_on_and_says_what_it_cannot_keep_or_save(closed):
    before = {path.name: path.read_bytes() for path in closed.iterdir()}
    said, _ = run(PAGE, closed)
    assert said[0] == "3.0 True"
    assert said[1].startswith("changes live only as long as this page: ")
    assert "cannot be written: Permission denied" in said[1]
    assert said[2] == "False False"
    assert said[3].startswith("new.toml: cannot be written: Permission denied; accepted: ")
    assert {path.name: path.read_bytes() for path in closed.iterdir()} == before
