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


class AnswerLost(Exception):
    """The answer cannot be written to standard output."""


class _Guard:
    """A text stream whose failures are told apart from all others, and that encodes what it can."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.lossy = False

    def write(self, text: str) -> int:
        """Write; characters that the encoding does not have are written as escapes."""
        with self._told():
            try:
                return self._stream.write(text)
            except UnicodeEncodeError:
                self.lossy = True
                encoding = self._stream.encoding
                return self._stream.write(text.encode(encoding, "backslashreplace").decode(encoding))

    def flush(self) -> None:
        """Write what has been kept back."""
        with self._told():
            self._stream.flush()

    def give_up(self) -> None:
        """Let what is kept back go nowhere, or it would fail once more when the process ends."""
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except BrokenPipeError:
            raise AnswerLost("standard output was closed before the whole answer was written") from None
        except OSError as error:
            raise AnswerLost(f"the answer cannot be written to standard output: {error.strerror}") from None
        except ValueError:
            raise AnswerLost("the answer cannot be written: standard output is closed") from None

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextlib.contextmanager
def guarded_answer() -> Iterator[None]:
    """Guard ``sys.stdout`` for a command; the end waits until all is written.

    Raises
    ------
    AnswerLost
        Where it cannot be written.
    """
    stream: TextIO | None = sys.stdout
    if stream is None:
        raise AnswerLost("the answer cannot be written: standard output is closed")
    guard = _Guard(stream)
    sys.stdout = cast(TextIO, guard)
    try:
        yield
        guard.flush()
    except AnswerLost:
        guard.give_up()
        raise
    except BaseException:
        # What was printed before the error still counts, but the error counts more.
        try:
            guard.flush()
        except AnswerLost:
            guard.give_up()
        raise
    finally:
        sys.stdout = stream
        if guard.lossy:
            print(
                f"Characters that {stream.encoding} does not have were written as escapes such as \\xb5; "
                "PYTHONIOENCODING=utf-8 writes them as they are.",
                file=sys.stderr,
            )
