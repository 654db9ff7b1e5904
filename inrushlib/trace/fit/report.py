"""What a fit says about each key, and about keys that the capture cannot tell apart.

``FittedKey``     one key
``report_keys``   all of them
``report_ties``   sets of keys that only a combination of is told
``one_sided``     keys that are only bounded
``told_together`` which of the two a key's note says
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from inrushlib.build import build_keys
from inrushlib.quantities import format_quantity
from inrushlib.trace.fit.least_squares import Uncertainty
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.prepare import FloatArray

UNTOLD = 0.3  # relative error from which a value is not told by the capture
TIED = 0.97  # correlation from which two are tied
NO_SLOPE_TELLS = 0.9999  # correlation from which the slopes, good to some 1 %, cannot tell two apart
LOOSE = 0.03  # relative error below which a tie does not matter
NORMAL_95 = 1.96
FAR = 0.3  # logarithm by which a key is moved to see whether the capture minds
ONE_SIDED = 4.0  # growth of the sum of squares below which it does not
OFF = "the model does not lie on this capture: the error is too small"
NOT_TOLD = "this capture does not tell it"
BOUNDED = "this capture only tells that"
STAYS = "; it stays at its start"

Tie = tuple[frozenset[str], str]


@dataclass(frozen=True)
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
    note : str
        Why there is no error, or why it is not to be trusted; empty otherwise.
    """

    value: float
    error: float | None
    plain_error: float | None
    interval: tuple[float, float] | None
    start: float
    low: float
    high: float
    note: str = ""


def told_together(fitted: FittedKey, tied: Iterable[str]) -> bool:
    """Return whether a key is only told together with another, in one of the fit's sentences ``tied``.

    Parameters
    ----------
    fitted : FittedKey
        The key.
    tied : iterable of str
        As of a fit.
    """
    return bool(fitted.note) and fitted.note in tied and not fitted.note.startswith(BOUNDED)


def report_keys(
    problem: Problem,
    x: FloatArray,
    errors: FloatArray,
    plain: FloatArray,
    ties: list[Tie],
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
    ties : list of tuple
        From :func:`report_ties`.
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
        note = next((sentence for names, sentence in ties if key in names), "")
        if not note and not relative < UNTOLD:
            note = NOT_TOLD
        if not note and min(value / low, high / value) < 1.001:
            note = "at its bound"
        told = not note
        if told and off:
            note = OFF
        keys[key] = FittedKey(
            value,
            relative * value if told else None,
            float(plain[i]) * value if told else None,
            (interval[0], interval[1]) if told else None,
            float(problem.start[i]),
            low,
            high,
            note,
        )
    return keys


def one_sided(
    problem: Problem,
    x: FloatArray,
    errors: FloatArray,
    grown: Callable[[FloatArray, int], float],
    allowed: Callable[[float], float] = lambda _: 0.0,
) -> list[Tie]:
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
    found: list[Tie] = []
    values = problem.values(x)
    for i, key in enumerate(problem.keys):
        for side, word in ((1.0, "or more"), (-1.0, "or less")):
            moved = x.copy()
            moved[i] += side * max(FAR, 6.0 * float(min(errors[i], 0.5)))
            moved[i] = np.clip(moved[i], problem.lower[i], problem.upper[i])
            steps = abs(float(moved[i] - x[i])) / max(float(errors[i]), 1e-12)
            if abs(moved[i] - x[i]) > FAR / 2 and grown(moved, i) < max(ONE_SIDED, allowed(steps)):
                text = format_quantity(float(values[i]), build_keys()[key].unit, digits=3)
                found.append((frozenset((key,)), f"{BOUNDED} {key} is about {text} {word}"))
                break
    return found


def untold_key(start: float, sentence: str = NOT_TOLD) -> FittedKey:
    """Return a key that stays where it started [SI], since all that the capture tells is this sentence."""
    return FittedKey(start, None, None, None, start, start, start, sentence + STAYS)


def report_ties(problem: Problem, known: Uncertainty) -> list[Tie]:
    """Return the sets of keys that the capture cannot tell apart, each with its sentence.

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
    found: list[Tie] = []
    felt = [i for i in range(k) if known.alone[i] < UNTOLD]
    for i in felt:
        key = problem.keys[i]
        for j in felt[: felt.index(i)]:
            if _tied(known, k, i, j):
                other = problem.keys[j]
                sentence = f"this capture cannot tell {other} and {key} apart: only a combination is told"
                found.append((frozenset((other, key)), sentence))
        if _tied(known, k, i, k):
            sentence = f"this capture cannot tell {key} and the time shift apart: what it is counted from is not shown"
            found.append((frozenset((key,)), sentence))
    untold = [problem.keys[i] for i in felt if not errors[i] < UNTOLD]
    if not found and len(untold) > 1:
        found.append((frozenset(untold), f"this capture cannot tell {', '.join(untold)} apart"))
    return found


def _tied(known: Uncertainty, keys: int, i: int, j: int) -> bool:
    """Whether key i goes together with key or shift j."""
    together = abs(known.correlation[i, j])
    # The shift is an offset, not a relative change: only the key can be loose.
    loose = max(known.errors[i], known.errors[j] if j < keys else 0.0)
    return bool(together > NO_SLOPE_TELLS or (together > TIED and loose > LOOSE))
