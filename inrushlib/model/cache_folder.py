"""Where compiled code is kept between processes: a private folder of ours, one entry a version of the sources.

Loading compiled code is running it, so a folder that someone else could write is never used. What
is removed carries our mark and is in use by no process.

``open_entry``
    the entry of these sources, or None where there is no place to keep one
``Entry``
    its folder, which stays ours to use as long as the process lives
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

fcntl: Any = None
with contextlib.suppress(ImportError):  # no such locks on this system: entries are never removed
    import fcntl

OURS = "inrushlib-compiled"
MARK = ".inrushlib-compiled"
MARK_TEXT = "Compiled code of inrushlib. It is made anew when needed; the folder may be deleted.\n"
ENTRIES_KEPT = 4
_ENTRY_NAME = re.compile(r"[0-9a-f]{16}")


@dataclass(frozen=True)
class Entry:
    """The folder of one version of the sources, marked as ours and locked against removal."""

    folder: Path

    @property
    def mark(self) -> Path:
        """The file that says whose folder it is."""
        return self.folder / MARK

    def is_there(self) -> bool:
        """Whether it still is what was opened; someone may have removed it."""
        return self.mark.is_file()


def homes() -> Iterator[Path]:
    """Folders of ours that may be used, the best first; each private to the user."""
    given = os.environ.get("INRUSH_CACHE_DIR")
    if given:
        yield Path(os.path.abspath(given)) / OURS
        return
    bases = (
        os.environ.get("XDG_CACHE_HOME", ""),
        os.path.join(os.path.expanduser("~"), ".cache"),
        os.environ.get("XDG_RUNTIME_DIR", ""),
    )
    # A relative one is to be ignored (XDG Base Directory Specification 0.8, "Basics").
    yield from (Path(base) / OURS for base in bases if os.path.isabs(base))


def open_entry(name: str) -> Entry | None:
    """Return the entry of that name in the first home that takes one, and remove what is long out of use.

    Parameters
    ----------
    name : str
        Sixteen hexadecimal digits that stand for the sources.

    Returns
    -------
    Entry or None
        None where no home can be written, or none is private.
    """
    for home in homes():
        with contextlib.suppress(OSError, ValueError):
            entry = Entry(home / name)
            _make_private(home)
            _make_private(entry.folder)
            _take(entry)
            _remove_unused(home)
            return entry
    return None


def _make_private(folder: Path) -> None:
    """Make a folder for the user alone; raise OSError where one is there that is not."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    _refuse_open_parent(folder.parent)
    with contextlib.suppress(FileExistsError):
        folder.mkdir(mode=0o700)
    found = folder.lstat()  # a link is refused: it may lead anywhere
    if not stat.S_ISDIR(found.st_mode) or not _is_own(found) or found.st_mode & 0o022:
        raise PermissionError(f"{folder} is not private")


def _refuse_open_parent(folder: Path) -> None:
    """Where all may write and nothing hinders them, others could put a folder of theirs in place of ours."""
    mode = folder.stat().st_mode
    if mode & 0o002 and not mode & stat.S_ISVTX:
        raise PermissionError(f"all may rename what is in {folder}")


def _is_own(found: os.stat_result) -> bool:
    return not hasattr(os, "getuid") or found.st_uid == os.getuid()


def _take(entry: Entry) -> None:
    """Mark an entry and hold it, locked, until the process ends."""
    # Every process that uses the entry shares the lock; the descriptor is left open on purpose.
    descriptor = os.open(entry.mark, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
    try:
        _share(descriptor)
        os.ftruncate(descriptor, 0)
        os.write(descriptor, MARK_TEXT.encode())  # sets the time of last use, too
        with tempfile.TemporaryFile(dir=entry.folder):
            pass
    except BaseException:
        os.close(descriptor)
        raise


def _share(descriptor: int) -> None:
    if fcntl is None:
        return
    try:
        fcntl.flock(descriptor, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        raise  # it is being removed
    except OSError:
        pass  # no locks on this file system; then nothing is removed there either


def _remove_unused(home: Path) -> None:
    """Remove all but the newest entries, if they carry our mark and no process holds them."""
    if fcntl is None:
        return
    marks = [folder / MARK for folder in home.iterdir() if _ENTRY_NAME.fullmatch(folder.name)]
    used: list[tuple[float, Path]] = []
    for mark in marks:
        with contextlib.suppress(OSError):
            found = mark.lstat()
            if stat.S_ISREG(found.st_mode) and not mark.parent.is_symlink() and _is_own(found):
                used.append((found.st_mtime, mark))
    for _, mark in sorted(used)[:-ENTRIES_KEPT]:
        with contextlib.suppress(OSError):
            _remove(mark)


def _remove(mark: Path) -> None:
    """Remove an entry that no process holds; its mark goes last, so that a half removed one is still known."""
    descriptor = os.open(mark, os.O_RDWR)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        for path in mark.parent.iterdir():
            if path == mark:
                continue
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink()
        mark.unlink()
        mark.parent.rmdir()
    finally:
        os.close(descriptor)
