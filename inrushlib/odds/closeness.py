"""How close runs came to turning out otherwise: the smallest slack of each, and what is kept of many.

``closeness``     one number a run, the lowest for the worst
``SlackTally``    slacks of the runs that are watched
``SlackSpread``   what one rule had to spare over them
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inrushlib.odds.first_order import FirstOrder
from inrushlib.odds.interval import Estimate
from inrushlib.odds.points import Chunk, Plan
from inrushlib.startup import Headline, Rule, Slacks, Verdict

Array = NDArray[np.float64]
Codes = NDArray[np.int64]

QUANTILES: Final = (0.05, 0.25, 0.5, 0.75, 0.95)
GRADES: Final = np.array([Headline(verdict, "").grade for verdict in Verdict])
"""How well each verdict ends [1]: 0 at the first try, then only after resets, then not."""


@dataclass(frozen=True, kw_only=True)
class SlackSpread:
    """What one rule had to spare, over the runs that were watched.

    Attributes
    ----------
    rule : Rule
        The rule.
    runs : int
        Watched runs in which it has a say [1].
    kept : float
        Share of those in which it kept [1].
    closest : float
        Share of all watched runs in which it came closest of all rules [1].
    least : float
        The least that it had to spare [its unit]; negative where it took effect.
    quantiles : dict of float to float
        Share of the runs to what it had to spare at most in them [its unit].
    """

    rule: Rule
    runs: int
    kept: float
    closest: float
    least: float
    quantiles: dict[float, float]


def closeness(codes: Codes, shares: Array) -> Array:
    """Return one number a run: how well it ends comes first, then its smallest slack.

    Parameters
    ----------
    codes : (n,) array of int
        Places in :class:`~inrushlib.startup.Verdict` [1]; below zero for a run that could not be finished.
    shares : (n, rules) array
        Slacks over the rules' own thresholds [1]; not a number where a rule has no say.

    Returns
    -------
    (n,) array
        The lower the worse [1]; infinite for a run that could not be finished.

    Examples
    --------
    >>> closeness(np.array([0, 0, 5]), np.array([[0.1, 0.5], [0.3, np.nan], [-0.1, 0.2]])).tolist()
    [0.09090909090909091, 0.23076923076923075, -4.090909090909091]
    """
    # Two grades are farther apart than any two slacks.
    return np.where(codes >= 0, bounded(smallest(shares)) - 2.0 * GRADES[np.maximum(codes, 0)], np.inf)


def bounded(shares: Array) -> Array:
    """Return shares of thresholds drawn together to between -1 and 1, in their order.

    A time that is many times too long is no more hopeless than a voltage that is halved.

    Parameters
    ----------
    shares : array
        Slacks over thresholds [1]; infinite where no rule has a say.

    Examples
    --------
    >>> bounded(np.array([0.0, 1.0, -3.0, np.inf])).tolist()
    [0.0, 0.5, -0.75, 1.0]
    """
    with np.errstate(invalid="ignore"):
        return np.where(np.isinf(shares), np.sign(shares), shares / (1.0 + np.abs(shares)))


def smallest(shares: Array) -> Array:
    """Return the smallest slack of each run, infinite where no rule has a say.

    Parameters
    ----------
    shares : (n, rules) array
        Slacks over the rules' own thresholds [1].

    Examples
    --------
    >>> smallest(np.array([[0.2, np.nan], [np.nan, np.nan]])).tolist()
    [0.2, inf]
    """
    return np.asarray(np.where(np.isnan(shares), np.inf, shares).min(axis=1))


class SlackTally:
    """Slacks of the runs that are watched: at most so many, so that what is held does not grow with the runs.

    Parameters
    ----------
    planned : Plan
        Of all runs.
    dimensions : int
        Columns of the points [1].
    """

    def __init__(self, planned: Plan, dimensions: int) -> None:
        self._values: list[Array] = []
        self._first: list[NDArray[np.int64]] = []
        self._worst: tuple[float, Array, int] | None = None
        self._order = FirstOrder(planned.replicates, dimensions, planned.watched)

    def add(self, chunk: Chunk, codes: Codes, slacks: Slacks) -> None:
        """Take in the watched runs of a chunk.

        Parameters
        ----------
        chunk : Chunk
            The points; the first of them were watched.
        codes : (n,) array of int
            Verdicts of all its runs [1].
        slacks : Slacks
            Of those that were watched.
        """
        codes, points = codes[: chunk.watched], chunk.points[: chunk.watched]
        known = (codes >= 0) & np.isfinite(smallest(slacks.shares))
        self._values.append(slacks.values[known])
        first = np.argmin(np.where(np.isnan(slacks.shares), np.inf, slacks.shares), axis=1)
        self._first.append(first[known])
        if not known.any():
            return
        margin = bounded(smallest(slacks.shares[known]))
        self._order.add(chunk.replicate, points[known], margin)
        close = np.where(known, closeness(codes, slacks.shares), np.inf)
        i = int(np.argmin(close))
        if self._worst is None or close[i] < self._worst[0]:
            self._worst = (float(close[i]), points[i], int(codes[i]))

    @property
    def runs(self) -> int:
        """Watched runs that could be finished [1]."""
        return sum(len(each) for each in self._values)

    def worst(self) -> tuple[Array, int] | None:
        """Return the point of the worst run and its verdict's number; None where none was watched."""
        return None if self._worst is None else self._worst[1:]

    def indices(self) -> list[Estimate]:
        """Return how much of the smallest slack's variance knowing each dimension settles [1]; empty for no runs."""
        if not self.runs:
            return []
        return self._order.indices()

    def spreads(self) -> tuple[SlackSpread, ...]:
        """Return what each rule had to spare, the one that came closest most often first."""
        if not self.runs:
            return ()
        values, first = np.concatenate(self._values), np.concatenate(self._first)
        found = []
        for i, rule in enumerate(Rule):
            known = values[np.isfinite(values[:, i]), i]
            if len(known):
                ends = np.quantile(known, QUANTILES)
                found.append(
                    SlackSpread(
                        rule=rule,
                        runs=len(known),
                        kept=float(np.mean(known >= 0.0)),
                        closest=float(np.mean(first == i)),
                        least=float(known.min()),
                        quantiles=dict(zip(QUANTILES, ends.tolist(), strict=True)),
                    )
                )
        return tuple(sorted(found, key=lambda each: -each.closest))
