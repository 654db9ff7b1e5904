"""The folder of compiled code: what it may remove, where it may lie, and that nothing in it ends a run."""

import contextlib
import os
import shutil
import stat
import subprocess
import sys
import time

import numba
import pytest

from inrushlib.model import cache_folder
from inrushlib.model.cache_folder import ENTRIES_KEPT, MARK, OURS, open_entry
from inrushlib.model.code_cache import keep

from .harm import HARMS

NAMES = [f"{i:016x}" for i in range(ENTRIES_KEPT + 3)]

# Compiles one short function of the model, so that a process takes a second instead of twenty.
ONE_LAW = """
from inrushlib.model import laws
print(laws.rise(0.1, 0.2))
"""


@pytest.fixture
def base(tmp_path, monkeypatch):
    """The folder that INRUSH_CACHE_DIR names."""
    monkeypatch.setenv("INRUSH_CACHE_DIR", str(tmp_path))
    return tmp_path


@pytest.fixture
def released(monkeypatch):
    """Ends the hold on an entry at once, as the end of its process does."""
    held = []
    opened = os.open

    def remember(path, *rest, **named):
        descriptor = opened(path, *rest, **named)
        if os.path.basename(path) == MARK:
            held.append(descriptor)
        return descriptor

    def release():
        while held:
            with contextlib.suppress(OSError):
                os.close(held.pop())

    monkeypatch.setattr(cache_folder.os, "open", remember)
    return release


def run(program, base, home=None, **more):
    """Run a program in a process of its own, with its cache there."""
    environment = {**os.environ, "INRUSH_CACHE_DIR": str(base), **more}
    if home is not None:
        del environment["INRUSH_CACHE_DIR"]
        environment |= {"HOME": str(home)}
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


class TestRemoving:
    def test_only_the_oldest_of_ours_go(self, base, released):
        for i, name in enumerate(NAMES):
            entry = open_entry(name)
            (entry.folder / "code").write_text("x")
            os.utime(entry.mark, (i, i))
            released()
        open_entry("f" * 16)
        kept = sorted(path.name for path in (base / OURS).iterdir())
        assert kept == [*NAMES[-ENTRIES_KEPT + 1 :], "f" * 16]

    def test_folders_of_the_user_stay(self, base, released):
        # What INRUSH_CACHE_DIR=$HOME would meet, and what someone put into our own folder.
        theirs = [base / name for name in ("mail", "photos", "work", "a" * 16, "b" * 16, "c" * 16)]
        (base / OURS).mkdir(mode=0o700)
        theirs += [base / OURS / name for name in ("notes", "d" * 16, "e" * 16)]
        for i, folder in enumerate(theirs):
            folder.mkdir()
            (folder / "file").write_text("mine")
            os.utime(folder, (i, i))
        for name in NAMES:
            open_entry(name)
            released()
        assert all((folder / "file").read_text() == "mine" for folder in theirs)

    def test_a_marked_link_does_not_lead_out(self, base, released, tmp_path_factory):
        outside = tmp_path_factory.mktemp("outside")
        (outside / MARK).write_text("")
        os.utime(outside / MARK, (0, 0))
        open_entry(NAMES[0])
        (base / OURS / ("a" * 16)).symlink_to(outside)
        for name in NAMES:
            open_entry(name)
            released()
        assert (outside / MARK).exists()

    def test_one_in_use_by_another_process_stays(self, base, released):
        program = (
            f"import sys; from inrushlib.model.cache_folder import open_entry; open_entry({NAMES[0]!r})\n"
            "print('open', flush=True); sys.stdin.read()"
        )
        with subprocess.Popen([sys.executable, "-c", program], stdin=-1, stdout=-1, text=True) as other:
            assert other.stdout.readline() == "open\n"
            os.utime(base / OURS / NAMES[0] / MARK, (0, 0))
            for name in NAMES[1:]:
                open_entry(name)
                released()
            assert (base / OURS / NAMES[0]).is_dir()
            other.communicate("")
        open_entry("f" * 16)
        assert not (base / OURS / NAMES[0]).exists()


