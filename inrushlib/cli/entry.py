"""The command's outermost layer: whatever happens ends in a message and an exit status.

It imports the commands only when they are asked for, so that a Ctrl-C is answered meanwhile, too.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import sys
from collections.abc import Sequence
from enum import IntEnum

from inrushlib.cli.answer import AnswerLost, guarded_answer
from inrushlib.errors import InrushError
from inrushlib.text import for_terminal

TRACEBACK = "INRUSH_TRACEBACK"
LONGEST = 300  # characters of an unforeseen error that are shown


class Exit(IntEnum):
    """Exit statuses beside a command's own yes and no, which are 0 and 1."""

    NOT_RIGHT = 2
    UNFORESEEN = 3
    STOPPED = 130  # what a shell says of a program that Ctrl-C ended


def run_command(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status.

    Parameters
    ----------
    arguments : sequence of str or None
        Words after the command's name; None for those of the process.

    Returns
    -------
    int
        0 yes, 1 no, 2 a file or an argument is not right or an answer cannot be written, 3 unforeseen,
        130 stopped.
    """
    if sys.stderr is None:  # closed by the caller; print would take stdout instead
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115, for the rest of the process
    if arguments is None:  # the process is ours
        # What is imported stays to the end: looking through it for what could be thrown away is a tenth of a short
        # command. The command is looked after again from where it begins.
        gc.disable()
    try:
        with guarded_answer():
            from inrushlib.cli.commands import run

            status = run(arguments)
        if arguments is None:
            _let_it_end()
        return status
    except (InrushError, AnswerLost) as error:
        _say(str(error))
        return Exit.NOT_RIGHT
    except KeyboardInterrupt:
        _say("stopped")
        return Exit.STOPPED
    except Exception as error:
        if _was_stopped(error):
            _say("stopped")
            return Exit.STOPPED
        _say(unforeseen(error))
        return Exit.UNFORESEEN


def unforeseen(error: Exception) -> str:
    """What is said of an error that no one thought of: one line, or all of it where that was asked for.

    Parameters
    ----------
    error : Exception
        The error.

    Returns
    -------
    str
        For stderr.

    Examples
    --------
    >>> unforeseen(ZeroDivisionError("division by zero"))
    'inrush: unforeseen error (ZeroDivisionError: division by zero); INRUSH_TRACEBACK=1 shows where'
    """
    if os.environ.get(TRACEBACK):
        import traceback

        return "".join(traceback.format_exception(error)).rstrip()
    name = type(error).__name__
    text = " ".join(f"{name}: {error}".split()) if str(error).strip() else name
    text = text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
    return f"inrush: unforeseen error ({text}); {TRACEBACK}=1 shows where"


def _say(text: str) -> None:
    with contextlib.suppress(OSError, ValueError):  # there is no one left to tell
        print(for_terminal(text), file=sys.stderr, flush=True)


def _let_it_end() -> None:
    """The answer has been given: a Ctrl-C while the interpreter shuts down would only turn it into a failure.

    Nor is what the process holds looked through once more.
    """
    gc.freeze()
    with contextlib.suppress(ValueError):  # not the main thread
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def _was_stopped(error: BaseException) -> bool:
    """Whether a Ctrl-C is behind an error: some packages turn what stops their import into an ImportError."""
    seen: set[int] = set()
    cause: BaseException | None = error
    while cause is not None and id(cause) not in seen:
        if isinstance(cause, KeyboardInterrupt):
            return True
        seen.add(id(cause))
        cause = cause.__cause__ or cause.__context__
    return False
