"""What the compiler is given: a function in Python, and how it is compiled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

# A division by zero gives infinity, as in numpy, instead of raising. numba counts references to every array that is
# passed on or sliced, atomically; what makes no array can go without. That option has no place in numba's manual:
# tests/model/test_compiled.py holds it to what it does.
OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True, "_nrt": False}


class Function:
    """A function to be compiled.

    Attributes
    ----------
    plain : callable
        The function in Python.
    options : dict
        How it is compiled, beside what holds for all.
    """

    def __init__(self, plain: Callable[..., Any], **options: Any) -> None:
        self.plain = plain
        self.options = options


LAWS: list[Function] = []
"""Laws that the compiler has not been told of."""
