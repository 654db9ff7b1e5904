"""How far a reading may be off, and what that does to what is worked out from it.

``Instrument``  what is read, and how far it may be off
``Known``       a value of the build that a formula takes beside the readings
``propagate``   values with their intervals and how their errors go together
``Worked``      these
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

LEVEL: Final = 0.95
"""How often an interval is to hold the true value [1]."""
COVERAGE: Final = 1.96
"""Standard uncertainties on either side of the value at that level, errors taken as normal [1]."""
EVEN: Final = sqrt(3.0)
"""Half width of an even distribution over its standard deviation [1]: JCGM 100:2008, 4.3.7."""
LOW_RANGE, HIGH_RANGE = 0.6, 9.0
"""Up to which the current ranges of a handheld meter go, some room left on the higher one [A]."""


class Instrument(Enum):
    """What is read; accuracies of handheld meters of 6,000 counts, of 8-bit scopes and of tapes, from memory."""

    VOLTMETER = "voltmeter, 6 V range"
    MILLIVOLTMETER = "voltmeter, 600 mV range"
    AMMETER_LOW = "ammeter, 600 mA range"
    AMMETER = "ammeter, 10 A range"
    CLAMP = "clamp meter for direct current"
    SHUNT = "scope across a 1 % shunt"
    SCOPE_TIME = "scope, cursors on the edges"
    TAPE = "tape measure"

    @property
    def gain(self) -> float:
        """Share by which all its readings may be off together [1]."""
        return _LIMITS[self][0]

    @property
    def floor(self) -> float:
        """By how much each reading may be off beside that [unit of the reading]."""
        return _LIMITS[self][1]


_LIMITS: Final = {
    Instrument.VOLTMETER: (5e-3, 2e-3),
    Instrument.MILLIVOLTMETER: (5e-3, 0.2e-3),
    Instrument.AMMETER_LOW: (1e-2, 0.3e-3),
    Instrument.AMMETER: (1.5e-2, 30e-3),
    Instrument.CLAMP: (2.5e-2, 0.1),
    Instrument.SHUNT: (4e-2, 2e-3),
    Instrument.SCOPE_TIME: (1e-3, 0.5e-3),
    Instrument.TAPE: (1e-3, 5e-3),
}


def ammeter_for(current: float) -> Instrument:
    """Return the range on which a current is read.

    Parameters
    ----------
    current : float
        The current [A].

    Examples
    --------
    >>> [ammeter_for(current).name for current in (0.1, 2.0, 20.0)]
    ['AMMETER_LOW', 'AMMETER', 'CLAMP']
    """
    if abs(current) <= LOW_RANGE:
        return Instrument.AMMETER_LOW
    return Instrument.AMMETER if abs(current) <= HIGH_RANGE else Instrument.CLAMP


@dataclass(frozen=True)
class Known:
    """A value that a formula takes beside the readings.

    Attributes
    ----------
    key : str
        Dotted.
    value : float
        The build's [unit of the key, SI].
    half : float
        Half the width of its range [the same unit].
    """

    key: str
    value: float
    half: float


@dataclass(frozen=True)
class Worked:
    """Values that were worked out from readings.

    Attributes
    ----------
    values : tuple of float
        In the order of the formula [units of the keys, SI].
    uncertainties : tuple of float
        Standard uncertainty of each [the same units].
    correlation : tuple of tuple of float
        How their errors go together [1].
    """

    values: tuple[float, ...]
    uncertainties: tuple[float, ...]
    correlation: tuple[tuple[float, ...], ...]

    def interval(self, place: int) -> tuple[float, float]:
        """Return low and high of one value at the level of 95 % [unit of the key, SI].

        Parameters
        ----------
        place : int
            Which [1].
        """
        half = COVERAGE * self.uncertainties[place]
        return self.values[place] - half, self.values[place] + half


Formula = Callable[[Sequence[float], Sequence[float]], Sequence[float]]
"""From readings and known values to values."""
Moves = dict[int, float]
"""By how much values are moved, by their place."""


def propagate(
    formula: Formula,
    readings: Sequence[float],
    instruments: Sequence[Instrument],
    known: Sequence[Known],
    method: float,
) -> Worked:
    """Work out values from readings, with their standard uncertainties.

    Each reading is off by its instrument's floor on its own, and all that were read on one instrument are off by its
    gain together, so that it drops out of a difference or a ratio. The law of propagation of uncertainty adds the
    squares of what each of these does alone.

    Parameters
    ----------
    formula : callable
        From readings and known values to values [SI].
    readings : sequence of float
        What was read [SI].
    instruments : sequence of Instrument
        On what.
    known : sequence of Known
        What the formula takes of the build.
    method : float
        Share by which the method itself may be off, for each value on its own [1].

    Notes
    -----
    Source: JCGM 100:2008 (GUM), 5.1.2 with slopes by finite steps of one uncertainty (5.1.3, note 2); 4.3.7 for
    limits without a probability; 5.2 for what goes together.

    Examples
    --------
    >>> on = (Instrument.MILLIVOLTMETER, Instrument.AMMETER)
    >>> found = propagate(lambda r, _: (r[0] / r[1],), (0.1, 2.0), on, (), 0.0)
    >>> round(found.values[0], 3), round(found.uncertainties[0], 5)
    (0.05, 0.00063)
    """
    base, levels = list(readings), [each.value for each in known]
    # What may be off together: readings by how much each for a standard uncertainty, then known values likewise.
    moves: list[tuple[Moves, Moves]] = [({place: each.floor / EVEN}, {}) for place, each in enumerate(instruments)]
    for each in dict.fromkeys(instruments):
        moves.append(({i: base[i] * each.gain / EVEN for i, other in enumerate(instruments) if other is each}, {}))
    moves += [({}, {place: one.half / EVEN}) for place, one in enumerate(known)]
    values = np.array(formula(base, levels), dtype=float)
    slopes = np.array([_effect(formula, base, levels, *move) for move in moves])
    covariance = slopes.T @ slopes + np.diag((method / EVEN * values) ** 2)
    deviations = np.sqrt(np.diag(covariance))
    scale = np.where(deviations > 0, deviations, 1.0)
    table = covariance / np.outer(scale, scale)
    np.fill_diagonal(table, 1.0)
    rows = tuple(tuple(row) for row in table.tolist())
    return Worked(tuple(values.tolist()), tuple(deviations.tolist()), rows)


def _effect(
    formula: Formula, readings: list[float], known: list[float], of_readings: Moves, of_known: Moves
) -> NDArray[np.float64]:
    """Half of what the values differ by from one uncertainty below to one above."""
    ends = [
        np.array(formula(_moved(readings, of_readings, sign), _moved(known, of_known, sign)), dtype=float)
        for sign in (1.0, -1.0)
    ]
    return np.asarray((ends[0] - ends[1]) / 2)


def _moved(values: list[float], moves: Moves, sign: float) -> list[float]:
    return [value + sign * moves.get(place, 0.0) for place, value in enumerate(values)]
