"""Machine code without its compiler: kept on the disk, brought into the process, called.

What has been compiled once is needed without numba: importing that takes longer than a hundred starts.

``Code``          what the compiler made of an entry
``read``, ``write``
    its file; one that is damaged is none
``bring_in``      make it callable
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import llvmlite.binding as llvm

from .arguments import DOUBLE, Several
from .cache_folder import Entry

DIGEST = hashlib.sha256().digest_size
DONE = (0, -2)  # statuses of numba's code [1]: a value was given back, or nothing was


@dataclass(frozen=True)
class Code:
    """What the compiler made of an entry.

    Attributes
    ----------
    symbol : str
        Its name in the object file.
    triple : str
        The machine that it is for.
    outside : tuple of str
        Functions of the process that it calls.
    image : bytes
        The object file.
    """

    symbol: str
    triple: str
    outside: tuple[str, ...]
    image: bytes


@cache
def machine() -> str:
    """Name this processor: code for one is not run by another that shares the folder."""
    features = llvm.get_host_cpu_features().flatten()
    chosen = [os.environ.get(name, "") for name in ("NUMBA_CPU_NAME", "NUMBA_CPU_FEATURES", "NUMBA_OPT")]
    words = "\n".join([llvm.get_process_triple(), llvm.get_host_cpu_name(), features, *chosen])
    return hashlib.sha256(words.encode()).hexdigest()[:8]


def _path(entry: Entry, name: str) -> Path:
    return entry.folder / f"{name}-{machine()}.code"


def read(entry: Entry, name: str) -> Code | None:
    """Return the code kept under a ``name`` in the ``entry``; None where there is none that is whole."""
    with contextlib.suppress(OSError, ValueError, KeyError):
        data = _path(entry, name).read_bytes()
        # Checked before anything is made of it: damaged machine code would end the process.
        if hashlib.sha256(data[DIGEST:]).digest() == data[:DIGEST]:
            head, _, image = data[DIGEST:].partition(b"\n")
            told = json.loads(head)
            return Code(told["symbol"], told["triple"], tuple(told["outside"]), image)
    return None


def write(entry: Entry, name: str, code: Code) -> None:
    """Keep ``code`` under a ``name`` in the ``entry`` where that is possible."""
    if not entry.is_there():  # in a folder that someone removed, a new one would not carry our mark
        return
    head = json.dumps({"symbol": code.symbol, "triple": code.triple, "outside": code.outside})
    data = head.encode() + b"\n" + code.image
    with contextlib.suppress(OSError):
        handle, made = tempfile.mkstemp(dir=entry.folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(data).digest() + data)
            os.replace(made, _path(entry, name))
        except BaseException:
            os.unlink(made)
            raise


def bring_in(code: Code, takes: Several) -> Callable[..., None]:
    """Return a function of what the entry ``takes``, which calls its ``code``; it holds no global lock meanwhile."""
    engine = _engine(code)
    words = [ctypes.c_double if word is DOUBLE else ctypes.c_int64 for word in takes.words]
    kind: Any = ctypes.CFUNCTYPE(ctypes.c_int32, ctypes.c_void_p, ctypes.c_void_p, *words)
    address = engine.get_function_address(code.symbol)
    if not address:
        raise RuntimeError(f"no {code.symbol} in its code")
    call = kind(address)

    def run(*values: Any) -> None:
        answer, error = ctypes.c_void_p(), ctypes.c_void_p()
        status = call(ctypes.addressof(answer), ctypes.addressof(error), *takes.spread(values))
        if status not in DONE:
            raise RuntimeError(f"compiled code ended with status {status}")

    run.engine = engine  # type: ignore[attr-defined]  # the code lives as long as what calls it
    return run


def _engine(code: Code) -> Any:
    """Link the code of one entry, apart from all other: names of inner functions are not told apart between them."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    empty = llvm.parse_assembly(f'target triple = "{code.triple}"')
    target = llvm.Target.from_triple(code.triple).create_target_machine(jit=True)
    engine = llvm.create_mcjit_compiler(empty, target)
    # Only now, for an engine lets the process's own functions be found.
    if not all(llvm.address_of_symbol(name) for name in code.outside):
        # What the C library of this system does not have, numba brings along.
        from numba.core.registry import cpu_target

        cpu_target.target_context.codegen()
    engine.add_object_file(llvm.ObjectFileRef.from_data(code.image))
    engine.finalize_object()
    return engine
