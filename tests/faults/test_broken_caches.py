"""Compiled code that is damaged, has no room or lies where nothing can be written: compiled again, and never loaded."""

import os
import shutil
import subprocess
import sys
import time

import numba
import pytest

from inrushlib.model import machine_code, store
from inrushlib.model.cache_folder import MARK, OURS, open_entry
from inrushlib.model.code_cache import keep
from tests.model.kept_code import ANSWER, NAME, call

from .harm import HARMS, a_folder_in_its_place

# Compiles one short function of the model, so that a process takes a second instead of twenty.
ONE_LAW = """
from inrushlib.model import laws
print(laws.rise(0.1, 0.2))
"""


def run(program, base, **more):
    """Run a program in a process of its own, with its cache there."""
    environment = {**os.environ, "INRUSH_CACHE_DIR": str(base), **more}
    return subprocess.run(
        [sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=False, timeout=300
    )


def of_law(base):
    """Index and data of the one law."""
    (index,) = base.rglob("smooth.rise-*.nbi")
    (data,) = base.rglob("smooth.rise-*.nbc")
    return index, data


@pytest.fixture(scope="module")
def warm(tmp_path_factory):
    """A folder with the law compiled, and what it answers."""
    folder = tmp_path_factory.mktemp("warm")
    done = run(ONE_LAW, folder)
    assert done.returncode == 0, done.stderr
    return folder, done.stdout


@pytest.fixture
def filled(warm, tmp_path):
    """A copy of that folder, and the answer."""
    shutil.copytree(warm[0], tmp_path / "filled")
    return tmp_path / "filled", warm[1]


@pytest.fixture
def base(tmp_path, monkeypatch):
    """The folder that INRUSH_CACHE_DIR names."""
    monkeypatch.setenv("INRUSH_CACHE_DIR", str(tmp_path))
    return tmp_path


def double(x):
    return 2.0 * x


class Process:
    """What one process does after the other: a function is loaded or compiled, and called."""

    def __init__(self, base):
        self.entry = open_entry("0" * 16)
        self.base = base

    def hits(self):
        """Call the function as a new process would; how often its code came from the disk."""
        function = keep(numba.njit(double), self.entry)
        assert function(21.0) == 42.0
        return sum(function.stats.cache_hits.values())

    def files(self):
        (index,) = self.base.rglob("*.nbi")
        (data,) = self.base.rglob("*.nbc")
        return index, data


@pytest.mark.parametrize("harm", HARMS)
@pytest.mark.parametrize("which", [0, 1], ids=["index", "data"])
def test_damage_means_compiling_again_and_is_mended(base, which, harm):
    process = Process(base)
    assert [process.hits(), process.hits()] == [0, 1]
    harm(process.files()[which])
    assert [process.hits(), process.hits()] == [0, 1]


@pytest.mark.parametrize("harm", [*HARMS, a_folder_in_its_place])
def test_machine_code_that_is_damaged_is_never_called_and_is_made_anew(base, harm, monkeypatch):
    entry = open_entry("0" * 16)
    monkeypatch.setattr(store, "ENTRY", entry)
    assert [call(), call()] == [ANSWER, ANSWER]
    (path,) = base.rglob("*.code")
    harm(path)
    assert machine_code.read(entry, NAME) is None
    assert call() == ANSWER
    assert (machine_code.read(entry, NAME) is None) == path.is_dir()  # what is no file of ours stays
    assert not list(base.rglob("tmp*"))


@pytest.mark.parametrize("which", [0, 1], ids=["index", "data"])
def test_a_folder_in_place_of_a_file(base, which):
    process = Process(base)
    process.hits()
    a_folder_in_its_place(process.files()[which])
    assert [process.hits(), process.hits()] == [0, 0]


def test_damaged_code_is_never_loaded(filled):
    # A bit of the machine code itself: numba would load it, and the process might end there.
    folder, answer = filled
    data = of_law(folder)[1]
    whole = bytearray(data.read_bytes())
    place = whole.index(b"\x7fELF") if b"\x7fELF" in whole else len(whole) // 2
    for step in range(64, 1024, 64):
        whole[place + step] ^= 0xFF
    data.write_bytes(whole)
    done = run(ONE_LAW, folder)
    assert (done.returncode, done.stdout, done.stderr) == (0, answer, "")


def test_a_folder_dropped_while_the_process_runs(filled):
    folder, answer = filled
    program = f"""
import shutil
from inrushlib.model import laws, store
shutil.rmtree({str(folder)!r})
print(laws.rise(0.1, 0.2))
store.mark_compiled("run")
assert store.needs_compiling("run")
"""
    done = run(program, folder)
    assert (done.returncode, done.stdout, done.stderr) == (0, answer, "")


def test_code_that_a_full_disk_cut_off_is_compiled_again(filled, tmp_path):
    # The limit on the size of a file fails a write in its middle, as a full disk does.
    _, answer = filled
    program = f"""
import resource, signal
from inrushlib.model import laws
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
{ONE_LAW}
"""
    done = run(program, tmp_path / "full")
    assert (done.returncode, done.stdout, done.stderr) == (0, answer, "")
    done = run(ONE_LAW, tmp_path / "full")
    assert (done.returncode, done.stdout, done.stderr) == (0, answer, "")


def test_the_users_own_setting_for_numba_does_not_matter(tmp_path):
    # It would take the code to a place that is not checked.
    done = run(ONE_LAW, tmp_path, NUMBA_CACHE_LOCATOR_CLASSES="InTreeCacheLocator", NUMBA_CACHE_DIR="/nowhere")
    assert done.returncode == 0, done.stderr
    assert of_law(tmp_path)


def test_a_folder_that_cannot_be_written_is_no_obstacle(tmp_path):
    # Not even root can make a folder below a file.
    (tmp_path / "cache").write_text("in the way")
    done = run(ONE_LAW, tmp_path / "cache")
    assert (done.returncode, done.stderr) == (0, "")


def test_what_was_kept_is_used(filled):
    folder, answer = filled
    began = time.time()
    done = run(ONE_LAW + "\nprint(sum(laws.rise.alone.stats.cache_hits.values()))", folder)
    assert done.stdout == answer + "1\n"
    assert (next((folder / OURS).iterdir()) / MARK).stat().st_mtime >= began - 2
