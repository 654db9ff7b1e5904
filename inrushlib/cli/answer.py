"""Standard output, guarded: an answer that does not arrive is told, and is no unforeseen error.

``guarded_answer``
    for the time of a command
``AnswerLost``
    what is raised where the output is closed or full
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from typing import Any, TextIO, cast

CLOSED = "the answer cannot be written: standard output is closed"


class AnswerLost(Exception):
    """The answer cannot be written to standard output."""


class _Guard:
    """A text stream that encodes what it can and keeps the first failure until the end.

    A command whose reader has gone goes on: the files that it writes are wanted all the same.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.lossy = False
        self.lost = ""

    def write(self, text: str) -> int:
        """Write; characters that the encoding does not have are written as escapes."""
        with self._kept():
            try:
                self._stream.write(text)
            except UnicodeEncodeError:
                self.lossy = True
                encoding = self._stream.encoding
                self._stream.write(text.encode(encoding, "backslashreplace").decode(encoding))
        return len(text)

    def flush(self) -> None:
        """Write what has been kept back."""
        with self._kept():
            self._stream.flush()

    @contextlib.contextmanager
    def _kept(self) -> Iterator[None]:
        try:
            yield
        except BrokenPipeError:
            self._give_up("standard output was closed before the whole answer was written")
        except OSError as error:
            self._give_up(f"the answer cannot be written to standard output: {error.strerror}")
        except ValueError:
            self._give_up(CLOSED)

    def _give_up(self, why: str) -> None:
        self.lost = self.lost or why
        # Let the rest go nowhere, or it would fail once more when the process ends.
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextlib.contextmanager
def guarded_answer() -> Iterator[None]:
    """Guard ``sys.stdout`` for a command; the end waits until all is written.

    Raises
    ------
    AnswerLost
        At the end, where not all could be written and no other error is on its way.
    """
    stream: TextIO | None = sys.stdout
    if stream is None:
        raise AnswerLost(CLOSED)
    guard = _Guard(stream)
    sys.stdout = cast(TextIO, guard)
    try:
        try:
            yield
        finally:
            guard.flush()
        if guard.lost:
            raise AnswerLost(guard.lost)
    except SystemExit as stop:  # of --help, which is an answer, too
        if guard.lost and not stop.code:
            raise AnswerLost(guard.lost) from None
        raise
    finally:
        sys.stdout = stream
        if guard.lossy:
            print(
                f"Characters that {stream.encoding} does not have were written as escapes such as \\xb5; "
                "PYTHONIOENCODING=utf-8 writes them as they are.",
                file=sys.stderr,
            )
