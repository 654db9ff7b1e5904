"""Serving, as far as it goes without a server."""

import importlib.util
import os
import re
import shutil
import socket
import subprocess
import sys

import pytest

from inrushlib import serve
from inrushlib.build import load_build
from inrushlib.errors import BuildError, UsageError
from inrushlib.serve.child import UNUSED


def test_notebooks_are_found_and_the_default_build_is_one_of_them():
    folder = serve.workbook_folder()
    assert (folder / serve.FIRST_NOTEBOOK).is_file()
    assert load_build(serve.default_build()).title == "Tide board on a 5 A adapter"


def test_what_is_missing_is_named_with_the_way_to_get_it(monkeypatch, tmp_path):
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "voila" else find(name))
    with pytest.raises(BuildError, match=r"the workbook needs voila; accepted: pip install 'inrushlib\[workbook\]'"):
        serve.prepare(tmp_path, tmp_path)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_port_that_is_none_is_refused(tmp_path, port):
    with pytest.raises(UsageError, match=f"--port {port}; accepted: 1 to 65535"):
        serve.prepare(tmp_path, tmp_path, port=port)


def test_a_port_in_use_is_refused(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(UsageError, match=f"--port {port}: cannot be served on"):
            serve.prepare(tmp_path, tmp_path, port=port)


def test_an_edited_copy_is_never_overwritten(monkeypatch, tmp_path, capsys):
    packed, work, scratch = tmp_path / "_workbook", tmp_path / "work", tmp_path / "scratch"
    shutil.copytree(serve.workbook_folder(), packed, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr("inrushlib.serve.notebooks.workbook_folder", lambda: packed)
    work.mkdir()
    serve.prepare(work, scratch, lab=True)
    copy = work / serve.COPY / serve.FIRST_NOTEBOOK
    assert copy.read_bytes() == (packed / serve.FIRST_NOTEBOOK).read_bytes()
    copy.write_text("mine")
    serve.prepare(work, scratch, lab=True)
    assert copy.read_text() == "mine"
    assert f"{serve.FIRST_NOTEBOOK} stays as it is" in capsys.readouterr().err
    serve.prepare(work, scratch)
    assert not (packed / serve.COPY).exists()


def test_page_template_fetches_nothing(tmp_path):
    serve.prepare(tmp_path, tmp_path / "scratch")
    text = next((tmp_path / "scratch").rglob("index.html.j2")).read_text()
    assert not re.search(r'(href|src)="(https?:)?//', text)
    assert "rendered_cells" in text


def test_settings_with_the_token_are_for_their_owner_alone(tmp_path):
    serve.prepare(tmp_path, tmp_path / "scratch")
    for name in ("voila.json", "jupyter_server_config.json"):
        path = tmp_path / "scratch" / "config" / name
        assert path.stat().st_mode & 0o077 == 0
        assert "token" in path.read_text()


def test_the_server_does_without_what_it_has_no_use_for(tmp_path):
    """A module of our own in the server's place: it finds what checks its schemas, and not what takes long to load."""
    (tmp_path / "probe.py").write_text(
        "import importlib, sys\n"
        "import jsonschema\n"
        "jsonschema.validate({'a': 1}, {'properties': {'a': {'type': 'integer'}}})\n"
        "for name in sys.argv[1:]:\n"
        "    try:\n"
        "        importlib.import_module(name)\n"
        "    except ImportError:\n"
        "        print('without', name)\n"
    )
    command = [sys.executable, "-m", "inrushlib.serve.child", str(tmp_path / "scratch"), "probe", *UNUSED]
    path = os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")])
    with subprocess.Popen(
        command, env=os.environ | {"PYTHONPATH": path}, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        said = process.stdout.read()
    assert said.splitlines() == [f"without {name}" for name in UNUSED]
    assert process.returncode == 0
