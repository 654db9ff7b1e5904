"""What an entry into the compiled code takes, known to Python, to the compiler and to the machine.

Machine code is called as numba's own code calls it: numbers and pointers one after the other, an array as what owns it
(twice nothing), entries, bytes of each, where it begins, lengths, strides. The compiler is held to that layout, see
:mod:`inrushlib.model.compiler`.

``Block``, ``Number``, ``Several``
    kinds of arguments
``Standing``
    a tuple that is passed again and again
``RECORDS``, ``REALS``, ``ROWS``, ``TABLES``, ``PLACES``, ``REAL``, ``WHOLE``
    those that there are
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np

from . import layout as at

_BYTE = ctypes.c_char

# The machine's kinds of a word, as the compiler writes them.
POINTER, INTEGER, DOUBLE = "ptr", "i64", "double"


@dataclass(frozen=True)
class Block:
    """An array without gaps.

    Attributes
    ----------
    dtype : dtype
        Of an entry.
    dimensions : int
        How many [1].
    """

    dtype: Any
    dimensions: int

    @property
    def words(self) -> tuple[str, ...]:
        """What the machine is given of it."""
        return (POINTER, POINTER, INTEGER, INTEGER, POINTER, *2 * self.dimensions * (INTEGER,))

    def spread(self, value: Any) -> tuple[Any, ...]:
        """Return an array ``value`` as these words."""
        dtype = value.dtype
        alike = dtype is self.dtype or dtype == self.dtype
        if not alike or value.ndim != self.dimensions or not value.flags.c_contiguous:
            raise TypeError(f"an array of {value.dtype}, {value.ndim} dimensions; expected {self}, without gaps")
        return (0, 0, value.size, value.itemsize, self._address(value), *value.shape, *value.strides)

    def _address(self, value: Any) -> int:
        """Where an array begins: the quickest way that numpy has for it."""
        # Of a record, what it says of its buffer or interface lists all fields: up to a quarter of a millisecond.
        if self.dtype.names is None and value.size and value.flags.writeable:
            return ctypes.addressof(_BYTE.from_buffer(value))
        return int(value.ctypes.data)


@dataclass(frozen=True)
class Number:
    """A number.

    Attributes
    ----------
    whole : bool
        Whether it has no fraction.
    """

    whole: bool

    @property
    def words(self) -> tuple[str, ...]:
        """What the machine is given of it."""
        return (INTEGER,) if self.whole else (DOUBLE,)

    def spread(self, value: Any) -> tuple[Any, ...]:
        """Return a number ``value`` as that word."""
        return (int(value),) if self.whole else (float(value),)


class Standing(tuple[Any, ...]):
    """Arrays that stand where they are through many calls: they are spread once."""

    words: tuple[Any, ...] | None = None


@dataclass(frozen=True)
class Several:
    """A tuple.

    Attributes
    ----------
    kinds : tuple
        Of its entries.
    """

    kinds: tuple[Any, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """What the machine is given of it."""
        return tuple(chain.from_iterable(kind.words for kind in self.kinds))

    def spread(self, value: Any) -> tuple[Any, ...]:
        """Return a tuple ``value`` as these words."""
        if isinstance(value, Standing):
            if value.words is None:
                value.words = self.spread(tuple(value))
            return value.words
        if len(value) != len(self.kinds):
            raise TypeError(f"{len(value)} arguments; expected {len(self.kinds)}")
        words: list[Any] = []
        for kind, each in zip(self.kinds, value, strict=True):
            words += kind.spread(each)
        return tuple(words)


RECORDS = Block(at.PARTS, 1)
REALS, ROWS, TABLES = (Block(np.dtype(np.float64), dimensions) for dimensions in (1, 2, 3))
PLACES = Block(np.dtype(np.int64), 1)
REAL, WHOLE = Number(whole=False), Number(whole=True)
