"""Start-up of chained RGB pixel displays: will this adapter boot it, and what to change if not.

The main things, each imported when first asked for so that ``import inrushlib`` stays quick:

``load_build``, ``parse_build``, ``save_build``, ``Build``
    the build file (:mod:`inrushlib.build`)
``simulate``, ``Startup``, ``Verdict``
    the start-up run and its result (:mod:`inrushlib.startup`)
``BuildError``, ``TraceError``, ``SolverError``
    what can go wrong (:mod:`inrushlib.errors`)
"""

from __future__ import annotations

# Nothing is imported here that takes time, and most of that would be typing.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__version__ = "0.1.0"

_HOME = {
    "Build": "build",
    "load_build": "build",
    "parse_build": "build",
    "save_build": "build",
    "Startup": "startup",
    "Verdict": "startup",
    "simulate": "startup",
    "BuildError": "errors",
    "TraceError": "errors",
    "SolverError": "errors",
}

__all__ = sorted(_HOME)


def __getattr__(name: str) -> Any:
    if name in _HOME:
        import importlib

        return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOME])
