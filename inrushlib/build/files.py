"""Builds from files, texts and values, and back to a file."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

from inrushlib import document
from inrushlib.build.build import Build, make
from inrushlib.files import write_safely
from inrushlib.parts.raw_values import with_put


def load_build(path: str | os.PathLike[str]) -> Build:
    """The build of a file.

    Parameters
    ----------
    path : str or path
        A TOML file in UTF-8.

    Returns
    -------
    Build
        With the file's text, so that saving keeps its comments.

    Raises
    ------
    BuildError
        With every problem of the file at once.
    """
    source = os.fspath(path)
    return parse_build(document.read_text(path), source=source)


def parse_build(text: str, source: str = "build") -> Build:
    """The build of a text.

    Parameters
    ----------
    text : str
        TOML.
    source : str
        Name for messages.

    Returns
    -------
    Build
        With its text, so that saving keeps its comments.

    Raises
    ------
    BuildError
        With every problem of the text at once.

    Examples
    --------
    >>> parse_build("title = 't'").title
    Traceback (most recent call last):
    inrushlib.errors.BuildError: build: adapter.rated_current: value missing; accepted: ...
    """
    return make(document.read_given(text, source), text, source)


def new_build(values: Mapping[str, Any]) -> Build:
    """A build from values, without a file.

    Parameters
    ----------
    values : mapping of str to object
        Dotted key to value, as for :meth:`Build.with_values` [SI, or text with its unit].

    Returns
    -------
    Build
        The build.

    Examples
    --------
    >>> new_build({"title": "t", "adapter.rated_current": "2 A", "wiring.sections": 2,
    ...            "wiring.pixels_per_section": 8}).wiring.pixels_per_section
    (8, 8)
    """
    return make(with_put({}, values), "", "")


def to_toml(build: Build) -> str:
    """The text of a build file: that which it was read from, with what has changed since.

    Parameters
    ----------
    build : Build
        Any build.

    Returns
    -------
    str
        TOML; comments, layout and quantities with units stand as they stood.
    """
    return document.rewrite(build._text, build._as_given())


def save_build(build: Build, path: str | os.PathLike[str]) -> None:
    """Write a build file: wholly or not at all.

    Parameters
    ----------
    build : Build
        Any build.
    path : str or path
        Where to; a file that is there is replaced only when the new one is safely on the disk.

    Raises
    ------
    BuildError
        Where it cannot be written; the old file is left as it was.
    """
    write_safely(to_toml(build), path)
