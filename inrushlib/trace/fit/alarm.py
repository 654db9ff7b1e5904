"""When the model does not lie on a capture: one alarm, and its likely cause where the differences show it.

``Cause``, ``Finding``   what may be wrong, and with which channel; a sentence each
``alarmed``              whether the model does not lie on the capture
``far_values``           keys that ended too far from their start to be believed
``corrected``            a capture with its channels turned back, and without those that cannot be used
``disturbed``            a disturbance that explains part of the differences, to be fitted along
``ten_times``            channels that read ten times too much or too little
``causes``               what the differences show
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np

from inrushlib.build import Build
from inrushlib.parts import TABLES, Origin
from inrushlib.quantities import format_quantity
from inrushlib.startup import curve_named
from inrushlib.trace.align import Coupling, coupling
from inrushlib.trace.features import curve_figures
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.neighbours import worst_row
from inrushlib.trace.fit.observation import Disturbance
from inrushlib.trace.fit.problem import Point, Problem
from inrushlib.trace.prepare import FloatArray, Measured

OFF = 1.5  # scatter over noise times root of memory; made captures without defects stay below 1.1
BRIEFLY = 8.0  # standard deviations that the mean of differences in a row may be off; noise alone stays below 6
PULLED = 4.0  # standard deviations that a prior may be pulled
FAR = float(np.log(10.0))  # of a key's logarithm from its start, beyond which rather the capture is doubted
EXPLAINS = 0.2  # of the squares of the differences, from which a disturbance is fitted along
HUMS = (50.0, 60.0, 100.0, 120.0)  # [Hz], of the mains and its rectifier
TENFOLD = (6.0, 16.0)  # gain that a probe set wrongly explains


class Cause(StrEnum):
    """What may be wrong with a capture or a model."""

    TURNED = "turned-round"
    AC_COUPLED = "ac-coupled"
    GAIN_TEN = "gain-ten"
    HUM = "hum"
    DRIFT = "drift"
    CLIPPED = "clipped"
    EITHER_CLIPPED = "either-clipped"
    FLAT_TOP = "flat-top"
    GAIN = "gain"
    ZERO = "zero"
    BANDWIDTH = "bandwidth"
    SKEW = "skew"
    TIME_BASE = "time-base"
    FAR_VALUE = "far-value"
    VERDICT = "another-verdict"
    UNEXPLAINED = "unexplained"
    BRIEFLY = "briefly-unexplained"


_SENTENCES = {
    Cause.TURNED: "{channel} is turned round",
    Cause.AC_COUPLED: "{channel} goes below zero by as much as above it, as AC coupling makes it",
    Cause.GAIN_TEN: "{channel} reads ten times too {size}: probe and channel may be set to different ratios",
    Cause.HUM: "{channel} has a hum of {size} Hz on it",
    Cause.DRIFT: "{channel} drifts",
    Cause.CLIPPED: "{channel} is clipped at its {size}",
    Cause.EITHER_CLIPPED: "either {size} may be clipped at its top, and the values hang on which",
    Cause.FLAT_TOP: "the short peak of {channel} is flat, so that it may have been cut off by an amplifier",
    Cause.GAIN: "the gain of {channel} would have to be off by more than its accuracy allows",
    Cause.ZERO: "the zero of {channel} would have to be off by more than is usual",
    Cause.BANDWIDTH: "{channel} is slower than its accuracy allows",
    Cause.SKEW: "{channel} is delayed against the others by more than is usual",
    Cause.TIME_BASE: "the time base would have to be off by more than its accuracy allows",
    Cause.FAR_VALUE: "{size} what the build says",
    Cause.VERDICT: "the model and the capture end differently: {size}",
    Cause.UNEXPLAINED: "the model does not lie on {channel}: the differences are {size} times the noise",
    Cause.BRIEFLY: "the model does not lie on {channel} around {size} in the capture's time",
}
_PULLED = {"gain": Cause.GAIN, "zero": Cause.ZERO, "time_constant": Cause.BANDWIDTH, "skew": Cause.SKEW}


@dataclass(frozen=True)
class Finding:
    """A cause, and where it shows.

    Attributes
    ----------
    cause : Cause
        What may be wrong.
    quantity : str
        Of the channel that shows it; empty where it is none's.
    size : str
        What else goes into the sentence.

    Examples
    --------
    >>> Finding(Cause.HUM, "lead_current", "100").sentence
    'lead current has a hum of 100 Hz on it'
    """

    cause: Cause
    quantity: str = ""
    size: str = ""

    @property
    def sentence(self) -> str:
        """It in words."""
        channel = curve_named(self.quantity).words if self.quantity else ""
        return _SENTENCES[self.cause].format(channel=channel, size=self.size)

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON."""
        return {"cause": self.cause.value, "channel": self.quantity or None, "sentence": self.sentence}


