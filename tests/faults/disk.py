"""A disk that gives up: what the operating system says while a file of ours is being written."""

import errno
import os
from enum import Enum

from inrushlib import files


class Step(Enum):
    """Where in the writing of a file it happens."""

    OPEN = "open"
    WRITE = "write"
    SYNC = "sync"
    RENAME = "rename"


class Disk:
    """Counts the files that are written, and fails one of them, or every one, at one step.

    Parameters
    ----------
    monkeypatch : pytest.MonkeyPatch
        Puts everything back afterwards.
    number : int or None
        Which file, from 1; None for every one.
    step : Step or None
        Where it fails; None for nowhere.
    code : int
        What the system says: ``errno.ENOSPC`` for a full disk, ``errno.EROFS`` for a read-only one.
    """

    def __init__(self, monkeypatch, number=None, step=None, code=errno.ENOSPC):
        self.number, self.step, self.code = number, step, code
        self.written = 0
        self._new_part, self._write_all = files._new_part, files._write_all
        self._replace, self._fsync = os.replace, os.fsync
        monkeypatch.setattr(files, "_new_part", self._open)
        monkeypatch.setattr(files, "_write_all", self._write)
        monkeypatch.setattr(os, "fsync", self._sync)
        monkeypatch.setattr(os, "replace", self._rename)

    def _fail_at(self, step):
        if step is self.step and self.number in (None, self.written):
            raise OSError(self.code, os.strerror(self.code))

    def _open(self, folder, mode):
        self.written += 1
        self._fail_at(Step.OPEN)
        return self._new_part(folder, mode)

    def _write(self, descriptor, data):
        try:
            self._fail_at(Step.WRITE)
        except OSError:
            os.write(descriptor, data[: len(data) // 2])  # as much as there was room for
            raise
        self._write_all(descriptor, data)

    def _sync(self, descriptor):
        self._fail_at(Step.SYNC)
        self._fsync(descriptor)

    def _rename(self, old, new):
        self._fail_at(Step.RENAME)
        self._replace(old, new)
