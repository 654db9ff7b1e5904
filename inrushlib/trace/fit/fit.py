"""Fitting keys of a build to a capture.

``fit_build``    values, intervals, and what the capture cannot tell
``Fit``          them, and the fitted build

The instrument's errors are settled for each run (``observation``), the minimum is looked for from designed points
down a ladder of averages (``minimum``), the intervals are profiles (``profile``), and where the model does not lie on
the capture there is an alarm with its cause (``alarm``) and no interval.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.errors import TraceError, UsageError
from inrushlib.parts.part import ValueKind
from inrushlib.startup import hold_lumps
from inrushlib.trace.fit.alarm import (
    Cause,
    Finding,
    alarmed,
    causes,
    corrected,
    disturbed,
    either_clipped,
    of_disturbance,
    ten_times,
)  # fmt: skip
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.minimum import finest, minimum
from inrushlib.trace.fit.observation import Accuracy
from inrushlib.trace.fit.problem import Point, Problem
from inrushlib.trace.fit.report import told_by
from inrushlib.trace.fit.stages import Stage
from inrushlib.trace.fit.status import FittedKey, Status
from inrushlib.trace.prepare import FloatArray, Measured

__all__ = ["Accuracy", "Fit", "FittedKey", "Stage", "fit_build"]

MOST_DISTURBANCES = 3


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
    alarm : tuple of Finding
        Why the model does not lie on the capture; empty where it does.
    remedied : tuple of Finding
        What was wrong with the capture, and has been allowed for.
    gains, zeros : dict of str to float
        Of each channel: relative error of its gain [1], and what it shows where there is nothing [V or A].
    correlation : (k, k) array
        Of relative changes of the keys, in their order [1].
    left_out : tuple of str
        Channels that the fit leaves out, since all their samples are alike.
    memory : dict of str to float
        Averages in a row that count as one, a quantity [1].
    excess : dict of str to float
        Scatter of the differences over that of the noise alone, a quantity [1].
    runs : int
        Model runs [1].
    bootstrap : int
        Repeats that the intervals come from [1]; 0 where they come from profiles.
    accuracy : Accuracy
        Of the instrument, as it was taken.
    name, checksum : str
        Of the capture.
    """

    keys: dict[str, FittedKey]
    build: Build
    shift: float
    alarm: tuple[Finding, ...] = ()
    remedied: tuple[Finding, ...] = ()
    gains: dict[str, float] = field(default_factory=dict)
    zeros: dict[str, float] = field(default_factory=dict)
    correlation: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    left_out: tuple[str, ...] = ()
    memory: dict[str, float] = field(default_factory=dict)
    excess: dict[str, float] = field(default_factory=dict)
    runs: int = 0
    bootstrap: int = 0
    accuracy: Accuracy = field(default_factory=Accuracy)
    name: str = ""
    checksum: str = ""

    @property
    def tied(self) -> tuple[str, ...]:
        """What is said of keys that go together or are only bounded, and of the capture; one sentence each."""
        said = [k.note for k in self.keys.values() if k.combination or k.status in (Status.AT_LEAST, Status.AT_MOST)]
        said += [f"{finding.sentence}; the fit allows for it" for finding in self.remedied]
        said += [f"{quantity}: all samples are alike, so the fit leaves it out" for quantity in self.left_out]
        return tuple(dict.fromkeys(said))


Progress = Callable[[Stage], None]


