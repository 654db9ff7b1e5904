"""The served workbook where there is no room: for the server's own files, for notebooks that may be edited."""

import errno
import os
import shutil
import tempfile
from pathlib import Path

import pytest

from inrushlib import serve
from inrushlib.cli import main
from inrushlib.errors import BuildError
from inrushlib.serve import command, run
from tests.faults.disk import Disk, Step

FULL = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def no_room(*_, **__):
    raise FULL


@pytest.fixture
def temporary(tmp_path, monkeypatch):
    """The folder that stands for the system's temporary one."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize("where", ["a private file", "a template", "a folder", "the log"])
def test_a_full_temporary_folder_is_told_once_and_nothing_stays(where, temporary, desk, monkeypatch, capsys):
    if where == "a private file":
        monkeypatch.setattr("inrushlib.serve.settings.write_private", no_room)
    elif where == "a template":
        monkeypatch.setattr(Path, "write_text", no_room)
    elif where == "a folder":
        monkeypatch.setattr(Path, "mkdir", no_room)
    else:
        monkeypatch.setattr(command.Server, "start", no_room)
    before = {path.name for path in desk.iterdir()}
    assert main(["workbook", "--no-browser"]) == 2
    said = capsys.readouterr()
    (line,) = said.err.splitlines()
    assert line == (
        f"{temporary}: the server's own files cannot be written: No space left on device; "
        "accepted: TMPDIR, a folder with room"
    )
    assert "http" not in said.out
    assert {path.name for path in desk.iterdir()} == before


def test_no_temporary_folder_at_all_is_told(desk, monkeypatch, capsys):
    monkeypatch.setattr(tempfile, "mkdtemp", no_room)
    assert main(["workbook", "--no-browser"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "the server's own files cannot be written: No space left on device; accepted: TMPDIR" in line


def test_without_room_for_the_browsers_file_the_address_stands_all_the_same(tmp_path, monkeypatch, capsys):
    class Process:
        returncode = 0

        def wait(self, *_):
            return 0

        def terminate(self):
            """It has ended."""

        stdin = None

    monkeypatch.setattr(command.Server, "start", lambda *_: Process())
    monkeypatch.setattr(run, "wait_until_ready", lambda *_: True)
    monkeypatch.setattr(run, "show", no_room)
    monkeypatch.setattr(run, "_ignore", lambda: None)
    (tmp_path / "log").write_text("")
    server = command.Server([], {}, tmp_path, "http://127.0.0.1:1/page?token=t")
    assert run._run(server, tmp_path, True, lambda: None) == run.ENDED_BY_ITSELF
    said = capsys.readouterr()
    assert "Workbook at http://127.0.0.1:1/page?token=t" in said.out
    assert "the browser is not opened" in said.err
    assert "No space left on device" in said.err


@pytest.fixture
def packed(tmp_path, monkeypatch):
    """Notebooks as an installed package has them."""
    folder = tmp_path / "_workbook"
    (folder / "builds").mkdir(parents=True)
    for name in (serve.FIRST_NOTEBOOK, "builds/tide_board_never_starts.toml"):
        shutil.copy(serve.workbook_folder() / name, folder / name)
    monkeypatch.setattr("inrushlib.serve.notebooks.workbook_folder", lambda: folder)
    return folder


@pytest.mark.parametrize("number", [1, 2])
def test_notebooks_for_editing_are_copied_whole_or_not_at_all(number, packed, tmp_path, monkeypatch):
    work = tmp_path / "work"
    work.mkdir()
    with monkeypatch.context() as patch:
        Disk(patch, number, Step.WRITE)
        with pytest.raises(BuildError, match=r"cannot be written: No space left on device; accepted: "):
            serve.own_copy(work)
    assert len([path for path in work.rglob("*") if path.is_file()]) == number - 1
    copy = serve.own_copy(work)
    for path in packed.rglob("*.*"):
        assert (copy / path.relative_to(packed)).read_bytes() == path.read_bytes()


def test_a_folder_for_the_notebooks_that_cannot_be_made_is_told(packed, tmp_path):
    (tmp_path / serve.COPY).write_text("a file stands there")
    with pytest.raises(BuildError, match=r"inrush-workbook: cannot be made: .*; accepted: a start in a folder"):
        serve.own_copy(tmp_path)
    assert (tmp_path / serve.COPY).read_text() == "a file stands there"


def test_a_page_that_cannot_be_made_says_what_may_be_full(tmp_path):
    """The server's own page for it says a number; ours fills the place that this page leaves for words."""
    from jupyter_core.paths import jupyter_path

    serve.prepare(tmp_path, tmp_path / "scratch")
    page = (tmp_path / "scratch/share/voila/templates/inrush/500.html").read_text()
    assert "folder for temporary files full" in page
    assert page.startswith('{% extends "error.html" %}\n{% block error_detail %}')
    theirs = [Path(folder) / "base" / "error.html" for folder in jupyter_path("voila", "templates")]
    assert any("{% block error_detail %}" in path.read_text() for path in theirs if path.is_file())
