"""numba's own code on the disk, of functions that are called alone; nothing beside it can go wrong.

What cannot be loaded is compiled again.

numba lets every error of its cache through: a file cut short, a folder that is gone, a full disk.
Here none of them ends a run. What is loaded is checked first, for damaged machine code would end
the whole process.

``keep``
    give a compiled function a cache in a folder
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator
from typing import Any

from numba.core import config, serialize
from numba.core.caching import CompileResultCacheImpl, FunctionCache, UserProvidedCacheLocator
from numba.core.runtime.nrt import rtsys

from .cache_folder import Entry


class Damaged(ValueError):
    """What was kept is not what was written."""


class _Checked(CompileResultCacheImpl):
    """Keeps each result with its checksum."""

    # No other place: numba's own choice would be beside the sources.
    _locator_classes: list[type[object]] = [UserProvidedCacheLocator]  # noqa: RUF012, as numba declares it

    def reduce(self, result):
        """Return what is kept of a result."""
        data = serialize.dumps(super().reduce(result))
        return hashlib.sha256(data).digest(), data

    def rebuild(self, context, kept):
        """Return the result of what was kept."""
        checksum, data = kept
        if hashlib.sha256(data).digest() != checksum:
            raise Damaged
        return super().rebuild(context, serialize.loads(data))


class _Forgiving(FunctionCache):
    """A function's cache whose failures only cost a compilation."""

    _impl_class = _Checked

    def __init__(self, function: Any, entry: Entry) -> None:
        super().__init__(function)
        self._entry = entry

    def load_overload(self, sig, target_context):
        """Return the kept result, or None to have it compiled."""
        # numba's own first brings in all that it could compile (a quarter of a second). What is kept only has to be
        # loaded, beside the run-time that arrays come with; what is compiled after all, the compiler brings in itself.
        try:
            rtsys.initialize(target_context)
            with self._guard_against_spurious_io_errors():
                return self._load_overload(sig, target_context)
        except Exception:  # a damaged pickle can raise anything
            # The index may be what is damaged: begin a new one.
            with contextlib.suppress(Exception):
                self.flush()
            return None

    def save_overload(self, sig, data):
        """Keep a result where that is possible."""
        # In a folder that someone removed, a new one would not carry our mark.
        if self._entry.is_there():
            with contextlib.suppress(Exception):
                super().save_overload(sig, data)


def keep(dispatcher: Any, entry: Entry) -> Any:
    """Return the compiled function with its code kept in the entry; without, where that cannot be.

    Parameters
    ----------
    dispatcher : object
        What numba's decorator returned.
    entry : Entry
        The folder.
    """
    if not entry.is_there():  # numba would make it anew, without our mark
        return dispatcher
    # numba raises RuntimeError where the folder cannot be written.
    with contextlib.suppress(OSError, RuntimeError), _place(entry):
        # What Dispatcher.enable_caching does, with a cache of our own.
        dispatcher._cache = _Forgiving(dispatcher.py_func, entry)
    return dispatcher


@contextlib.contextmanager
def _place(entry: Entry) -> Iterator[None]:
    """Point numba's settings at the entry while a cache is made."""
    wanted = {"CACHE_DIR": str(entry.folder), "CACHE_LOCATOR_CLASSES": ""}
    before = {name: getattr(config, name, "") for name in wanted}
    for name, value in wanted.items():
        setattr(config, name, value)
    try:
        yield
    finally:
        for name, value in before.items():
            setattr(config, name, value)
