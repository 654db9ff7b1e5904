"""One build on the torture bench: what it must satisfy by itself, and against its twins."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from inrushlib.build import Build, new_build
from inrushlib.errors import InrushError, SolverError
from inrushlib.startup import Startup, simulate
from inrushlib.startup.effort import TOLERANCE
from inrushlib.startup.unfinished import Round
from tests.startup.checking import LARGEST_IMBALANCE, faults, imbalance
from tests.startup.margins import margins
from tests.startup.wide_builds import Chance, random_values

from .anywhere import anywhere
from .relations import RELATIONS

FINER = TOLERANCE / 10
VOLTS, SHARE, AMPERES, SECONDS = 5e-3, 1e-3, 1e-4, 20e-6  # what the default tolerance promises
SWINGS, REFUSED = "swings", "refused with its reason"
LONG_ROUND = 10e-3  # [s] as a supervisor chip holds a reset, or a hiccup adapter waits at the least
WINDOW = 101  # instants at which the end of a curve is looked at


@dataclass(frozen=True)
class Outcome:
    """What came of one build.

    Attributes
    ----------
    number : int
        Its seed.
    verdict : str
        How it ended; SWINGS where an adapter swings against its lead for longer than it can be followed, REFUSED where
        a controller or an adapter goes round too often, and ends with the key changed that the refusal names; empty
        where it did not end otherwise.
    wrong : tuple of str
        What is not as it must be.
    thin : tuple of str
        What differs between two ways of telling it, beside a rule that is missed or met by next to nothing.
    imbalance, seconds : float
        Of its energy [1]; the processor's time for all of it [s].
    refused : int
        Draws before it that were no build.
    """

    number: int
    verdict: str
    wrong: tuple[str, ...]
    thin: tuple[str, ...]
    imbalance: float
    seconds: float
    refused: int = 0


def by_itself(number: int) -> Outcome:
    """Run a build of the whole allowed ranges: it ends, with finite curves and a closed energy balance."""
    began = time.process_time()
    drawn = anywhere(number)
    verdict, share, found = "", 0.0, []
    try:
        startup = start(drawn.build)
    except InrushError as error:
        found = [str(error)]
    else:
        if startup is None:
            verdict = SWINGS if swings(drawn.build) else REFUSED
        else:
            verdict, share, found = startup.verdict.value, imbalance(startup), faults(startup)
    far = ", ".join(f"{key} {value}" for key, value in drawn.far.items())
    wrong = tuple(f"{fault} (with {far})" for fault in found)
    return Outcome(number, verdict, wrong, (), share, time.process_time() - began, drawn.refused)


def start(build: Build, tolerance: float = TOLERANCE) -> Startup | None:
    """Run a build; None where it is refused as it must be: it swings, or ends with what the refusal says."""
    try:
        return simulate(build, tolerance=tolerance)
    except SolverError as error:
        if swings(build) or ends_with_what_it_says(build, error):
            return None
        raise


def ends_with_what_it_says(build: Build, error: SolverError) -> bool:
    """Whether a build that is refused for going round too often ends with a longer round: the key that is named."""
    if error.key not in {each.key for each in Round}:
        return False
    try:
        return not faults(simulate(build.with_values({error.key: LONG_ROUND})))
    except SolverError:
        return False


def swings(build: Build) -> bool:
    """Whether the adapter, in its foldback, swings against the lead's inductance.

    There its current rises with its voltage: a negative resistance 1/g. With the lead's R and L, its own C and its
    bleed left out, the characteristic L C s^2 + (R C - g L) s + 1 - g R has roots that grow where g L > R C. The
    period is 2 pi sqrt(L C) or longer (some 0.2 us at the smallest C that is allowed), of which two million steps
    hold a few milliseconds.
    """
    adapter, lead = build.adapter, build.lead
    if adapter.limit_style != "foldback":
        return False
    slope = (max(adapter.limit_current, adapter.peak_current or 0.0) - adapter.foldback_current) / adapter.foldback_knee
    resistance = lead.resistance + (build.limiter.cold_resistance if build.limiter else 0.0)
    return slope * lead.inductance > resistance * adapter.output_capacitance


def against_twins(number: int) -> Outcome:
    """Run a wide build at a finer tolerance, and each way of telling it: nothing may change."""
    began = time.process_time()
    source = Chance(number)
    values = random_values(source)
    build = new_build(values)
    verdict, share, wrong, thin = "", 0.0, [], []

    def hold(name: str, one: Startup | None, other: Startup | None, later: float = 0.0) -> None:
        if one is None or other is None:
            return
        apart = differences(one, other, later)
        if apart:
            near = [str(margin) for margin in margins(other) if margin.thin]
            (thin if near else wrong).append(f"{name}: {'; '.join(apart)}" + (f" ({near[0]})" if near else ""))

    try:
        startup = start(build)
        if startup is None:  # its twins are not asked
            return Outcome(number, REFUSED, (), (), 0.0, time.process_time() - began)
        verdict, share = startup.verdict.value, imbalance(startup)
        hold("ten times finer", startup, start(build, FINER))
        for name, relation in RELATIONS.items():
            twin = relation(values, source)
            one, other = new_build(twin.one), new_build(twin.other)
            if name == "in other units":
                wrong += [f"{name}: {key}" for key in _unlike(one, other)]
                continue
            hold(name, start(one), start(other), twin.later)
    except InrushError as error:  # what else was found of it stays
        wrong.append(str(error))
    return Outcome(number, verdict, tuple(wrong), tuple(thin), share, time.process_time() - began)


def differences(one: Startup, other: Startup, later: float = 0.0) -> list[str]:
    """In what two runs of one display differ by more than the default tolerance promises."""
    found = []
    if (one.verdict, one.brown_outs, one.trips) != (other.verdict, other.brown_outs, other.trips):
        found.append(f"{one.verdict.value} / {other.verdict.value}, {one.brown_outs} / {other.brown_outs} brown-outs, "
                     f"{one.trips} / {other.trips} trips")  # fmt: skip
    for name, at, and_at in (
        ("running_at", one.running_at, other.running_at),
        ("ready_at", one.ready_at, other.ready_at),
    ):
        if (at is None) != (and_at is None):
            found.append(f"{name} {at} / {and_at}")
        elif at is not None and and_at is not None and abs(at + later - and_at) > SECONDS:
            found.append(f"{name} {at:.6f} / {and_at - later:.6f} s")
    peaks = one.figures.peak_lead_current, other.figures.peak_lead_current
    if abs(peaks[0] - peaks[1]) > max(AMPERES, SHARE * max(peaks)):
        found.append(f"peak {peaks[0]:.5g} / {peaks[1]:.5g} A")
    volts = min(end_distance(one, other), end_distance(other, one))
    if volts > VOLTS:
        found.append(f"ends {1e3 * volts:.3g} mV apart")
    return found


def end_distance(one: Startup, other: Startup) -> float:
    """Largest distance [V] of one run's end voltages from the other's curves in their last 20 us.

    Of the voltages that both have under one name; sections have other numbers in another way of telling.
    """
    end, last = one.build.run.duration, other.build.run.duration
    ends = one.at(np.array([end]))
    tail = other.at(np.linspace(last - SECONDS, last, WINDOW))
    names = [name for name in ends if name.endswith("voltage") and not name.startswith("section")]
    return max(
        max(0.0, float(ends[name][0] - tail[name].max()), float(tail[name].min() - ends[name][0])) for name in names
    )


def _unlike(one: Build, other: Build) -> list[str]:
    return [] if one == other else [str(difference) for difference in one.differences(other)]


__all__ = ["LARGEST_IMBALANCE", "Outcome", "against_twins", "by_itself"]
