"""Two processes at once: that compile the same code, with a third that finds it kept; that serve one folder."""

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from inrushlib import serve
from inrushlib.build import load_build, new_build
from tests.faults.writing import TINY

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "workbook"))

from widgets import working_copy  # noqa: E402

# What each prints: an answer, and how often its code came from the disk.
LAW = """
import sys
from inrushlib.model import laws
print("ready", flush=True)
sys.stdin.readline()
print(laws.rise(0.1, 0.2), sum(laws.rise.alone.stats.cache_hits.values()), sep="; ")
"""
ENTRY = """
import sys
from inrushlib.model import machine_code, store
from tests.model.kept_code import NAME, call
print("ready", flush=True)
sys.stdin.readline()
kept = machine_code.read(store.ENTRY, NAME)
print(call(), int(kept is not None), sep="; ")
"""


def begin(program, folder):
    path = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    environment = {**os.environ, "INRUSH_CACHE_DIR": str(folder), "PYTHONPATH": path}
    process = subprocess.Popen(
        [sys.executable, "-c", program], env=environment, stdin=-1, stdout=-1, stderr=-1, text=True
    )  # fmt: skip
    assert process.stdout.readline() == "ready\n"
    return process


@pytest.mark.parametrize("program", [LAW, ENTRY], ids=["law", "entry"])
def test_both_answer_and_what_they_keep_is_whole(program, tmp_path):
    together = [begin(program, tmp_path) for _ in range(2)]
    for process in together:
        process.stdin.write("\n")
        process.stdin.flush()
    said = [process.communicate(timeout=300) for process in together]
    assert [process.returncode for process in together] == [0, 0]
    assert [errors for _, errors in said] == ["", ""]
    first, second = (words.partition("; ")[0] for words, _ in said)
    assert first == second
    later = begin(program, tmp_path)
    words, errors = later.communicate("\n", timeout=300)
    assert (later.returncode, errors) == (0, "")
    assert words == f"{first}; 1\n"


BUILD = new_build(
    {"title": "0", "adapter.rated_current": 3, "wiring.sections": 1, "wiring.pixels_per_section": 8}
)  # fmt: skip
KEEP = """
import sys
import threading
from pathlib import Path
from inrushlib.build import parse_build, save_build
from working_copy import Kept, WorkingCopy
name, text = sys.argv[1:]
build, copy = parse_build(text), WorkingCopy(Path())
print("ready", flush=True)
sys.stdin.readline()
for number in range(15):
    changed = build.with_values({"title": f"{name} {number}"})
    copy.write(Kept(changed, Path("shared.toml")))
    save_build(changed, "shared.toml")
"""


def kept(title):
    return working_copy.Kept(BUILD.with_values({"title": title}), None)


def test_servers_of_one_folder_share_its_files_and_nothing_else(tmp_path):
    one, other = (serve.prepare(tmp_path, tmp_path / name) for name in ("one", "other"))
    assert one.address.partition("?")[2] != other.address.partition("?")[2]
    apart = {name for name, value in one.environment.items() if value != other.environment.get(name)}
    assert "INRUSH_FOLDER" not in apart
    assert {name for name, value in one.environment.items() if str(tmp_path / "one") in value} == apart


def test_two_processes_that_keep_and_save_in_one_folder_leave_whole_files(tmp_path):
    # The module by itself: the package around it loads all that a page draws with.
    path = os.pathsep.join([str(ROOT / "workbook" / "widgets"), *filter(None, [os.environ.get("PYTHONPATH")])])
    writers = [
        subprocess.Popen([sys.executable, "-c", KEEP, name, TINY], cwd=tmp_path, stdin=-1, stdout=-1, stderr=-1,
                         text=True, env={**os.environ, "PYTHONPATH": path})
        for name in ("one", "other")
    ]  # fmt: skip
    assert [writer.stdout.readline() for writer in writers] == ["ready\n"] * 2
    for writer in writers:
        writer.stdin.write("\n")
        writer.stdin.flush()
    copy = working_copy.WorkingCopy(tmp_path)
    while any(writer.poll() is None for writer in writers):
        if copy.path.exists():
            assert copy.read() is not None
    assert [writer.communicate()[1] for writer in writers] == ["", ""]
    assert copy.read().build.title.endswith(" 14")
    assert load_build(tmp_path / "shared.toml").title.endswith(" 14")
    assert {path.name for path in tmp_path.iterdir()} == {"shared.toml", working_copy.NAME}


def test_what_another_page_wrote_at_the_same_instant_is_seen(tmp_path, monkeypatch):
    """Its file came between our writing and our look at what stands there: it was taken for ours."""
    one, other = working_copy.WorkingCopy(tmp_path), working_copy.WorkingCopy(tmp_path)
    write = working_copy.write_safely

    def overtaken(text, path):
        write(text, path)
        monkeypatch.setattr(working_copy, "write_safely", write)
        other.write(kept("other"))

    monkeypatch.setattr(working_copy, "write_safely", overtaken)
    one.write(kept("one"))
    assert one.newer
    assert one.read().build.title == "other"
    assert not one.newer
    assert not other.newer


def test_a_page_that_is_asked_while_it_writes_does_not_take_its_own_build_for_anothers(tmp_path, monkeypatch):
    copy = working_copy.WorkingCopy(tmp_path)
    asked = []
    asking = threading.Thread(target=lambda: asked.append(copy.newer))
    holds = copy._holds

    def in_between(text):
        asking.start()
        asking.join(0.2)  # as long as it waits, it has not been answered
        return holds(text)

    monkeypatch.setattr(copy, "_holds", in_between)
    copy.write(kept("one"))
    asking.join()
    assert asked == [False]
