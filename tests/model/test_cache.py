"""The folder of compiled code: what it may remove, and where it may lie."""

import contextlib
import os
import stat
import subprocess
import sys

import pytest

from inrushlib.model import cache_folder
from inrushlib.model.cache_folder import ENTRIES_KEPT, MARK, OURS, open_entry

NAMES = [f"{i:016x}" for i in range(ENTRIES_KEPT + 3)]


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
