"""Lengths of wires that a build does not say, and the options that tell them.

``missing_lengths``  which are missing
``option_of``        how one is typed
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.search import lengths_of

_EXAMPLES = {"feed": '"30 cm"', "hop": '"10 cm"'}


def missing_lengths(build: Build) -> tuple[str, ...]:
    """Return which lengths a build does not say: ``"feed"``, ``"hop"``.

    Parameters
    ----------
    build : Build
        The build [SI].
    """
    return tuple(name for name, own in zip(("feed", "hop"), lengths_of(build), strict=True) if own is None)


def option_of(name: str) -> str:
    """Return the option of a length of ``name``, with an example.

    Parameters
    ----------
    name : str
        ``"feed"`` or ``"hop"``.
    """
    return f"--{name}-length {_EXAMPLES[name]}"
