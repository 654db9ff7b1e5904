"""Files in and out: read with a bound, written whole or not at all.

``read_bytes``
    a file of moderate size
``write_safely``, ``write_together``
    a file replaced only when the new one is on the disk; several that belong together
``same_file``
    whether two paths lead to one file, by whatever name
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import stat
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from inrushlib.errors import BuildError

fcntl: Any = None
with contextlib.suppress(ImportError):  # no such locks on this system
    import fcntl

Name = str | os.PathLike[str]
LARGEST = 1 << 20  # bytes of a build file
_PART = re.compile(r"\.inrush-[0-9a-f]{16}\.part")
_ABANDONED = 24 * 3600.0  # [s] after which a part file is no one's, where locks cannot tell
_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISLNK, "a link that leads in a circle"),
    (stat.S_ISREG, ""),
)


def read_bytes(path: Name, accepted: str, largest: int = LARGEST) -> bytes:
    """What stands in a file.

    Parameters
    ----------
    path : str or path
        A regular file, or a link to one.
    accepted : str
        What is accepted [text], for the message.
    largest : int
        Bytes [1] that it may have.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    BuildError
        Where it cannot be read, is no regular file or is larger.
    """
    try:
        data = _read(path, largest + 1)
    except (OSError, ValueError) as error:
        reason = reason_of(error)
    else:
        if len(data) <= largest:
            return data
        reason = f"it is larger than {largest} bytes"
    raise BuildError(f"cannot be read: {reason}; accepted: {accepted}", source=os.fspath(path))


def write_safely(content: str | bytes, path: Name) -> None:
    """Write a file so that at any instant either the old or the new one is there, whole.

    A link is followed and stays. Mode and, where allowed, owner stay. A file of several names (hard
    links) keeps them all: such a one is overwritten in place once the new content is safe on the disk
    beside it. What a crash left beside the file in an earlier call is removed.

    Parameters
    ----------
    content : str or bytes
        What to write; text in UTF-8.
    path : str or path
        Where to.

    Raises
    ------
    BuildError
        Where it cannot be written or the old file is read-only; it is left as it was.
    """
    write_together({path: content})


def write_together(contents: Mapping[Name, str | bytes]) -> None:
    """Write files that belong together, each as :func:`write_safely` does; none before all are safe on the disk.

    Parameters
    ----------
    contents : mapping of path to str or bytes
        What to write where; they are replaced in this order.

    Raises
    ------
    BuildError
        Where one cannot be written or is read-only; a full disk or such a folder leaves all as they were.
    """
    at: Name = ""
    try:
        with contextlib.ExitStack() as parts:
            ready = []
            for path, content in contents.items():
                at = path
                ready.append((path, parts.enter_context(_ready(path, content))))
            for path, replace in ready:
                at = path
                replace()
    except (OSError, ValueError) as error:
        accepted = "a new name or a file that may be written, in a folder that may be written"
        problem = f"cannot be written: {reason_of(error)}; accepted: {accepted}"
        raise BuildError(problem, source=os.fspath(at)) from None


def same_file(one: Name, other: Name) -> bool:
    """Whether two paths lead to one file: by name, by links, by hard links.

    Parameters
    ----------
    one, other : str or path
        The paths; the files need not be there.

    Returns
    -------
    bool
        True where writing to the one changes the other.

    Examples
    --------
    >>> same_file("a.toml", "./b/../a.toml"), same_file("a.toml", "b.toml")
    (True, False)
    """
    with contextlib.suppress(OSError, ValueError):
        if os.path.realpath(one) == os.path.realpath(other):
            return True
        return os.path.samefile(one, other)
    return False


def reason_of(error: Exception) -> str:
    """Why a file cannot be used, in the system's words.

    Parameters
    ----------
    error : Exception
        What was raised.

    Returns
    -------
    str
        The reason [text].
    """
    return (error.strerror if isinstance(error, OSError) else None) or "not a path"


def _read(path: Name, most: int) -> bytes:
    # Opened so, a pipe is not waited for.
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        if kind := _kind(os.fstat(descriptor).st_mode):
            raise OSError(errno.EINVAL, f"it is {kind}")
        with os.fdopen(descriptor, "rb", closefd=False) as file:
            return file.read(most)
    finally:
        os.close(descriptor)


def _kind(mode: int) -> str:
    """What a file is, in words; empty for a regular one."""
    return next((words for test, words in _KINDS if test(mode)), "a device")


def _replaceable(target: str) -> os.stat_result | None:
    """The status of the file to replace, None for none; OSError where it is not to be replaced."""
    try:
        found = os.lstat(target)  # the links have been followed
    except FileNotFoundError:
        return None
    if kind := _kind(found.st_mode):
        raise OSError(errno.EINVAL, f"it is {kind}")
    # Root may write anything: what the builder said by the mode holds all the same.
    if not found.st_mode & 0o222 or not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "it is read-only")
    return found


@contextlib.contextmanager
def _ready(path: Name, content: str | bytes) -> Iterator[Callable[[], None]]:
    """The content safe on the disk beside the file; what is yielded puts it in the file's place."""
    data = content.encode() if isinstance(content, str) else content
    target = os.path.realpath(path)
    old = _replaceable(target)
    folder = os.path.dirname(target)
    _remove_abandoned(folder)
    with _part_file(folder, old) as (part, descriptor):
        _write_all(descriptor, data)

        def replace() -> None:
            if old is not None and old.st_nlink > 1:
                _overwrite(target, data)
            else:
                os.replace(part, target)
            _sync_folder(folder)

        yield replace


