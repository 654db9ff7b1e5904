"""One decorator for all compiled code, and a disk cache that is never stale.

numba notices an edit of the file a function stands in, not of the helpers it calls from other
files. So the cache lives in a folder named after a hash of every source of this package: any edit
leads to another folder and a fresh compilation.

``compiled``
    the decorator
``needs_compiling``, ``mark_compiled``
    whether this machine still has to compile, so that the caller can say so beforehand
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba
from numba import njit
from numba.core import config

KEPT_FOLDERS = 4


def source_hash() -> str:
    """Return the hash of all compiled sources, of numba's version and of Python's."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:16]


def _candidates() -> list[Path]:
    given = os.environ.get("INRUSH_CACHE_DIR")
    if given:
        return [Path(given)]
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    return [Path(base) / "inrushlib", Path(tempfile.gettempdir()) / f"inrushlib-{os.environ.get('USER', 'user')}"]


def _drop_old(parent: Path) -> None:
    """Remove all but the newest folders of earlier sources."""
    folders = sorted((p for p in parent.iterdir() if p.is_dir()), key=lambda p: p.stat().st_mtime)
    for folder in folders[:-KEPT_FOLDERS]:
        shutil.rmtree(folder, ignore_errors=True)


def cache_folder() -> Path | None:
    """Return the first writable folder for the compiled code, made if need be, or None."""
    for parent in _candidates():
        folder = parent / source_hash()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                pass
            _drop_old(parent)
        except OSError:
            continue
        return folder
    return None


FOLDER = cache_folder()


def needs_compiling(entry: str) -> bool:
    """Say whether ``entry`` still has to be compiled on this machine (some seconds)."""
    return FOLDER is None or not (FOLDER / f"{entry}.compiled").exists()


def mark_compiled(entry: str) -> None:
    """Remember that ``entry`` has been compiled from these sources on this machine."""
    if FOLDER is not None:
        (FOLDER / f"{entry}.compiled").touch()


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile with numba: no Python objects, no global lock held, cached beside its sources' hash."""
    options: dict[str, Any] = {"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True}
    if FOLDER is None:
        return njit(**options)(function)
    before = config.CACHE_DIR  # type: ignore[attr-defined]
    config.CACHE_DIR = str(FOLDER)  # type: ignore[attr-defined]
    try:
        return njit(cache=True, **options)(function)
    finally:
        config.CACHE_DIR = before  # type: ignore[attr-defined]
