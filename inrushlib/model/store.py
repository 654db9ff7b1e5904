"""What has been compiled of these sources on this machine: the folder for it, and what is in it.

The folder is named after a hash of every source of this package and of the laws, for a function is compiled together
with all that it calls: any edit leads to another folder and a fresh compilation.

``source_hash``
    of the sources, the compiler's versions and Python's
``ENTRY``
    the folder; None where nothing can be kept
``needs_compiling``, ``mark_compiled``
    whether this machine still has to compile, so that the caller can say so beforehand
"""

from __future__ import annotations

import contextlib
import hashlib
import sys
from importlib.metadata import version
from pathlib import Path

import inrushlib.laws

from .cache_folder import open_entry

SOURCES = (Path(__file__).parent, *map(Path, inrushlib.laws.__path__))


def source_hash() -> str:
    """Return the hash of all compiled sources, of the compiler's versions and of Python's."""
    digest = hashlib.sha256(f"{version('numba')} {version('llvmlite')} {sys.version}".encode())
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