def fit_build(
    build: Build,
    measured: Measured,
    keys: Sequence[str],
    *,
    accuracy: Accuracy | None = None,
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
    accuracy : Accuracy or None
        How far the instrument may be off; None for what is usual.
    bootstrap : int
        Repeats of a block bootstrap that the intervals are taken from [1]; 0 takes them from profiles.
    seed : int
        Of the bootstrap's draws [1], at least 0.
    progress : callable or None
        Called with each stage as it begins, in their order.
    cancelled : callable or None
        Asked before the runs of each step; true stops with :class:`inrushlib.startup.Cancelled`.

    Raises
    ------
    UsageError
        Where a key is not there or not a single positive number.
    TraceError
        Where the model cannot be run near the start values, or no channel moves.
    """
    if not 0 <= bootstrap <= 100_000:
        raise UsageError(f"bootstrap: {bootstrap}; accepted: 0 to 100000 repeats", build.title)
    held = hold_lumps(build)
    _check(held, keys)
    tell = progress or (lambda _: None)
    tell(Stage.START)
    moving, still = _without_still(measured)
    upright, suspected = corrected(moving)
    problem = Problem(held, Samples.of(upright), keys, accuracy, cancelled)
    search = _remedied(problem, minimum(problem, lambda: tell(Stage.WIDE)), suspected, tell)
    problem = search.problem
    tell(Stage.INTERVALS)
    told = told_by(problem, search.foot, bootstrap, seed, tell, withheld=bool(search.alarm), loose=search.fitted_along)
    seen, errors = problem.seen, told.best.settled.errors
    named = dict(zip(seen.quantities, seen.named(errors), strict=True))
    ranges = dict(zip(seen.quantities, seen.ranges, strict=True))
    return Fit(
        keys=told.keys,
        build=held.with_values({key: fitted.value for key, fitted in told.keys.items() if not fitted.stays}),
        shift=seen.shift(errors),
        alarm=search.alarm,
        remedied=search.remedied,
        gains={q: own["gain"] * seen.accuracy.gain for q, own in named.items()},
        zeros={q: float(own["zero"] * seen.accuracy.zero * ranges[q]) for q, own in named.items()},
        correlation=told.correlation,
        left_out=tuple(still),
        memory=dict(seen.memory),
        excess=dict(seen.excess),
        runs=problem.runs,
        bootstrap=bootstrap if told.drawn else 0,
        accuracy=seen.accuracy,
        name=measured.name,
        checksum=measured.checksum,
    )


@dataclass(frozen=True)
class _Search:
    problem: Problem
    foot: Point
    alarm: tuple[Finding, ...]
    remedied: tuple[Finding, ...]
    fitted_along: bool = False


def _remedied(problem: Problem, foot: Point, suspected: list[Finding], tell: Progress) -> _Search:
    """Try the remedies that the differences ask for; where none ends the alarm, or two do, name the causes."""
    rails = [Finding(Cause.CLIPPED, q, end) for q, end in problem.samples.rails]
    rails += [Finding(Cause.FLAT_TOP, q) for q in problem.samples.flat]
    remedied = (*suspected, *rails)
    if not alarmed(problem, foot):
        return _Search(problem, foot, (), remedied)
    tell(Stage.AGAIN)
    ended = _along(problem, foot)
    if ended is not None:
        return _Search(problem, ended[0], (), (*remedied, *ended[1]), True)
    ten = ten_times(problem, foot)
    if ten and (found := _with_samples(problem, *ten, remedied)) is not None:
        return found
    tops = {q: _with_samples(problem, samples, [Finding(Cause.CLIPPED, q, "top")], remedied)
            for q, samples in _tops(problem)}  # fmt: skip
    ways = {q: found for q, found in tops.items() if found is not None}
    if len(ways) == 1:
        (found,) = ways.values()
        found.problem.runs = problem.runs
        return found
    # Where either of two channels, cut off, explains the capture, it does so with other values: none is told.
    either = [either_clipped(tuple(ways))] if ways else []
    likely = [*suspected, *(ten[1] if ten else []), *rails, *either]
    return _Search(problem, foot, causes(problem, foot, likely), ())


def _with_samples(
    problem: Problem, samples: Samples, findings: list[Finding], remedied: tuple[Finding, ...]
) -> _Search | None:
    """The search with ``samples`` in the place of the capture's; None where the alarm stays."""
    other = Problem(problem.build, samples, problem.keys, problem.accuracy, problem.cancelled)
    ended = _along(other, minimum(other))
    problem.runs += other.runs
    other.runs = problem.runs
    return None if ended is None else _Search(other, ended[0], (), (*remedied, *findings, *ended[1]), True)


def _along(problem: Problem, first: Point) -> tuple[Point, list[Finding]] | None:
    """Fit disturbances along, one after the other, until the alarm ends; the problem as it was where it does not."""
    foot = first
    while alarmed(problem, foot):
        found = disturbed(problem, foot) if len(problem.along) < MOST_DISTURBANCES else None
        if found is None:
            if problem.along:
                problem.along = ()
                finest(problem, first)
            return None
        problem.along = (*problem.along, found)
        foot = finest(problem, foot)
    return foot, [of_disturbance(d) for d in problem.along]


def _tops(problem: Problem) -> list[tuple[str, Samples]]:
    """Channels with a plateau at their highest, and the samples with that taken as cut off."""
    found = ((q, problem.samples.with_top(q)) for q in problem.seen.quantities)
    return [(q, samples) for q, samples in found if samples is not None]


def _without_still(measured: Measured) -> tuple[Measured, list[str]]:
    """The capture without channels whose samples are all alike, and which those are."""
    still = [q for q, values in measured.curves.items() if np.nanmin(values) == np.nanmax(values)]
    if len(still) == len(measured.curves):
        problems = [f"{q}: all samples are alike, which tells nothing about any key" for q in still]
        raise TraceError(problems, measured.name)
    curves = {q: values for q, values in measured.curves.items() if q not in still}
    return replace(measured, curves=curves), still


def _check(build: Build, keys: Sequence[str]) -> None:
    """Raise where a key cannot be fitted."""
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
