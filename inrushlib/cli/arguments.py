"""Arguments that are files: which are read, which are written, and that none is both.

``add_input``, ``add_output``, ``add_picture``
    an argument of a command
``check_files``
    what is written is nothing that is read
"""

from __future__ import annotations

import argparse
from itertools import combinations
from pathlib import Path
from typing import Any

from inrushlib.errors import UsageError
from inrushlib.files import same_file

# Kinds of picture that are drawn here, without another program.
PICTURES = (".png", ".svg", ".pdf")


def add_input(parser: argparse.ArgumentParser, name: str, **more: Any) -> None:
    """Add an argument for a file, or files, to read.

    Parameters
    ----------
    parser : ArgumentParser
        Parser of a command.
    name : str
        Name of the argument.
    """
    _note(parser, "inputs", parser.add_argument(name, type=Path, **more))


def add_output(parser: argparse.ArgumentParser, option: str, **more: Any) -> None:
    """Add an option for a file to write.

    Parameters
    ----------
    parser : ArgumentParser
        Parser of a command.
    option : str
        Name of the option, dashes included.
    """
    _note(parser, "outputs", parser.add_argument(option, type=Path, **more))


def add_picture(parser: argparse.ArgumentParser, option: str, **more: Any) -> None:
    """Add an option for a picture to write.

    Parameters
    ----------
    parser : ArgumentParser
        Parser of a command.
    option : str
        Name of the option, dashes included.
    """
    action = parser.add_argument(option, type=Path, **more)
    _note(parser, "outputs", action)
    _note(parser, "pictures", action)


def check_files(options: argparse.Namespace) -> None:
    """Refuse, of the ``options``, outputs that are inputs or each other, and kinds of picture not drawn here.

    Raises
    ------
    UsageError
        With every such output.
    """
    inputs = [path for _, path in _files(options, "inputs")]
    outputs = _files(options, "outputs")
    problems = [
        f"{option} {path}: would overwrite {read}, which is read; accepted: another file"
        for option, path in outputs
        for read in inputs
        if same_file(path, read)
    ]
    problems += [
        f"{option} {path}: is what {other} writes; accepted: another file"
        for (other, one), (option, path) in combinations(outputs, 2)
        if same_file(one, path)
    ]
    problems += [
        f"{option} {path}: no kind of picture that is drawn here; accepted: a file name that ends in .png, .svg or .pdf"
        for option, path in _files(options, "pictures")
        if path.suffix.lower() not in PICTURES
    ]
    if problems:
        raise UsageError(problems)


def _note(parser: argparse.ArgumentParser, kind: str, action: argparse.Action) -> None:
    known = parser.get_default(kind) or {}
    name = action.option_strings[0] if action.option_strings else action.dest
    parser.set_defaults(**{kind: {**known, action.dest: name}})


def _files(options: argparse.Namespace, kind: str) -> list[tuple[str, Path]]:
    """Argument and path of all files of that kind that were given."""
    found = []
    for name, argument in getattr(options, kind, {}).items():
        value = getattr(options, name)
        paths = value if isinstance(value, list) else [value]
        found += [(argument, path) for path in paths if path is not None]
    return found
