"""The first run on a machine compiles the model: whether it was, and the notice before it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache


@contextmanager
def compiling(entry: str) -> Iterator[None]:
    """Log a notice before the first compilation of ``entry`` on this machine."""
    from inrushlib.model.store import mark_compiled, needs_compiling

    first = needs_compiling(entry)
    if first:
        _say_once()
    yield
    if first:
        mark_compiled(entry)


def is_compiled() -> bool:
    """Return whether a start has been compiled on this machine; else the first one takes some seconds longer."""
    from inrushlib.model.store import needs_compiling

    return not needs_compiling("run")


@cache
def _say_once() -> None:
    """Said once a process, however many entries are compiled in it."""
    print("Compiling the model for this machine, once; half a minute at most.", file=sys.stderr, flush=True)
