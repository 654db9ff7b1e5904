"""The decorators for all compiled code; what is compiled is kept on the disk and never stale.

The compiler is loaded only where something has to be compiled: what was once is called without it. It is kept in a
folder named after a hash of every source of this package and of the laws, for a function is compiled together with all
that it calls: any edit leads to another folder and a fresh compilation.

``compiled``
    the decorator, for all that makes no arrays and is called by compiled code
``inlined``
    the same for what is small and called often: put where it is called
``fused``
    the same, with multiplication and addition in one rounding where the machine can
``compiled_law``
    the same for a law that stands elsewhere in plain Python and calls others of its kind
``entry``
    the same for what Python calls
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from functools import cached_property, update_wrapper
from threading import RLock
from typing import Any

from . import store
from .arguments import Several
from .function import LAWS, Function

_loading = RLock()


class Compiled(Function):
    """A function that compiled code calls."""

    def __init__(self, plain: Callable[..., Any], **options: Any) -> None:
        super().__init__(plain, **options)
        update_wrapper(self, plain)

    @property
    def _numba_type_(self) -> Any:
        """By this numba knows what it is, where compiled code calls it."""
        from .compiler import type_of

        return type_of(self)

    @cached_property
    def alone(self) -> Any:
        """The function compiled for itself, for tests and tools."""
        from .compiler import called_alone

        return called_alone(self)

    def __call__(self, *values: Any) -> Any:
        """Call it from Python, compiled."""
        return self.alone(*values)


class EntryPoint(Compiled):
    """A function that Python calls; gives nothing back.

    Attributes
    ----------
    takes : Several
        Its arguments.
    """

    def __init__(self, plain: Callable[..., Any], takes: Several) -> None:
        super().__init__(plain)
        self.takes = takes

    @property
    def name(self) -> str:
        """Where it stands, and what it is called."""
        return f"{self.plain.__module__.rpartition('.')[2]}.{self.plain.__name__}"

    @cached_property
    def run(self) -> Callable[..., None]:
        """Its machine code, kept or new; where that cannot be called so, what numba makes for Python."""
        from . import machine_code

        with _loading:
            if store.ENTRY is not None and (found := machine_code.read(store.ENTRY, self.name)) is not None:
                with contextlib.suppress(RuntimeError):  # it cannot be linked here
                    return machine_code.bring_in(found, self.takes)
            from . import compiler

            code = compiler.machine_code(self, self.takes)
            if code is None:
                return self.alone
            if store.ENTRY is not None:
                machine_code.write(store.ENTRY, self.name, code)
            return machine_code.bring_in(code, self.takes)

    def __call__(self, *values: Any) -> None:
        """Call it; others can run meanwhile."""
        self.run(*values)


def compiled(function: Callable[..., Any]) -> Compiled:
    """Compile: no Python objects, no global lock held; makes no arrays.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return Compiled(function)


def inlined(function: Callable[..., Any]) -> Compiled:
    """Compile as :func:`compiled` does, and leave no call of it: for small functions that every step comes by.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return Compiled(function, forceinline=True)


def fused(function: Callable[..., Any]) -> Compiled:
    """Compile as :func:`inlined` does, where no one needs ``a b - c d`` to be zero to the last bit.

    Parameters
    ----------
    function : callable
        What to compile.
    """
    return Compiled(function, forceinline=True, fastmath={"contract"})


def compiled_law(law: Callable[..., Any]) -> Compiled:
    """Compile a law of :mod:`inrushlib.laws`, and let the compiler find it where other laws call it by name.

    Parameters
    ----------
    law : callable
        A plain function of numbers.
    """
    made = inlined(law)
    LAWS.append(made)
    return made


def entry(*kinds: Any) -> Callable[[Callable[..., Any]], EntryPoint]:
    """Compile as :func:`compiled` does, for a call from Python; the function gives nothing back.

    Parameters
    ----------
    kinds : Block, Number or Several
        Of its arguments, see :mod:`inrushlib.model.arguments`.
    """
    return lambda function: EntryPoint(function, Several(kinds))
