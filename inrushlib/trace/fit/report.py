"""What a fit says about each key, and about keys that the capture cannot tell apart.

``FittedKey``     one key
``report_keys``   all of them
``report_ties``   sets of keys that only a combination of is told
``one_sided``     keys that are only bounded
``untold_key``    a key that stays where it started
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from inrushlib.trace.fit.least_squares import Uncertainty
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.fit.remark import Outcome, Remark
from inrushlib.trace.prepare import FloatArray

UNTOLD = 0.3  # relative error from which a value is not told by the capture
TIED = 0.97  # correlation from which two are tied
NO_SLOPE_TELLS = 0.9999  # correlation from which the slopes, good to some 1 %, cannot tell two apart
LOOSE = 0.03  # relative error below which a tie does not matter
NORMAL_95 = 1.96
FAR = 0.3  # logarithm by which a key is moved to see whether the capture minds
ONE_SIDED = 4.0  # growth of the sum of squares below which it does not
AT_ITS_BOUND = 1.001  # factor from a bound, within which a value counts as at it


@dataclass(frozen=True, kw_only=True)
class FittedKey:
    """One fitted key, SI.

    Attributes
    ----------
    value, start, low, high : float
        Fitted value, where it started, bounds.
    error : float or None
        Standard error, residuals' memory counted; None where the capture does not tell the value.
    plain_error : float or None
        The same as if all residuals were independent.
    interval : tuple of float or None
        Where the true value is with 95 % confidence, if the model holds; None where there is no error.
    remark : Remark
        What the capture tells of it: why there is no error, or why it is not to be trusted.
    stays : bool
        Whether it stayed at its start, since the capture does not tell it.
    """

    value: float
    error: float | None
    plain_error: float | None
    interval: tuple[float, float] | None
    start: float
    low: float
    high: float
    remark: Remark
    stays: bool = False

    @property
    def outcome(self) -> Outcome:
        """What the capture tells of it."""
        return self.remark.outcome

    @property
    def told_together(self) -> bool:
        """Whether it was fitted, but is told only together with another key or with the time shift."""
        return self.outcome is Outcome.ONLY_TOGETHER and not self.stays

    @property
    def note(self) -> str:
        """The remark in words; empty where there is nothing to remark."""
        return f"{self.remark.sentence}; it stays at its start" if self.stays else self.remark.sentence

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI."""
        return {
            "value": self.value,
            "error": self.error,
            "plain_error": self.plain_error,
            "interval": self.interval,
            "start": self.start,
            "low": self.low,
            "high": self.high,
            "outcome": self.outcome.value,
            "note": self.note,
        }


def report_keys(
    problem: Problem,
    x: FloatArray,
    errors: FloatArray,
    plain: FloatArray,
    ties: list[Remark],
    draws: FloatArray | None,
    *,
    off: bool = False,
) -> dict[str, FittedKey]:
    """Return what is said about each key.

    Parameters
    ----------
    problem : Problem
        What was fitted.
    x, errors, plain : (n,) array
        Solution, its errors, and those without the residuals' memory; of logarithms.
    ties : list of Remark
        From :func:`report_ties` and :func:`one_sided`.
    draws : (repeats, n) array or None
        Solutions of a bootstrap, which the errors are then taken from.
    off : bool
        Whether the model does not lie on the capture.
    """
    values, keys = problem.values(x), {}
    for i, key in enumerate(problem.keys):
        value, relative = float(values[i]), float(errors[i])
        low, high = (float(problem.start[i] * np.exp(b[i])) for b in (problem.lower, problem.upper))
        interval = tuple(float(value * np.exp(side * NORMAL_95 * min(relative, 100.0))) for side in (-1, 1))
        if draws is not None:
            relative = float(np.std(draws[:, i] - x[i], ddof=1))
            # Reflected about the solution: a repeat that strays up says that the truth lies down.
            away = np.quantile(draws[:, i] - x[i], [0.975, 0.025])
            interval = tuple(float(value * np.exp(-a)) for a in away)
        remark = next((tie for tie in ties if key in tie.keys), None)
        if remark is None:
            at_bound = min(value / low, high / value) < AT_ITS_BOUND
            remark = Remark(_outcome(relative, at_bound, off), (key,))
        told = remark.outcome.has_error
        keys[key] = FittedKey(
            value=value,
            error=relative * value if told else None,
            plain_error=float(plain[i]) * value if told else None,
            interval=(interval[0], interval[1]) if told else None,
            start=float(problem.start[i]),
            low=low,
            high=high,
            remark=remark,
        )
    return keys


