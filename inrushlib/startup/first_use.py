"""The first run on a machine compiles the model: whether it was, and the notice before it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from functools import cache


class Compiles(StrEnum):
    """What of the model takes long to compile: one start and many are the same code."""

    RUN = "run"
    SLACK = "slack"


@contextmanager
def compiling(entry: Compiles) -> Iterator[None]:
    """Say beforehand that ``entry`` is compiled, where this machine has not done so yet."""
    from inrushlib.model.store import mark_compiled, needs_compiling

    first = needs_compiling(entry)
    if first:
        _say_once()
    yield
    if first:
        mark_compiled(entry)


def is_compiled() -> bool:
    """Return whether a start and its slacks have been compiled on this machine; else the first takes seconds longer."""
    from inrushlib.model.store import needs_compiling

    return not any(needs_compiling(entry) for entry in Compiles)


@cache
def _say_once() -> None:
    """Said once a process, however many entries are compiled in it."""
    print("Compiling the model for this machine, once; half a minute at most.", file=sys.stderr, flush=True)
