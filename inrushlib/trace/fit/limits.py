"""Limits of the adapter that a start does not reach: any larger one gives the same curves.

``unreached``   the keys that are such limits, each with what is told of it
"""

from __future__ import annotations

import numpy as np

from inrushlib.errors import BuildError, SolverError
from inrushlib.laws.constants import OVER_SHARE
from inrushlib.parts.place import ADAPTER
from inrushlib.startup import Actor, Startup, State, simulate
from inrushlib.startup.switchings import Kind
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.fit.remark import Outcome, Remark
from inrushlib.trace.prepare import FloatArray

LIMIT, PEAK, FOLDBACK = "adapter.limit_current", "adapter.peak_current", "adapter.foldback_current"


def unreached(problem: Problem, x: FloatArray) -> list[Remark]:
    """Return the limits that the run at x is at for less than a sample interval while the capture lasts.

    Parameters
    ----------
    problem : Problem
        What was fitted.
    x : (n,) array
        The solution.
    """
    limits = [key for key in problem.keys if key in (LIMIT, PEAK, FOLDBACK)]
    if not limits:
        return []
    values = dict(zip(problem.keys, map(float, problem.values(x)), strict=True))
    try:
        start = simulate(problem.build.with_values(values), tolerance=problem.tolerance)
    except (BuildError, SolverError):
        return []
    time = problem.measured.time
    window = (float(time[0]) + problem.shift(x), float(time[-1]) + problem.shift(x))
    interval = problem.span / (len(np.unique(time)) - 1)
    times, regulated = _regulated(start, window)
    found: list[Remark] = []
    for key in limits:
        at_peak = float(np.sum(np.gradient(times)[regulated >= OVER_SHARE * values[key]]))
        spent = at_peak if key == PEAK else _time_in_limit(start, window)
        if spent < interval:
            lowest = min(values[key], float(regulated.max()) / OVER_SHARE)
            bounded = Remark(Outcome.AT_LEAST, (key,), bound=lowest)
            found.append(Remark(Outcome.UNDETERMINED, (key,)) if key == FOLDBACK else bounded)
    return found


def _time_in_limit(start: Startup, window: tuple[float, float]) -> float:
    """Time in the limit [s], less what the short-term allowance covers."""
    if any(s.kind is Kind.TRIP and s.time < window[1] for s in start.switchings):
        return float(np.ptp(window))
    allowance = (start.build.adapter.peak_time or 0.0) if start.build.adapter.peak_current else 0.0
    total = 0.0
    for span in start.spans[Actor.ADAPTER]:
        if span.state is State.LIMITING:
            begin, end = max(span.start + allowance, window[0]), min(span.end, window[1])
            total += max(0.0, end - begin)
    return total


def _regulated(start: Startup, window: tuple[float, float]) -> tuple[FloatArray, FloatArray]:
    """Instants [s] and the current [A] that the adapter regulates at them: into lead, bleeder and output capacitor."""
    times = np.unique(np.clip(np.append(start.time, window), *window))
    return times, start.currents(times)[ADAPTER]
