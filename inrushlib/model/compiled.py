"""One decorator for all compiled code, and a disk cache that is never stale.

numba notices an edit of the file a function stands in, not of the helpers it calls from other
files. So the cache lives in a folder named after a hash of every source of this package and of the laws: any
edit leads to another folder and a fresh compilation.

``compiled``
    the decorator, for all that makes no arrays
``inlined``
    the same for what is small and called often: put where it is called
``fused``
    the same, with multiplication and addition in one rounding where the machine can
``compiled_law``
    the same for a law that stands elsewhere in plain Python and calls others of its kind
``needs_compiling``, ``mark_compiled``
    whether this machine still has to compile, so that the caller can say so beforehand
"""

from __future__ import annotations

import contextlib
import hashlib
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba
from numba import njit
from numba.extending import register_jitable

import inrushlib.laws

from .cache_folder import open_entry
from .code_cache import keep

SOURCES = (Path(__file__).parent, *map(Path, inrushlib.laws.__path__))
MATHS = "numpy"  # a division by zero gives infinity, as in numpy, instead of raising


def source_hash() -> str:
    """Return the hash of all compiled sources, of numba's version and of Python's."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for folder in SOURCES:
        for path in sorted(folder.glob("*.py")):
            digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:16]


ENTRY = open_entry(source_hash())


def needs_compiling(entry: str) -> bool:
    """Say whether ``entry`` still has to be compiled on this machine (some seconds)."""
    return ENTRY is None or not (ENTRY.folder / f"{entry}.compiled").exists()


def mark_compiled(entry: str) -> None:
    """Remember that ``entry`` has been compiled from these sources on this machine."""
    if ENTRY is not None:
        with contextlib.suppress(OSError):  # the folder is gone, or the disk is full: it is said again next time
            (ENTRY.folder / f"{entry}.compiled").touch()


OPTIONS: dict[str, Any] = {"nogil": True, "error_model": MATHS, "no_cfunc_wrapper": True}

# numba counts references to every array that is passed on or sliced, atomically. What makes no array can go without.
# The option has no place in numba's manual: tests/model/test_compiled.py holds it to what it does.
UNCOUNTED: dict[str, Any] = {"_nrt": False}


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile with numba: no Python objects, no global lock held, cached beside its sources' hash; makes no arrays.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return _kept(njit(**OPTIONS, **UNCOUNTED)(function))


def inlined(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile as :func:`compiled` does, and leave no call of it: for small functions that every step comes by.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return _kept(njit(**OPTIONS, **UNCOUNTED, forceinline=True)(function))


def fused(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile as :func:`inlined` does, where no one needs ``a b - c d`` to be zero to the last bit.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return _kept(njit(**OPTIONS, **UNCOUNTED, forceinline=True, fastmath={"contract"})(function))


def _kept(dispatcher: Callable[..., Any]) -> Callable[..., Any]:
    return dispatcher if ENTRY is None else keep(dispatcher, ENTRY)


def compiled_law(law: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a law of :mod:`inrushlib.laws`, and let the compiler find it where other laws call it by name.

    Parameters
    ----------
    law : callable
        A plain function of numbers.
    """
    return inlined(register_jitable(error_model=MATHS, forceinline=True)(law))