def alarmed(problem: Problem, foot: Point) -> bool:
    """Return whether the model does not lie on the capture.

    Parameters
    ----------
    problem : Problem
        What was fitted, with the weights of the foot.
    foot : Point
        The best fit.
    """
    pulled = np.abs(foot.settled.errors[1:]) > PULLED
    off = problem.seen.off() > OFF or worst_row(problem.seen, foot.settled).size > BRIEFLY
    return off or bool(pulled.any()) or bool(far_values(problem, foot))


def far_values(problem: Problem, foot: Point) -> dict[str, float]:
    """Return the keys that ended farther from their start than the build would be wrong, and how many times [1].

    Ten times, and for a value that nobody gave also outside of what such a part may have: a default is a guess, and
    the farthest are right to within a factor of 65.

    Parameters
    ----------
    problem : Problem
        What was fitted.
    foot : Point
        The best fit.
    """
    found = {}
    for key, start, x in zip(problem.keys, problem.start, foot.x, strict=True):
        low, high = _guessed(problem.build, key, float(start))
        if abs(x) > FAR and not low <= start * np.exp(x) <= high:
            found[key] = float(np.exp(x))
    return found


def _guessed(build: Build, key: str, value: float) -> tuple[float, float]:
    """What a value that nobody gave may be instead: the range of its class or of such parts; itself where given."""
    table, _, name = key.partition(".")
    if (of_class := build.class_range(key)) is not None:
        return of_class
    known = TABLES[table].typical.get(name)
    if build.origin(key) is not Origin.ASSUMED or known is None or known.unknown is None:
        return value, value
    low, high = known.unknown.around(value)
    return float(low), float(high)


def corrected(measured: Measured) -> tuple[Measured, list[Finding]]:
    """Turn channels back that are turned round; leave AC-coupled ones out while others are left.

    Parameters
    ----------
    measured : Measured
        The capture.
    """
    found, curves = [], dict(measured.curves)
    for q, values in measured.curves.items():
        kind = coupling(values)
        if kind is Coupling.TURNED:
            curves[q] = -values
        if kind is not Coupling.UPRIGHT:
            found.append(Finding(Cause.TURNED if kind is Coupling.TURNED else Cause.AC_COUPLED, q))
    coupled = {finding.quantity for finding in found if finding.cause is Cause.AC_COUPLED}
    if len(coupled) < len(curves):
        curves = {q: v for q, v in curves.items() if q not in coupled}
    return replace(measured, curves=curves), found


def disturbed(problem: Problem, foot: Point) -> Disturbance | None:
    """Return the disturbance that explains most of the differences of a channel, if it is more than a fifth.

    Parameters
    ----------
    problem : Problem
        What was fitted, with the weights of the foot.
    foot : Point
        The best fit.
    """
    seen, best, most = problem.seen, None, EXPLAINS
    for i, q in enumerate(seen.quantities):
        here = seen.good[:, i]
        away = (seen.averages.means - foot.settled.shown)[here, i] / seen.expected[here, i]
        away = np.clip(away, *(np.quantile(away, [0.005, 0.995])))
        for frequency in (0.0, *HUMS):
            candidate = Disturbance(q, frequency)
            if candidate in problem.along:
                continue
            columns = candidate.columns(seen.middles)[here] / seen.expected[here, i][:, None]
            left = away - columns @ np.linalg.lstsq(columns, away, rcond=None)[0]
            all_of_it = float(away @ away)  # nothing, for a channel that the model lies on exactly
            share = (all_of_it - float(left @ left)) / max(all_of_it, 1e-12)
            if share > most:
                best, most = candidate, share
    return best


