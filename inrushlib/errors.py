"""What can go wrong, one message form: the thing, the value, what is accepted.

``BuildError`` for a build, ``TraceError`` for a capture, ``SolverError`` for a run that could not
be finished. Each carries a list of ``problems``, one line each, and prints them all.
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.text import one_line


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


class BuildError(InrushError):
    """A build that is not right: every problem of the file at once."""


class TraceError(InrushError):
    """A capture that cannot be read, with line number and what was expected."""


class SolverError(InrushError):
    """A run that hit a bound or did not converge."""
