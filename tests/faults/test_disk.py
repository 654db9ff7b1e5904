"""A disk that is full or read-only, at every write of every command that writes."""

import argparse
import errno
import itertools
import os
import shlex
from pathlib import Path

import pytest

from inrushlib.build import parse_build, save_build
from inrushlib.cli import commands, main
from inrushlib.errors import BuildError
from inrushlib.files import write_together
from inrushlib.measurements import log_beside
from tests.faults.disk import Disk, Step
from tests.faults.writing import CALLS, TINY

LOG = """[[measured]]
key = "bus.bulk"
value = "470 uF"
low = "400 uF"
level = 0.95
how = "bench"
source = "meter"
day = 2026-03-01
modelled = "470 uF"
"""
STEPS = dict(zip(CALLS, itertools.cycle(Step)))  # each at another step of a write


def lay_out(call):
    """Something old in the place of every output; returns what stands in each file of the desk."""
    for name in call.outputs:
        Path(name).parent.mkdir(exist_ok=True)
        if name.endswith(".measured.toml"):
            Path(name).write_text(LOG)
        elif not Path(name).exists():
            Path(name).write_text("old")
    return contents()


def contents():
    """Every file below this folder, hidden ones included."""
    return {str(path): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", CALLS)
def test_a_full_disk_changes_no_file_and_is_told_once_for_each(name, desk, monkeypatch, capsys):
    call = CALLS[name]
    before = lay_out(call)
    Disk(monkeypatch, None, STEPS[name])
    assert main(shlex.split(call.words)) == 2
    said = capsys.readouterr()
    assert contents() == before
    told = [line for line in said.err.splitlines() if ": cannot be written: " in line]
    assert sorted(line.partition(": ")[0] for line in told) == sorted(call.outputs[: call.told])
    assert all("No space left on device; accepted: " in line for line in told)
    assert "Traceback" not in said.err
    assert said.out.strip()  # the answer has been given all the same


@pytest.mark.parametrize("name", ["check", "guide"])
def test_a_read_only_folder_is_told(name, desk, monkeypatch, capsys):
    call = CALLS[name]
    before = lay_out(call)
    Disk(monkeypatch, None, Step.OPEN, errno.EROFS)
    assert main(shlex.split(call.words)) == 2
    assert contents() == before
    assert capsys.readouterr().err.count("cannot be written: Read-only file system; accepted: ") == call.told


@pytest.mark.parametrize("number", [1, 2])
def test_one_output_that_fails_keeps_no_other_back(number, desk, monkeypatch, capsys):
    lay_out(CALLS["check"])
    Disk(monkeypatch, number, Step.WRITE)
    assert main(shlex.split(CALLS["check"].words)) == 2
    kept, written = CALLS["check"].outputs[number - 1], CALLS["check"].outputs[2 - number]
    assert (Path(kept).read_text(), Path(written).read_bytes() == b"old") == ("old", False)
    (line,) = [line for line in capsys.readouterr().err.splitlines() if "cannot be written" in line]
    assert line.startswith(kept)


@pytest.mark.parametrize("step", [Step.OPEN, Step.WRITE, Step.SYNC])
@pytest.mark.parametrize("number", [1, 2])
def test_readings_change_the_build_and_its_log_or_neither(number, step, desk, monkeypatch):
    before = lay_out(CALLS["guide"])
    with monkeypatch.context() as patch:
        Disk(patch, number, step)
        assert main(shlex.split(CALLS["guide"].words)) == 2
    assert contents() == before
    main(shlex.split(CALLS["guide"].words))
    after = contents()
    assert {name for name in after if after[name] != before[name]} == {"tiny.toml", "tiny.measured.toml"}


@pytest.mark.parametrize("step", Step)
@pytest.mark.parametrize("beside", [False, True], ids=["one name", "two names"])
def test_every_step_of_saving_a_build(step, beside, desk, monkeypatch):
    if beside:
        os.link("tiny.toml", "other name")
        if step is Step.RENAME:
            pytest.skip("a file of two names is overwritten, not replaced")
    before = contents()
    changed = parse_build(TINY).with_values({"adapter.rated_current": 9})
    with monkeypatch.context() as patch:
        Disk(patch, None, step)
        with pytest.raises(BuildError, match=r"tiny\.toml: cannot be written: No space left on device"):
            save_build(changed, "tiny.toml")
    assert contents() == before


def test_a_read_only_file_keeps_those_that_go_with_it_as_they_are(desk):
    Path("log").write_text("old")
    Path("tiny.toml").chmod(0o444)
    with pytest.raises(BuildError, match=r"tiny\.toml: cannot be written: it is read-only"):
        write_together({"log": "new", "tiny.toml": "new"})
    assert (Path("log").read_text(), Path("tiny.toml").read_text()) == ("old", TINY)


def test_every_command_that_writes_is_called_here():
    writing = set()
    for name in commands.SUBCOMMANDS:
        (group,) = (a for a in commands.parser(name)._actions if isinstance(a, argparse._SubParsersAction))
        if group.choices[name].get_default("outputs"):
            writing.add(name)
    assert writing | {"guide"} == {call.words.split()[0] for call in CALLS.values()}
    assert log_beside("tiny.toml").name in CALLS["guide"].outputs
