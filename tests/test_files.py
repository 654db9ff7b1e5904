"""Files in and out: what may be read, and that what was there is never lost."""

import os
import stat
import subprocess
import sys
import threading

import pytest

from inrushlib import files
from inrushlib.build import load_build
from inrushlib.errors import BuildError
from inrushlib.files import read_bytes, same_file, write_safely

ROOT_ONLY = pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give files away")


def mode_of(path):
    return stat.S_IMODE(path.stat().st_mode)


def refusal(content, path):
    with pytest.raises(BuildError) as refused:
        write_safely(content, path)
    (line,) = str(refused.value).splitlines()
    assert line.startswith(f"{path}: cannot be written: ")
    return line


@pytest.fixture
def old(tmp_path):
    path = tmp_path / "old.toml"
    path.write_text("old")
    return path


@pytest.fixture
def full(monkeypatch):
    """A disk on which nothing more fits."""

    def fsync(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fsync)


class TestWriting:
    @pytest.mark.parametrize("content", ["grüße\n", b"\x89PNG\r\n", ""])
    def test_what_is_written_is_there(self, tmp_path, content):
        path = tmp_path / "new"
        write_safely(content, path)
        assert path.read_bytes() == (content.encode() if isinstance(content, str) else content)
        assert os.listdir(tmp_path) == ["new"]

    def test_a_new_file_has_the_users_usual_mode(self, tmp_path):
        before = os.umask(0o027)
        try:
            write_safely("new", tmp_path / "new")
        finally:
            os.umask(before)
        assert mode_of(tmp_path / "new") == 0o640

    def test_the_longest_name(self, tmp_path):
        path = tmp_path / ("n" * 255)
        write_safely("1", path)
        write_safely("2", path)
        assert path.read_text() == "2"

    @pytest.mark.parametrize("mode", [0o600, 0o644, 0o660, 0o755])
    def test_mode_stays(self, old, mode):
        old.chmod(mode)
        write_safely("new", old)
        assert (old.read_text(), mode_of(old)) == ("new", mode)

    @ROOT_ONLY
    def test_owner_stays(self, old):
        os.chown(old, 1234, 2345)
        write_safely("new", old)
        found = old.stat()
        assert (old.read_text(), found.st_uid, found.st_gid) == ("new", 1234, 2345)

    def test_links_stay_and_are_followed(self, old, tmp_path):
        (tmp_path / "one").symlink_to("old.toml")
        (tmp_path / "two").symlink_to(tmp_path / "one")
        write_safely("new", tmp_path / "two")
        assert old.read_text() == "new"
        assert os.readlink(tmp_path / "one") == "old.toml"
        assert (tmp_path / "two").is_symlink()
        assert not old.is_symlink()

    def test_a_link_to_nothing_makes_what_it_names(self, tmp_path):
        (tmp_path / "link").symlink_to("named")
        write_safely("new", tmp_path / "link")
        assert (tmp_path / "named").read_text() == "new"

    @pytest.mark.parametrize("content", ["a longer one than before", "o", ""])
    def test_all_names_of_a_file_stay_its_names(self, old, tmp_path, content):
        os.link(old, tmp_path / "name")
        write_safely(content, old)
        assert old.samefile(tmp_path / "name")
        assert (tmp_path / "name").read_text() == content
        assert sorted(os.listdir(tmp_path)) == ["name", "old.toml"]

    def test_a_file_of_two_names_that_cannot_be_overwritten_has_its_content_back(self, old, tmp_path, monkeypatch):
        os.link(old, tmp_path / "name")
        done = os.ftruncate
        monkeypatch.setattr(os, "ftruncate", lambda fd, size: done(fd, size) if size == 3 else os.read(-1, 1))
        assert "Bad file descriptor" in refusal("much longer", old)
        assert old.read_text() == (tmp_path / "name").read_text() == "old"

    def test_a_full_disk_leaves_the_old_file_and_no_litter(self, old, tmp_path, full):
        assert "No space left on device" in refusal("new", old)
        assert old.read_text() == "old"
        assert os.listdir(tmp_path) == ["old.toml"]

    @pytest.mark.parametrize("mode", [0o444, 0o555, 0o400])
    def test_a_read_only_file_is_refused_even_for_root(self, old, tmp_path, mode):
        old.chmod(mode)
        (tmp_path / "link").symlink_to(old)
        for path in (old, tmp_path / "link"):
            assert "it is read-only" in refusal("new", path)
        assert (old.read_text(), mode_of(old)) == ("old", mode)

    def test_what_is_no_regular_file_is_refused(self, tmp_path):
        os.mkfifo(tmp_path / "pipe")
        (tmp_path / "folder").mkdir()
        (tmp_path / "circle").symlink_to("circle")
        assert "it is a pipe" in refusal("new", tmp_path / "pipe")
        assert "it is a folder" in refusal("new", tmp_path / "folder")
        assert "it is a link that leads in a circle" in refusal("new", tmp_path / "circle")
        for device in ("/dev/null", "/dev/full"):
            assert "it is a device" in refusal("new", device)
            assert not stat.S_ISREG(os.stat(device).st_mode)


