"""The compiler: the only place that knows numba, loaded only where something has to be compiled.

numba makes of each function all that a call from Python needs, optimises it and writes its machine code, in each
function that calls it once more. Here a function that other compiled code calls is only translated; optimised and
written is what Python calls, once, with all that it calls. That halves the time.

``type_of``       what numba takes a compiled function for, where other compiled code calls it
``called_alone``  a function that Python calls for itself: tests, and tools
``machine_code``  of an entry
"""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator
from functools import cache
from typing import Any

from numba import njit, types
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import CompilerBase, DefaultPassBuilder
from numba.core.compiler_lock import global_compiler_lock
from numba.core.compiler_machinery import register_pass
from numba.core.typed_passes import NativeLowering
from numba.core.typing.templates import builtin_registry
from numba.np.numpy_support import from_dtype

from . import store
from .arguments import POINTER, Block, Number, Several
from .code_cache import keep
from .function import LAWS, OPTIONS, Function
from .machine_code import Code


class _Translated(JITCodeLibrary):
    """A function's code before the machine's: it is made only of what holds all the rest."""

    holds_all = False

    def _optimize_final_module(self):
        if self.holds_all:
            super()._optimize_final_module()

    def _finalize_final_module(self):
        self._finalize_dynamic_globals()
        self._verify_declare_only_symbols()
        self._finalized = True


@register_pass(mutates_CFG=True, analysis_only=False)
class _Translation(NativeLowering):
    """numba's last pass without its end, which makes machine code."""

    _name = "translation"

    def run_pass(self, state):
        """Translate, and let other functions find what was made."""
        state.flags.no_compile = True
        state.library = _Translated(state.targetctx.codegen(), state.func_id.func_qualname)
        super().run_pass(state)
        made = state["cr"]
        # numba knows what it made by what Python would call, which has to be built in; nothing calls this one.
        unique: list[Any] = []
        name = unique.append
        state.targetctx.insert_user_function(name, made.fndesc, [state.library])
        state["cr"] = made._replace(cfunc=name)
        return True


class _Translator(CompilerBase):
    def define_pipelines(self):
        """Return numba's own passes, the last one replaced."""
        manager = DefaultPassBuilder.define_nopython_pipeline(self.state)
        manager.passes[:] = [(_Translation if each is NativeLowering else each, says) for each, says in manager.passes]
        manager._finalized = False
        manager.finalize()
        return [manager]


@cache
def _translated(function: Function) -> Any:
    options: dict[str, Any] = {**OPTIONS, **function.options, "no_cpython_wrapper": True}
    return njit(pipeline_class=_Translator, **options)(function.plain)


def type_of(function: Function) -> Any:
    """What numba takes a compiled ``function`` for."""
    _teach_laws()
    return types.Dispatcher(_translated(function))


def _teach_laws() -> None:
    """Let the compiler find the laws where they call each other by name, in plain Python."""
    while LAWS:
        law = LAWS.pop()
        builtin_registry.register_global(law.plain, types.Dispatcher(_translated(law)))


@cache
def called_alone(function: Function) -> Any:
    """Return what Python can call for ``function``."""
    _teach_laws()
    alone = njit(**OPTIONS, **function.options)(function.plain)
    return alone if store.ENTRY is None else keep(alone, store.ENTRY)


def _numba_type(kind: Block | Number | Several) -> Any:
    if isinstance(kind, Block):
        return types.Array(from_dtype(kind.dtype), kind.dimensions, "C")
    if isinstance(kind, Several):
        return types.BaseTuple.from_types([_numba_type(each) for each in kind.kinds])
    return types.int64 if kind.whole else types.float64


def machine_code(function: Function, takes: Several) -> Code | None:
    """Compile an entry.

    Parameters
    ----------
    function : Function
        What to compile; it gives nothing back.
    takes : Several
        Its arguments.

    Returns
    -------
    Code or None
        None where this version of numba calls its code in another way than :mod:`inrushlib.model.arguments` knows.
    """
    _teach_laws()
    sorts = tuple(_numba_type(kind) for kind in takes.kinds)
    with _nothing_collected(), global_compiler_lock:
        made = _translated(function)
        made.compile(sorts)
        result = made.overloads[sorts]
        library = result.library
        library.holds_all = True
        library._ensure_finalized()
        module = library._final_module
        symbol = result.fndesc.llvm_func_name
        given = tuple(str(each.type) for each in module.get_function(symbol).arguments)
        if given != (POINTER, POINTER, *takes.words):
            return None
        outside = [each.name for each in module.functions if each.is_declaration and not each.name.startswith("llvm.")]
        return Code(symbol, module.triple, tuple(outside), library.codegen._tm.emit_object(module))


@contextlib.contextmanager
def _nothing_collected() -> Iterator[None]:
    """Compiling leaves much behind that is needed to its end: looking through it again and again is a tenth of it."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()
