"""Whether any process still has an open file that was handed on to it, and by that one to others."""

from __future__ import annotations

import contextlib
import sys
from typing import IO

if sys.platform != "win32":
    import fcntl

    def hold(file: IO[bytes]) -> None:
        """Mark an open file as held until every process that it is handed on to has ended, where the system can.

        Parameters
        ----------
        file : file object
            What is handed on.
        """
        with contextlib.suppress(OSError):  # not on every file system
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)

    def is_held(file: IO[bytes]) -> bool:
        """Say whether a process still has the file that was marked by :func:`hold`.

        Parameters
        ----------
        file : file object
            The same file, opened once more.
        """
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return True
        except OSError:
            return False
        fcntl.flock(file, fcntl.LOCK_UN)
        return False

else:

    def hold(file: IO[bytes]) -> None:
        """Mark nothing: this system's locks are a process's own."""

    def is_held(file: IO[bytes]) -> bool:
        """Say that it is not known."""
        return False