@contextlib.contextmanager
def _part_file(folder: str, old: os.stat_result | None) -> Iterator[tuple[str, int]]:
    """A new file beside, locked as long as it is in use, with the old one's mode and owner; gone afterwards."""
    part, descriptor = _new_part(folder, 0o666 if old is None else 0o600)
    try:
        if old is not None:
            with contextlib.suppress(OSError, AttributeError):
                os.fchown(descriptor, old.st_uid, old.st_gid)
            os.chmod(part, stat.S_IMODE(old.st_mode))
        yield part, descriptor
    finally:
        # Nothing is there to remove where it took the target's place.
        with contextlib.suppress(OSError):
            os.unlink(part)
        os.close(descriptor)


def _new_part(folder: str, mode: int) -> tuple[str, int]:
    while True:
        part = os.path.join(folder, f".inrush-{secrets.token_hex(8)}.part")
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
        _lock(descriptor, wait=True)
        # Between making and locking it, another process may have taken it for abandoned.
        if os.path.exists(part):
            return part, descriptor
        os.close(descriptor)


def _lock(descriptor: int, *, wait: bool) -> bool | None:
    """Whether the lock was free; None where locks tell nothing."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _remove_abandoned(folder: str) -> None:
    """Remove the part files of ours that no process writes any more."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if _PART.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                with contextlib.suppress(OSError):
                    _remove_if_abandoned(entry.path)


def _remove_if_abandoned(part: str) -> None:
    descriptor = os.open(part, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
    try:
        found = os.fstat(descriptor)
        free = _lock(descriptor, wait=False)
        if free is None:
            free = found.st_mtime < time.time() - _ABANDONED
        if free and (not hasattr(os, "getuid") or found.st_uid == os.getuid()):
            os.unlink(part)
    finally:
        os.close(descriptor)


def _write_all(descriptor: int, data: bytes) -> None:
    with os.fdopen(descriptor, "wb", closefd=False) as file:
        file.write(data)
        file.flush()
        os.fsync(descriptor)


def _overwrite(target: str, data: bytes) -> None:
    """Put other content into a file; where that fails, its old content again."""
    old = Path(target).read_bytes()
    with open(target, "r+b", buffering=0) as file:
        try:
            _put(file.fileno(), data)
        except BaseException:
            _put(file.fileno(), old)
            raise


def _put(descriptor: int, data: bytes) -> None:
    os.lseek(descriptor, 0, os.SEEK_SET)
    _write_all(descriptor, data)
    os.ftruncate(descriptor, len(data))
    os.fsync(descriptor)


def _sync_folder(folder: str) -> None:
    """Have the new name on the disk, too, where the system lets a folder be opened."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
