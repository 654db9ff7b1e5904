"""Serving, as far as it goes without a server."""

import importlib.util
import os
import re
import shutil
import signal
import socket
import subprocess
import sys

import pytest

from inrushlib import launch
from inrushlib.errors import BuildError


def test_notebooks_are_found_and_the_default_build_is_one_of_them():
    folder = launch.workbook_folder()
    assert (folder / launch.FIRST_NOTEBOOK).is_file()
    assert launch.default_build().title == "Tide board on a 5 A adapter"


def test_what_is_missing_is_named_with_the_way_to_get_it(monkeypatch, tmp_path):
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "voila" else find(name))
    with pytest.raises(BuildError, match=r"the workbook needs voila; accepted: pip install 'inrushlib\[workbook\]'"):
        launch.prepare(tmp_path, tmp_path)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_port_that_is_none_is_refused(tmp_path, port):
    with pytest.raises(BuildError, match=f"--port {port}; accepted: 1 to 65535"):
        launch.prepare(tmp_path, tmp_path, port=port)


def test_a_port_in_use_is_refused(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(BuildError, match=f"--port {port}: cannot be served on"):
            launch.prepare(tmp_path, tmp_path, port=port)


def test_an_edited_copy_is_never_overwritten(monkeypatch, tmp_path, capsys):
    packed, work, scratch = tmp_path / "_workbook", tmp_path / "work", tmp_path / "scratch"
    shutil.copytree(launch.workbook_folder(), packed, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(launch, "workbook_folder", lambda: packed)
    work.mkdir()
    launch.prepare(work, scratch, lab=True)
    copy = work / launch.COPY / launch.FIRST_NOTEBOOK
    assert copy.read_bytes() == (packed / launch.FIRST_NOTEBOOK).read_bytes()
    copy.write_text("mine")
    launch.prepare(work, scratch, lab=True)
    assert copy.read_text() == "mine"
    assert f"{launch.FIRST_NOTEBOOK} stays as it is" in capsys.readouterr().err
    launch.prepare(work, scratch)
    assert not (packed / launch.COPY).exists()


def test_page_template_fetches_nothing(tmp_path):
    launch.prepare(tmp_path, tmp_path / "scratch")
    text = next((tmp_path / "scratch").rglob("index.html.j2")).read_text()
    assert not re.search(r'(href|src)="(https?:)?//', text)
    assert "rendered_cells" in text


def test_settings_with_the_token_are_for_their_owner_alone(tmp_path):
    launch.prepare(tmp_path, tmp_path / "scratch")
    for name in ("voila.json", "jupyter_server_config.json"):
        path = tmp_path / "scratch" / "config" / name
        assert path.stat().st_mode & 0o077 == 0
        assert "token" in path.read_text()


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_the_server_ends_with_its_command_and_leaves_nothing(tmp_path, how):
    code = "import sys, pathlib; from inrushlib.launch import serve; serve(pathlib.Path.cwd(), open_browser=False)"
    work, temporary = tmp_path / "work", tmp_path / "temporary"
    work.mkdir()
    temporary.mkdir()
    command = subprocess.Popen(
        [sys.executable, "-c", code], cwd=work, env={**os.environ, "TMPDIR": str(temporary)}, stdout=subprocess.PIPE,
        text=True,
    )  # fmt: skip
    try:
        address = re.search(r"http://127\.0\.0\.1:(\d+)/\S+token=\w+", command.stdout.readline())
        command.send_signal(how)
        assert command.wait(30) == 0
    finally:
        command.kill()
        command.stdout.close()
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", int(address[1]))) != 0
    assert not list(temporary.glob("inrush-*"))
    assert not list(work.iterdir())
