"""Fitting keys of a build to a capture.

``fit_build``    values, errors, and what the capture cannot tell
``Fit``          them, and the fitted build
``FittedKey``    one key

The switchings make the misfit jump with time, so it is taken on averages over stretches of the capture
(``averages``), wide ones first (``fit_start``), then narrower ones. The scope's own errors are fitted along
(``fit_scope``); what is told and what is not stands in ``fit_report``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.errors import TraceError, UsageError
from inrushlib.parts.part import ValueKind
from inrushlib.startup import hold_lumps
from inrushlib.trace.fit.bootstrap import bootstrapped
from inrushlib.trace.fit.descent import FINE, MIDDLE, OUTLIER, cost, descend
from inrushlib.trace.fit.flat import FAR_OFF, allowed, settling, untold, without_adrift, without_flat, without_untold
from inrushlib.trace.fit.least_squares import Loss, Solution, uncertainty
from inrushlib.trace.fit.limits import unreached
from inrushlib.trace.fit.problem import FINEST, USUAL, Problem
from inrushlib.trace.fit.remark import Outcome, Remark
from inrushlib.trace.fit.report import FittedKey, one_sided, report_keys, report_ties, untold_key
from inrushlib.trace.fit.stages import Stage
from inrushlib.trace.fit.start import searched_again, starting_point
from inrushlib.trace.fit.valleys import lowest_valley
from inrushlib.trace.prepare import FloatArray, Measured

__all__ = ["Fit", "FittedKey", "Stage", "fit_build"]


@dataclass(frozen=True, kw_only=True)
class Fit:
    """A fit of keys to a capture.

    Attributes
    ----------
    keys : dict of str to FittedKey
        By dotted key.
    build : Build
        With the fitted values.
    shift : float
        Time added to the capture's time [s].
    zeros : dict of str to float
        What each channel shows where there is nothing, a quantity [V or A].
    correlation : (k, k) array
        Of the keys, in their order; of relative changes.
    remarks : tuple of Remark
        One for each set of keys that this capture cannot tell apart, and each key that it only bounds.
    left_out : tuple of str
        Channels that the fit leaves out, since all their samples are alike.
    singular_values : tuple of float
        Of the weighted Jacobian, columns (keys, shift, errors of the scope) as long as each other, largest first.
    memory : dict of str to float
        Averages in a row that count as one, a quantity.
    excess : dict of str to float
        Scatter of the differences over that of the noise alone, a quantity [1]: well above 1 the model does not
        lie on the capture.
    rms : dict of str to float
        Root mean square of the differences of the averages, a quantity [V or A].
    runs : int
        Starts run.
    converged : bool
        Whether the last descent met its stopping rule.
    bootstrap : int
        Repeats that the errors come from; 0 where they come from the slopes.
    name, checksum : str
        Of the capture.
    """

    keys: dict[str, FittedKey]
    build: Build
    shift: float
    zeros: dict[str, float]
    correlation: FloatArray
    remarks: tuple[Remark, ...]
    singular_values: tuple[float, ...]
    memory: dict[str, float]
    excess: dict[str, float]
    rms: dict[str, float]
    runs: int
    converged: bool
    bootstrap: int
    name: str
    checksum: str
    left_out: tuple[str, ...] = ()

    @property
    def tied(self) -> tuple[str, ...]:
        """The remarks, and the channels that are left out, one sentence each."""
        return (*(remark.sentence for remark in self.remarks), *map(_says_nothing, self.left_out))

    @property
    def off(self) -> dict[str, float]:
        """The channels that the model does not lie on, each with its differences over the noise [1]."""
        return {quantity: excess for quantity, excess in self.excess.items() if excess > FAR_OFF}


Progress = Callable[[Stage], None]


def fit_build(
    build: Build,
    measured: Measured,
    keys: Sequence[str],
    *,
    robust: bool = True,
    bootstrap: int = 0,
    seed: int = 0,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Fit:
    """Return the values of ``keys`` with which the model lies best on the capture.

    Parameters
    ----------
    build : Build
        Start values, and everything that is not fitted.
    measured : Measured
        One or more curves.
    keys : sequence of str
        Dotted keys of single positive numbers, such as ``"adapter.limit_current"``.
    robust : bool
        Whether outliers weigh less (soft L1 loss).
    bootstrap : int
        Repeats of a block bootstrap that the errors are taken from [1]; 0 takes them from the slopes.
    seed : int
        Of the bootstrap's draws, at least 0.
    progress : callable or None
        Called with each stage as it begins, in their order.
    cancelled : callable or None
        Asked before the starts of each step; true stops with :class:`inrushlib.startup.Cancelled`.

    Raises
    ------
    UsageError
        Where a key is not there or not a single positive number.
    TraceError
        Where the model cannot be run near the start values, or no channel moves.
    """
    if not 0 <= bootstrap <= 100_000:
        raise UsageError(f"bootstrap: {bootstrap}; accepted: 0 to 100000 repeats", build.title)
    build = hold_lumps(build)
    checked = _check(build, keys)
    moving, still = _without_still(measured)
    problem = Problem(build, moving, checked, cancelled)
    loss: Loss = "soft_l1" if robust else "linear"
    tell = progress or (lambda _: None)
    tell(Stage.START)
    x = starting_point(problem, loss, OUTLIER)
    tell(Stage.WIDE)
    problem.use(MIDDLE)
    solution = descend(problem, x, loss, 1e-4)
    tell(Stage.ALONE)
    solution = lowest_valley(problem, solution, loss)
    if problem.off(solution.values) > FAR_OFF:
        tell(Stage.AGAIN)
        solution = lowest_valley(problem, _look_again(problem, solution, loss), loss)
    problem, x = without_untold(problem, solution, loss)
    tell(Stage.NARROW)
    problem.use(FINE, FINEST)
    problem.weigh(x)
    problem.run_as_told(x, USUAL, FINEST)
    problem, x = without_flat(problem, descend(problem, x, loss, 1e-5), loss)
    problem.weigh(x)
    solution = descend(problem, x, loss, 1e-7)
    problem, solution, stayed = without_adrift(problem, solution, _ties(problem, solution), loss)
    draws = None
    if bootstrap:
        tell(Stage.REPEATS)
        draws = bootstrapped(problem, solution, bootstrap, seed)
    found = _report(problem, solution, draws, keys, stayed)
    return replace(found, left_out=tuple(still))


def _without_still(measured: Measured) -> tuple[Measured, list[str]]:
    """The capture without channels whose samples are all alike, and which those are."""
    still = [q for q, values in measured.curves.items() if np.nanmin(values) == np.nanmax(values)]
    if len(still) == len(measured.curves):
        problems = [f"{q}: all samples are alike, which tells nothing about any key" for q in still]
        raise TraceError(problems, measured.name)
    curves = {q: values for q, values in measured.curves.items() if q not in still}
    return replace(measured, curves=curves), still


def _says_nothing(quantity: str) -> str:
    return f"{quantity}: all samples are alike, so the fit leaves it out"


def _look_again(problem: Problem, solution: Solution, loss: Loss) -> Solution:
    """Search from a fit that stays off the capture; the better of the two."""
    x = searched_again(problem, solution.values, loss, OUTLIER)
    problem.use(MIDDLE)
    other = descend(problem, x, loss, 1e-4)
    return min(solution, other, key=lambda found: cost(found.residual))


def _check(build: Build, keys: Sequence[str]) -> tuple[str, ...]:
    """Return the keys if each can be fitted."""
    problems = []
    known = build_keys()
    for key in keys:
        value = build.get(key) if key in known else None
        if key not in known:
            problems.append(f"fit {key}: no such key; accepted: keys of the build file, such as adapter.limit_current")
        elif known[key].kind is not ValueKind.NUMBER or not isinstance(value, int | float) or isinstance(value, bool):
            problems.append(f"fit {key}: not a single number in this build; accepted: a key with one number")
        elif not value > 0:
            problems.append(f"fit {key}: its start value is {value:g}; accepted: a start above zero")
    if len(set(keys)) < len(keys):
        problems.append("fit: a key is named twice; accepted: each key once")
    if not keys:
        problems.append("fit: no key is named; accepted: one or more keys of the build file")
    if problems:
        raise UsageError(problems, build.title)
    return tuple(keys)


def _ties(problem: Problem, solution: Solution) -> list[Remark]:
    """What is only told together with other keys, or from one side."""
    x, known = solution.values, uncertainty(solution.jacobian)
    if problem.off(x) > FAR_OFF:
        # What a model far off minds or does not mind bounds nothing.
        return report_ties(problem, known)
    least, settled = cost(solution.residual), settling(problem, x)
    bounded = one_sided(problem, x, known.errors, lambda moved, i: settled(moved, i) - least, partial(allowed, least))
    limits = unreached(problem, x)
    seen = {key for remark in limits for key in remark.keys}
    return [*report_ties(problem, known), *limits, *(remark for remark in bounded if seen.isdisjoint(remark.keys))]


def _report(
    problem: Problem, solution: Solution, draws: FloatArray | None, asked: Sequence[str], stayed: dict[str, Remark]
) -> Fit:
    x, k = solution.values, len(problem.keys)
    known = uncertainty(solution.jacobian)
    # The same slopes with residuals taken as independent: what the errors would be without their memory.
    plain = solution.jacobian.copy()
    good = problem.averages.good.T
    shares = problem.weights.counted.T[good] / problem.weights.alone.T[good]
    plain[: len(shares)] *= shares[:, None]
    ties = _ties(problem, solution)
    off = max(problem.weights.excess.values()) > FAR_OFF
    found = report_keys(problem, x, known.errors, uncertainty(plain).errors, ties, draws, off=off)
    keys = {
        key: found.get(key) or untold_key(float(problem.build.get(key)), stayed.get(key, untold(key))) for key in asked
    }
    correlation = np.eye(len(asked))
    here = [i for i, key in enumerate(asked) if key in found]
    correlation[np.ix_(here, here)] = known.correlation[:k, :k]
    remarks = [remark for remark in (*ties, *stayed.values()) if remark.outcome is not Outcome.UNDETERMINED]
    away = problem.away(x)
    rms = {q: float(np.sqrt(np.nanmean(away[:, i] ** 2))) for i, q in enumerate(problem.quantities)}
    return Fit(
        keys=keys,
        build=problem.build.with_values({key: fitted.value for key, fitted in keys.items()}),
        shift=problem.shift(x),
        zeros=dict(zip(problem.quantities, map(float, problem.zeros(x)), strict=True)),
        correlation=correlation,
        remarks=tuple(dict.fromkeys(remarks)),
        singular_values=tuple(float(s) for s in known.singular_values),
        memory=problem.weights.memory,
        excess=problem.weights.excess,
        rms=rms,
        runs=problem.runs,
        converged=solution.converged,
        bootstrap=0 if draws is None else len(draws),
        name=problem.measured.name,
        checksum=problem.measured.checksum,
    )
