"""What to ask next: the last line of a page, a command that is ready to be typed.

``NextStep``   the question, and its command
``tell_next``  prints it
"""

from __future__ import annotations

import shlex
from enum import Enum
from pathlib import Path

from inrushlib.cli.output import say


class NextStep(Enum):
    """A question that follows from an answer: in words, then its command, with the build file at the braces."""

    REMEDIES = ("find what would help", "inrush remedies {}")
    MEASURE = ("what to measure first", "inrush guide {}")
    ODDS = ("how sure that is", "inrush spread {}")
    SAVE = ("write a build file for each", "inrush remedies {} --save-all FOLDER")
    WIRES = ("which wires that takes", "inrush wires {}")
    SHEET = ("pages for the bench", "inrush sheet {} -o SHEET.pdf")

    def line(self, path: Path, *more: str) -> str:
        """Return the words and the command.

        Parameters
        ----------
        path : Path
            The build file that was asked about.
        *more : str
            What else the command has to be told, as it is typed.

        Examples
        --------
        >>> NextStep.REMEDIES.line(Path("my board.toml"))
        "Next: find what would help: inrush remedies 'my board.toml'"
        """
        words, command = self.value
        return " ".join((f"Next: {words}: {command.format(shlex.quote(str(path)))}", *more))


def tell_next(step: NextStep, path: Path, *more: str, as_json: bool) -> None:
    """Print the next command below a page; nothing below JSON.

    Parameters
    ----------
    step : NextStep
        Which.
    path : Path
        The build file that was asked about.
    *more : str
        What else the command has to be told, as it is typed.
    as_json : bool
        Whether the answer was JSON.
    """
    if not as_json:
        say(f"\n  {step.line(path, *more)}")
