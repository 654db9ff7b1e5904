"""How far the true value of a key may be from the one that a build has.

Two ranges a key. A value that was given is that of a part, and parts scatter: the narrower range. A value that was
not given is a guess at the part itself: the wider one, over what is sold. A key that a builder chooses, counts or
reads off (a delay in the program, a number of pixels) has no range, and says why.

``Typical``   both ranges of a key, or why it has none
``Range``     one range, and what it is counted from
``From``      what a range is counted from
``typical``, ``typical_share``, ``exact``
    how they are written down
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T", float, NDArray[np.float64])

PRACTICE: Final = "common practice, no source"
ELECTROLYTIC: Final = f"aluminium electrolytic, tolerance code M: 20 %; an assumed one: {PRACTICE}"

CHOSEN: Final = "chosen in the program"
COUNTED: Final = "counted"
SCENARIO: Final = "the scenario that is tried"
NO_EFFECT: Final = "does not change how the start ends"


class From(Enum):
    """What the ends of a range are counted from."""

    ZERO = "the ends are values"
    VALUE = "the ends are factors of the build's value"
    OFFSET = "the ends are added to the build's value"


@dataclass(frozen=True)
class Range:
    """One range.

    Attributes
    ----------
    low, high : float
        Its ends [unit of the key, or 1 where they are factors].
    counted : From
        What they are counted from.

    Examples
    --------
    >>> Range(0.8, 1.2, From.VALUE).around(10.0)
    (8.0, 12.0)
    """

    low: float
    high: float
    counted: From

    def around(self, value: T) -> tuple[T | float, T | float]:
        """Return the ends for a build's value [unit of the key].

        Parameters
        ----------
        value : float or array
            The build's value, or many [unit of the key, SI].
        """
        match self.counted:
            case From.ZERO:
                return self.low, self.high
            case From.VALUE:
                return self.low * value, self.high * value
            case From.OFFSET:
                return self.low + value, self.high + value


@dataclass(frozen=True, kw_only=True)
class Typical:
    """Both ranges of a key, or why it has none.

    Attributes
    ----------
    scatter : Range or None
        Of a value that was given: how much parts of one kind differ.
    unknown : Range or None
        Of a value that was assumed: what parts of the trade have. None also where there is nothing to assume.
    source : str
        Where the ranges come from.
    exact : str
        Why there is no range; empty where there is one.
    follows : tuple of str
        Keys of the same table that a value which was not given is worked out from: where all of them are known, so is
        it, and its range is that of a given one.
    """

    scatter: Range | None = None
    unknown: Range | None = None
    source: str = ""
    exact: str = ""
    follows: tuple[str, ...] = ()


def typical(
    low: float,
    high: float,
    *,
    scatter: float | tuple[float, float] = 0.2,
    source: str = PRACTICE,
    follows: tuple[str, ...] = (),
) -> Typical:
    """Ranges of a key whose parts have values from ``low`` to ``high``.

    Parameters
    ----------
    low, high : float
        What an assumed value may be [unit of the key].
    scatter : float or (float, float)
        Share by which a given one may be off, or the least and the largest factor [1].
    source : str
        Where that comes from.
    follows : tuple of str
        Keys of the same table that an assumed value is worked out from [text].

    Returns
    -------
    Typical
        Both ranges.

    Examples
    --------
    >>> typical(470e-6, 2200e-6).unknown.around(1000e-6)
    (0.00047, 0.0022)
    """
    return Typical(scatter=_factors(scatter), unknown=Range(low, high, From.ZERO), source=source, follows=follows)


def typical_share(
    low: float,
    high: float,
    *,
    scatter: float | tuple[float, float] = 0.2,
    source: str = PRACTICE,
    follows: tuple[str, ...] = (),
) -> Typical:
    """Ranges of a key whose assumed value may be off by factors, such as one that follows from another key.

    Parameters
    ----------
    low, high : float
        Factors of the assumed value [1].
    scatter : float or (float, float)
        Share by which a given one may be off, or the least and the largest factor [1].
    source : str
        Where that comes from.
    follows : tuple of str
        Keys of the same table that an assumed value is worked out from [text].

    Returns
    -------
    Typical
        Both ranges.

    Examples
    --------
    >>> typical_share(0.5, 2.0).unknown.around(0.1)
    (0.05, 0.2)
    """
    return Typical(scatter=_factors(scatter), unknown=Range(low, high, From.VALUE), source=source, follows=follows)


def scatters(scatter: float | tuple[float, float], *, source: str = PRACTICE) -> Typical:
    """Range of a key that stands for nothing fitted while it is not given: only a given value is off.

    Parameters
    ----------
    scatter : float or (float, float)
        Share by which a given value may be off, or the least and the largest factor [1].
    source : str
        Where that comes from.

    Returns
    -------
    Typical
        The range of a given value.

    Examples
    --------
    >>> scatters(0.2).unknown is None
    True
    """
    return Typical(scatter=_factors(scatter), source=source)


def exact(why: str) -> Typical:
    """A key without a range.

    Parameters
    ----------
    why : str
        Why there is none.

    Returns
    -------
    Typical
        No range.

    Examples
    --------
    >>> exact(COUNTED).exact
    'counted'
    """
    return Typical(exact=why)


def all_exact(why: str, *keys: str) -> dict[str, Typical]:
    """Keys without ranges, for the same reason.

    Parameters
    ----------
    why : str
        Why there is none.
    *keys : str
        Their names in their table [text].

    Returns
    -------
    dict of str to Typical
        One entry a key.

    Examples
    --------
    >>> list(all_exact(CHOSEN, "gate_delay", "content_delay"))
    ['gate_delay', 'content_delay']
    """
    return dict.fromkeys(keys, exact(why))


def _factors(scatter: float | tuple[float, float]) -> Range:
    low, high = scatter if isinstance(scatter, tuple) else (1 - scatter, 1 + scatter)
    return Range(low, high, From.VALUE)