class TestPlace:
    def test_private_to_the_user(self, base):
        entry = open_entry(NAMES[0])
        assert [stat.S_IMODE(p.stat().st_mode) for p in (entry.folder, entry.folder.parent)] == [0o700] * 2

    def test_a_folder_that_others_can_write_is_not_used(self, base):
        (base / OURS).mkdir()
        (base / OURS).chmod(0o777)
        assert open_entry(NAMES[0]) is None

    @pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give a folder away")
    def test_a_folder_of_someone_else_is_not_used(self, base):
        (base / OURS).mkdir(mode=0o700)
        os.chown(base / OURS, 65534, 65534)
        assert open_entry(NAMES[0]) is None

    def test_a_link_is_not_followed(self, base, tmp_path_factory):
        (base / OURS).symlink_to(tmp_path_factory.mktemp("elsewhere"))
        assert open_entry(NAMES[0]) is None

    def test_a_base_in_which_others_can_rename_is_not_used(self, base):
        base.chmod(0o777)
        assert open_entry(NAMES[0]) is None
        base.chmod(0o1777)  # as /tmp
        assert open_entry(NAMES[0]) is not None

    def test_home_that_cannot_be_written_leaves_the_private_run_time_folder_or_none(self, tmp_path, monkeypatch):
        (tmp_path / "home").mkdir()
        (tmp_path / "home" / ".cache").write_text("in the way")
        monkeypatch.delenv("INRUSH_CACHE_DIR", raising=False)
        monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
        monkeypatch.setenv("HOME", str(tmp_path / "home"))
        monkeypatch.setenv("TMPDIR", str(tmp_path / "shared"))
        monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path / "run"))
        assert open_entry(NAMES[0]).folder == tmp_path / "run" / OURS / NAMES[0]
        monkeypatch.delenv("XDG_RUNTIME_DIR")
        assert open_entry(NAMES[0]) is None
        assert not (tmp_path / "shared").exists()

    def test_relative_bases_are_ignored(self, tmp_path, monkeypatch):
        monkeypatch.delenv("INRUSH_CACHE_DIR", raising=False)
        monkeypatch.chdir(tmp_path)
        for name in ("XDG_CACHE_HOME", "HOME", "XDG_RUNTIME_DIR"):
            monkeypatch.setenv(name, "here")
        assert open_entry(NAMES[0]) is None
        assert not list(tmp_path.iterdir())

    def test_a_folder_that_cannot_be_written_is_no_obstacle(self, tmp_path):
        # Not even root can make a folder below a file.
        (tmp_path / "cache").write_text("in the way")
        done = run(ONE_LAW, tmp_path / "cache")
        assert (done.returncode, done.stderr) == (0, "")


def double(x):
    return 2.0 * x


class Process:
    """What one process does after the other: a function is loaded or compiled, and called."""

    def __init__(self, base):
        self.entry = open_entry(NAMES[0])
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


class TestDamage:
    @pytest.mark.parametrize("harm", HARMS)
    @pytest.mark.parametrize("which", [0, 1], ids=["index", "data"])
    def test_means_compiling_again_and_is_mended(self, base, which, harm):
        process = Process(base)
        assert [process.hits(), process.hits()] == [0, 1]
        harm(process.files()[which])
        assert [process.hits(), process.hits()] == [0, 1]

    @pytest.mark.parametrize("which", [0, 1], ids=["index", "data"])
    def test_a_folder_in_place_of_a_file(self, base, which):
        process = Process(base)
        process.hits()
        path = process.files()[which]
        path.unlink()
        path.mkdir()
        assert [process.hits(), process.hits()] == [0, 0]

    def test_damaged_code_is_never_loaded(self, filled):
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

    def test_a_folder_dropped_while_the_process_runs(self, filled):
        folder, answer = filled
        program = f"""
import shutil
from inrushlib.model import compiled, laws
shutil.rmtree({str(folder)!r})
print(laws.rise(0.1, 0.2))
compiled.mark_compiled("run")
assert compiled.needs_compiling("run")
"""
        done = run(program, folder)
        assert (done.returncode, done.stdout, done.stderr) == (0, answer, "")

    def test_a_full_disk(self, filled, tmp_path):
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

    def test_the_users_own_setting_for_numba_does_not_matter(self, tmp_path):
        # It would take the code to a place that is not checked.
        done = run(ONE_LAW, tmp_path, NUMBA_CACHE_LOCATOR_CLASSES="InTreeCacheLocator", NUMBA_CACHE_DIR="/nowhere")
        assert done.returncode == 0, done.stderr
        assert of_law(tmp_path)


def test_what_was_kept_is_used(filled):
    folder, answer = filled
    began = time.time()
    done = run(ONE_LAW + "\nprint(sum(laws.rise.alone.stats.cache_hits.values()))", folder)
    assert done.stdout == answer + "1\n"
    assert (next((folder / OURS).iterdir()) / MARK).stat().st_mtime >= began - 2
