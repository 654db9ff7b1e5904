"""What the commands share in printing: values and tables as text, JSON, pictures, progress."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from inrushlib.answers.blocks import Answer
from inrushlib.answers.terminal import render
from inrushlib.build import Build
from inrushlib.errors import BuildError, InrushError
from inrushlib.files import write_safely
from inrushlib.parts import Place
from inrushlib.text import LONGEST, for_terminal, one_line

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 130
POINTS_PER_INCH = 72


def say(text: str, to_stderr: bool = False) -> None:
    """Print a page of words; what a builder wrote in it does nothing to the terminal.

    Parameters
    ----------
    text : str
        What to print.
    to_stderr : bool
        Whether it goes to stderr, beside the answer.
    """
    print(for_terminal(text), file=sys.stderr if to_stderr else sys.stdout, flush=True)


def title(words: str) -> str:
    """Return a title, or a name, as one line that is not too long.

    Parameters
    ----------
    words : str
        As the builder wrote them.
    """
    return one_line(words, LONGEST)


def sentence(text: str) -> str:
    """Return the text with a capital and a full stop.

    Parameters
    ----------
    text : str
        Words, at least one.
    """
    return text[:1].upper() + text[1:].rstrip(".") + "."


def to_json(answer: Any) -> str:
    """Return an answer as JSON: data classes as objects, arrays as lists, NaN as null.

    Parameters
    ----------
    answer : object
        Data classes, dicts, lists, arrays, enumerations, numbers and text, one in the other.
    """
    return json.dumps(_plain(answer), indent=1, allow_nan=False)


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Place):
        return value.name
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | np.generic):
        return _plain(value.tolist())
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return None if isinstance(value, float) and not np.isfinite(value) else value


def save_picture(
    path: Path, width: float, height: float, draw: Callable[[Figure], object], *, fitted: bool = True
) -> None:
    """Draw on a figure and write it; the path's ending says which kind.

    Parameters
    ----------
    path : Path
        File to write, ending in .png, .svg or .pdf.
    width, height : float
        Size of the figure [in].
    draw : callable
        What draws on it.
    fitted : bool
        Whether what is drawn is fitted into the figure; not where it lays itself out.

    Raises
    ------
    BuildError
        Where the file cannot be written.
    """
    from matplotlib.figure import Figure

    kind = path.suffix[1:].lower()
    # What lays itself out does so in dots: the same as it is written in.
    dots = DOTS_PER_INCH if kind == "png" else POINTS_PER_INCH
    figure = Figure(figsize=(width, height), dpi=dots, layout="constrained" if fitted else None)
    draw(figure)
    picture = io.BytesIO()
    trimmed: dict[str, Any] = {"bbox_inches": "tight", "pad_inches": 0.15} if fitted else {}
    figure.savefig(picture, format=kind, dpi=dots, **trimmed)
    write_safely(picture.getvalue(), path)


def write_each(*writes: Callable[[], None]) -> None:
    """Write several outputs; one that cannot be written keeps none of the others back.

    Raises
    ------
    BuildError
        With the problems of all.
    """
    problems: list[str] = []
    for write in writes:
        try:
            write()
        except InrushError as error:
            problems += str(error).splitlines()
    if problems:
        raise BuildError(problems)


def print_answer(answer: Answer, found: Any, build: Build, *, as_json: bool) -> None:
    """Print an answer as a page or as JSON, and what of its build has no effect.

    Parameters
    ----------
    answer : Answer
        For the page.
    found : object
        The same for JSON, as :func:`to_json` takes it.
    build : Build
        What it is the answer for.
    as_json : bool
        Which of the two.
    """
    say(to_json(found) if as_json else render(answer))
    tell_unused([build], as_json=as_json)


def tell_unused(builds: Iterable[Build], *, as_json: bool) -> None:
    """Say in one line, below the page, what of the builds has no effect; on stderr where the page is JSON.

    Parameters
    ----------
    builds : iterable of Build
        Builds of the answer.
    as_json : bool
        Whether the answer is JSON, which takes no line more.
    """
    for text in dict.fromkeys(build.tolerance.unused for build in builds):
        if text:
            say(text if as_json else f"\n  {text}", to_stderr=as_json)


def tell_share(share: float, of: str = "of the map") -> None:
    """Say how far a map is, on a terminal's stderr.

    Parameters
    ----------
    share : float
        Share that is done [1].
    of : str
        Of what.
    """
    if not sys.stderr.isatty():
        return
    print(f"\r{share:4.0%} {of}", end="\n" if share >= 1 else "", file=sys.stderr, flush=True)