def _outcome(relative: float, at_bound: bool, off: bool) -> Outcome:
    """What is told of a key that goes with no other, by its relative error."""
    if not relative < UNTOLD:
        return Outcome.UNDETERMINED
    if at_bound:
        return Outcome.AT_BOUND
    return Outcome.MODEL_OFF if off else Outcome.DETERMINED


def one_sided(
    problem: Problem,
    x: FloatArray,
    errors: FloatArray,
    grown: Callable[[FloatArray, int], float],
    allowed: Callable[[float], float] = lambda _: 0.0,
) -> list[Remark]:
    """Return the keys that the capture only bounds: moved far to one side they lie on it as well.

    Parameters
    ----------
    problem : Problem
        What was fitted.
    x, errors : (n,) array
        Solution and its errors; of logarithms.
    grown : callable
        From x with one key moved, and that key's number, to the growth of the sum of squares since the solution [1].
    allowed : callable
        From how far it was moved, in its errors, to a growth that tells nothing [1].
    """
    found: list[Remark] = []
    values = problem.values(x)
    for i, key in enumerate(problem.keys):
        for side, outcome in ((1.0, Outcome.AT_LEAST), (-1.0, Outcome.AT_MOST)):
            moved = x.copy()
            moved[i] += side * max(FAR, 6.0 * float(min(errors[i], 0.5)))
            moved[i] = np.clip(moved[i], problem.lower[i], problem.upper[i])
            steps = abs(float(moved[i] - x[i])) / max(float(errors[i]), 1e-12)
            if abs(moved[i] - x[i]) > FAR / 2 and grown(moved, i) < max(ONE_SIDED, allowed(steps)):
                found.append(Remark(outcome, (key,), bound=float(values[i])))
                break
    return found


def untold_key(start: float, remark: Remark) -> FittedKey:
    """Return a key that stays where it started [SI], since all that the capture tells is this remark."""
    return FittedKey(
        value=start, error=None, plain_error=None, interval=None, start=start, low=start, high=start, remark=remark,
        stays=True,
    )  # fmt: skip


def report_ties(problem: Problem, known: Uncertainty) -> list[Remark]:
    """Return the sets of keys that the capture cannot tell apart.

    Two are tied where each alone would be told, and their errors go together so far that one is loose. A key may
    also be tied to the time shift: then the capture does not show the start that its time is counted from.

    Parameters
    ----------
    problem : Problem
        What was fitted.
    known : Uncertainty
        Of keys, shift and the scope's errors.
    """
    k, errors = len(problem.keys), known.errors
    found: list[Remark] = []
    felt = [i for i in range(k) if known.alone[i] < UNTOLD]
    for i in felt:
        key = problem.keys[i]
        for j in felt[: felt.index(i)]:
            if _tied(known, k, i, j):
                found.append(Remark(Outcome.ONLY_TOGETHER, (problem.keys[j], key)))
        if _tied(known, k, i, k):
            found.append(Remark(Outcome.ONLY_TOGETHER, (key,), with_shift=True))
    untold = tuple(problem.keys[i] for i in felt if not errors[i] < UNTOLD)
    if not found and len(untold) > 1:
        found.append(Remark(Outcome.ONLY_TOGETHER, untold))
    return found


def _tied(known: Uncertainty, keys: int, i: int, j: int) -> bool:
    """Whether key i goes together with key or shift j."""
    together = abs(known.correlation[i, j])
    # The shift is an offset, not a relative change: only the key can be loose.
    loose = max(known.errors[i], known.errors[j] if j < keys else 0.0)
    return bool(together > NO_SLOPE_TELLS or (together > TIED and loose > LOOSE))
