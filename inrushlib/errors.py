"""What can go wrong, one message form: the thing, the value, what is accepted.

``BuildError`` for a build, ``TraceError`` for a capture, ``UsageError`` for what a command or a function was given
beside them, ``SolverError`` for a run that could not be finished, ``Cancelled`` where the caller asked to stop. Each
carries a list of ``problems``, one line each, and prints them all. ``listed`` keeps
such a list within bounds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from inrushlib.text import one_line

MOST_LISTED = 20


class InrushError(Exception):
    """Base of the errors that a builder can cause and mend.

    Parameters
    ----------
    problems : str or sequence of str
        One line each, in the builder's words.
    source : str
        The file or thing that the problems are in; empty when there is none.
    """

    def __init__(self, problems: str | Sequence[str], source: str = "") -> None:
        self.problems: list[str] = [problems] if isinstance(problems, str) else list(problems)
        self.source = source
        super().__init__(str(self))

    def __str__(self) -> str:
        lines = [f"{self.source}: {problem}" if self.source else problem for problem in self.problems]
        return "\n".join(one_line(line) for line in lines)


def listed(problems: Iterable[Callable[[], str]]) -> list[str]:
    """The first problems as lines, and how many more there are.

    Parameters
    ----------
    problems : iterable of callable
        Each returns its line [text]; that takes time, so those that are only counted are not asked.

    Returns
    -------
    list of str
        At most 21 lines.

    Examples
    --------
    >>> listed([lambda: "a", lambda: "b"])
    ['a', 'b']
    >>> listed([lambda: "a"] * 30_000)[19:]
    ['a', 'and 29980 more; the first 20 are listed']
    """
    lines: list[str] = []
    more = 0
    for problem in problems:
        if len(lines) < MOST_LISTED:
            lines.append(problem())
        else:
            more += 1
    return [*lines, f"and {more} more; the first {MOST_LISTED} are listed"] if more else lines


class BuildError(InrushError):
    """A build that is not right: every problem of the file at once."""


class TraceError(InrushError):
    """A capture that cannot be read, with line number and what was expected."""


class UsageError(InrushError):
    """An argument that is not right, of a command or of a function: a range, a count, a colour, an option."""


class SolverError(InrushError):
    """A run that hit a bound or did not converge.

    Parameters
    ----------
    problems : str or sequence of str
        One line each, in the builder's words.
    source : str
        The build that was run; empty where it has no name.
    key : str
        The key of the build, dotted, with another value of which it would end; empty where none is known.
    """

    def __init__(self, problems: str | Sequence[str], source: str = "", key: str = "") -> None:
        self.key = key
        super().__init__(problems, source)


class Cancelled(InrushError):
    """The caller asked to stop."""


def stop_where(cancelled: Callable[[], bool] | None, what: str) -> None:
    """Raise where the caller asks to stop.

    Parameters
    ----------
    cancelled : callable or None
        Asked; None where nobody can ask.
    what : str
        What was not done, for the message.

    Raises
    ------
    Cancelled
        Where it says yes.

    Examples
    --------
    >>> stop_where(lambda: True, "before all starts were run")
    Traceback (most recent call last):
    inrushlib.errors.Cancelled: stopped before all starts were run
    """
    if cancelled is not None and cancelled():
        raise Cancelled(f"stopped {what}")