def of_disturbance(found: Disturbance) -> Finding:
    """Return what a disturbance is called.

    Parameters
    ----------
    found : Disturbance
        The disturbance.
    """
    return Finding(Cause.HUM if found.frequency else Cause.DRIFT, found.quantity, f"{found.frequency:.0f}")


def either_clipped(quantities: Sequence[str]) -> Finding:
    """Return the finding that one of several channels may be clipped.

    Parameters
    ----------
    quantities : sequence of str
        Of these channels.

    Examples
    --------
    >>> either_clipped(("bus_voltage", "lead_current")).sentence
    'either bus voltage or lead current may be clipped at its top, and the values hang on which'
    """
    return Finding(Cause.EITHER_CLIPPED, size=" or ".join(curve_named(q).words for q in quantities))


def ten_times(problem: Problem, foot: Point) -> tuple[Samples, list[Finding]] | None:
    """Return the samples with channels divided or multiplied by ten whose gain is near it; None where there is none.

    Parameters
    ----------
    problem : Problem
        What was fitted, with the weights of the foot.
    foot : Point
        The best fit.
    """
    seen, found = problem.seen, []
    curves = dict(problem.samples.measured.curves)
    for i, (q, named) in enumerate(zip(seen.quantities, seen.named(foot.settled.errors), strict=True)):
        here = seen.good[:, i]
        shown, means = foot.settled.shown[here, i], seen.averages.means[here, i]
        gain = _reach(means) / max(_reach(shown), 1e-12) * (1.0 + named["gain"] * seen.accuracy.gain)
        for factor, size in ((10.0, "much"), (0.1, "little")):
            low, high = TENFOLD if factor > 1 else (1 / TENFOLD[1], 1 / TENFOLD[0])
            if low < gain < high:
                curves[q] = curves[q] / factor
                found.append(Finding(Cause.GAIN_TEN, q, size))
    if not found:
        return None
    noise = {q: n * float(np.nanmax(np.abs(curves[q])) / np.nanmax(np.abs(problem.samples.measured.curves[q])))
             for q, n in problem.samples.measured.noise.items()}  # fmt: skip
    return Samples.of(replace(problem.samples.measured, curves=curves, noise=noise)), found


def _reach(values: FloatArray) -> float:
    low, high = np.quantile(values, [0.01, 0.99])
    return float(high - low)


def causes(problem: Problem, foot: Point, suspected: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return what the differences show, the suspected first; never nothing.

    Parameters
    ----------
    problem : Problem
        What was fitted, with the weights of the foot.
    foot : Point
        The best fit.
    suspected : sequence of Finding
        What the samples show by themselves.
    """
    seen, errors, found = problem.seen, foot.settled.errors, list(suspected)
    for q, named in zip(seen.quantities, seen.named(errors), strict=True):
        found += [Finding(_PULLED[name], q) for name, pulled in named.items() if abs(pulled) > PULLED]
    if abs(errors[1]) > PULLED:
        found.append(Finding(Cause.TIME_BASE))
    for key, factor in far_values(problem, foot).items():
        found.append(Finding(Cause.FAR_VALUE, size=f"{key} would have to be {factor:.2g} times"))
    found += _other_ends(problem, foot)
    if not suspected and seen.off() > OFF:
        worst = max(seen.quantities, key=seen.off_by)
        found.append(Finding(Cause.UNEXPLAINED, worst, f"{seen.excess[worst]:.1f}"))
    row = worst_row(seen, foot.settled)
    if not found and row.size > BRIEFLY:
        found.append(Finding(Cause.BRIEFLY, row.quantity, format_quantity(row.time, "s")))
    return tuple(found)


def _other_ends(problem: Problem, foot: Point) -> list[Finding]:
    """Whether the capture shows a release and the model does not, or the other way round."""
    seen = problem.seen
    for i, q in enumerate(seen.quantities):
        here = seen.good[:, i]
        ours, theirs = (
            curve_figures(seen.middles[here], v[here, i], current=curve_named(q).is_current).release_at
            for v in (seen.averages.means, foot.settled.shown)
        )
        if (ours is None) != (theirs is None):
            words = "the model boots, the capture sticks" if ours is None else "the model sticks, the capture boots"
            return [Finding(Cause.VERDICT, q, words)]
    return []
