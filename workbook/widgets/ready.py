"""What a kernel does before a page asks for it: load all that pages need, so that they are there at once."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from importlib import import_module

from ipywidgets import register_comm_target

from inrushlib.build import load_build
from inrushlib.plots import LivePicture
from inrushlib.startup import is_compiled, simulate
from widgets.boot_page import EXAMPLE
from widgets.files import shipped

LATER = ("pandas", "scipy.ndimage", "scipy.linalg", "scipy.optimize", "scipy.stats")
"""Loaded by some pages when they come to need it, half a second each."""
TURN = 0.5e-3  # [s]
"""After which a thread lets another on: Python's own 5 ms would hold up a finished picture while its words are made."""

_ready = False


def get_ready() -> None:
    """Load all that pages need.

    What is ready stays so, also in a process that is forked from one that is: there is nothing more to do then.
    """
    if not _ready:
        for _ in in_steps():
            pass


def in_steps() -> Iterator[None]:
    """Load what every page needs, and in a second step what some come to need later.

    Yields
    ------
    None
        Between the two.
    """
    if not _ready:
        _load_pages()
    yield
    for name in LATER:
        import_module(name)
    _keep()


def _load_pages() -> None:
    """Import every page, load the compiled model and draw once; the model is not compiled here where it is not yet.

    On a machine that is new to it, the first page compiles it and says so meanwhile; two processes that do so at the
    same time would take as long as one after the other.
    """
    global _ready
    _ready = is_compiled()
    register_comm_target()  # done by importing it, but not in a process that kernels are only forked from
    picture = LivePicture()
    if _ready:
        start = simulate(load_build(shipped("builds") / EXAMPLE))
        picture.png(start)
        start.slack  # noqa: B018  # loads what marks the margin
    _keep()
    sys.setswitchinterval(TURN)


def _keep() -> None:
    """Keep what is loaded: to look through all of it for garbage again would hold a page up for a tenth of a second."""
    gc.collect()
    gc.freeze()