class TestPartFiles:
    PART = ".inrush-0123456789abcdef.part"

    def test_what_a_killed_process_left_is_removed_by_the_next(self, old, tmp_path):
        program = (
            "import os, signal, sys; from inrushlib.files import write_safely\n"
            "os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)\n"
            "write_safely('new', sys.argv[1])"
        )
        done = subprocess.run([sys.executable, "-c", program, str(old)], check=False, timeout=300)
        assert done.returncode == -9
        assert len(os.listdir(tmp_path)) == 2
        assert old.read_text() == "old"
        write_safely("newer", old)
        assert os.listdir(tmp_path) == ["old.toml"]

    def test_one_in_use_stays(self, old, tmp_path):
        program = (
            "import os, sys; from inrushlib.files import write_safely\n"
            "sync = os.fsync\n"
            "def wait(fd): print('writing', flush=True); sys.stdin.readline(); os.fsync = sync\n"
            "os.fsync = wait\n"
            "write_safely('theirs', sys.argv[1])"
        )
        command = [sys.executable, "-c", program, str(tmp_path / "other")]
        with subprocess.Popen(command, stdin=-1, stdout=-1, text=True) as other:
            assert other.stdout.readline() == "writing\n"
            write_safely("ours", old)
            assert len(os.listdir(tmp_path)) == 2
            other.communicate("\n")
        assert other.returncode == 0
        assert (old.read_text(), (tmp_path / "other").read_text()) == ("ours", "theirs")

    def test_files_that_only_look_alike_stay(self, tmp_path):
        names = [".0123456789abcdef.part", "inrush.part", ".inrush-notes.part", f"{self.PART}.toml"]
        for name in names:
            (tmp_path / name).write_text("mine")
        (tmp_path / self.PART).mkdir()
        write_safely("new", tmp_path / "new")
        assert sorted(os.listdir(tmp_path)) == sorted([*names, self.PART, "new"])

    def test_where_there_are_no_locks_age_tells(self, tmp_path, monkeypatch):
        monkeypatch.setattr(files, "fcntl", None)
        (tmp_path / self.PART).write_text("")
        write_safely("new", tmp_path / "new")
        assert (tmp_path / self.PART).exists()
        os.utime(tmp_path / self.PART, (0, 0))
        write_safely("new", tmp_path / "new")
        assert os.listdir(tmp_path) == ["new"]

    def test_many_writers_at_once(self, tmp_path):
        path = tmp_path / "shared"
        contents = [str(i) * 5000 for i in range(8)]
        problems = []

        def write(content):
            try:
                for _ in range(20):
                    write_safely(content, path)
            except BuildError as error:
                problems.append(error)

        threads = [threading.Thread(target=write, args=(content,)) for content in contents]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert problems == []
        assert path.read_text() in contents
        assert os.listdir(tmp_path) == ["shared"]


class TestReading:
    def test_a_pipe_is_not_waited_for(self, tmp_path):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(BuildError, match="pipe: cannot be read: it is a pipe; accepted: a TOML file"):
            load_build(tmp_path / "pipe")

    @pytest.mark.parametrize("device", ["/dev/zero", "/dev/null"])
    def test_devices(self, device):
        with pytest.raises(BuildError, match=f"{device}: cannot be read: it is a device; accepted: a TOML file"):
            load_build(device)

    def test_a_folder(self, tmp_path):
        with pytest.raises(BuildError, match="cannot be read: it is a folder; accepted: a TOML file"):
            load_build(tmp_path)

    def test_size(self, tmp_path):
        path = tmp_path / "large.toml"
        path.write_bytes(b"#" * (1 << 20))
        assert len(read_bytes(path, "text")) == 1 << 20
        path.write_bytes(b"#" * ((1 << 20) + 1))
        with pytest.raises(BuildError, match="it is larger than 1048576 bytes; accepted: a TOML file of at most 1 MiB"):
            load_build(path)

    def test_a_link_is_followed(self, old, tmp_path):
        (tmp_path / "link").symlink_to(old)
        assert read_bytes(tmp_path / "link", "text") == b"old"


class TestSameFile:
    def test_by_any_name(self, old, tmp_path, monkeypatch):
        monkeypatch.chdir(tmp_path)
        (tmp_path / "link").symlink_to("old.toml")
        os.link(old, tmp_path / "name")
        (tmp_path / "folder").symlink_to(tmp_path)
        (tmp_path / "other").write_text("old")
        for name in ("old.toml", "link", "name", "folder/old.toml", "./folder/./old.toml"):
            assert same_file(old, name), name
        for name in ("other", "none", "folder", "a\0b"):
            assert not same_file(old, name), name

    def test_files_that_are_not_there_yet(self, tmp_path):
        (tmp_path / "folder").symlink_to(tmp_path)
        (tmp_path / "link").symlink_to("new")
        assert same_file(tmp_path / "new", tmp_path / "folder" / "new")
        assert same_file(tmp_path / "new", tmp_path / "link")
        assert not same_file(tmp_path / "new", tmp_path / "newer")
