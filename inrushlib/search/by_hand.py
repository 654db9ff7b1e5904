"""The hand formula for a reservoir, its terms read off a start.

``hand_formula``   from a start
``HandFormula``    C = I t / dV, and where I, t and dV come from
``WhyNoFormula``   why there is nothing to reckon
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from inrushlib.parts.place import CONTROLLER
from inrushlib.startup import Actor, Kind, Startup

Array = NDArray[np.float64]

STILL_FED = 0.5  # of what the controller draws: a feed below it counts as a dip


@dataclass(frozen=True, kw_only=True)
class HandFormula:
    """``capacitance = current * time / voltage_drop``.

    All three come from the start with the smallest reservoir that boots, from the dip after the first
    release from reset that takes most from the reservoir. A dip is while the feed gives less than half of what the
    controller draws.

    Attributes
    ----------
    current : float
        I: what the controller draws then, boot_current or run_current, and burst_current if a radio burst
        falls into the dip [A].
    time : float
        t: from the beginning of the dip to its lowest voltage [s].
    voltage_drop : float
        dV: the reservoir's voltage when the dip begins, less what its regulator needs to hold the rail at the
        reset level: brownout_falling + dropout_voltage + dropout_resistance * I [V].
    capacitance : float
        C [F].

    Notes
    -----
    It leaves out the rail's own capacitor, what the diode still passes and how the reservoir charges: some per cent
    where the dip is long, far more where the bus only sags.
    """

    current: float
    time: float
    voltage_drop: float
    capacitance: float


class WhyNoFormula(StrEnum):
    """Why there is nothing to reckon by hand."""

    NEVER_RELEASED = "never-released"
    NO_DIP = "no-dip"
    NOTHING_TO_LOSE = "nothing-to-lose"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return _MEANINGS[self]


_MEANINGS = {
    WhyNoFormula.NEVER_RELEASED: "the controller never comes out of reset",
    WhyNoFormula.NO_DIP: "the reservoir does not dip after the release from reset",
    WhyNoFormula.NOTHING_TO_LOSE: "when its dip begins the reservoir is already below what the regulator needs",
}


def hand_formula(startup: Startup) -> HandFormula | WhyNoFormula:
    """C = I t / dV with I, t and dV read off a start, as :class:`HandFormula` says.

    Parameters
    ----------
    startup : Startup
        A start of a build that feeds its controller from the bus [SI].

    Returns
    -------
    HandFormula or WhyNoFormula
        What comes of it, or why there is nothing to reckon.
    """
    c = startup.build.controller
    released = next((s.time for s in startup.switchings if s.kind is Kind.RESET_RELEASE), None)
    if released is None:
        return WhyNoFormula.NEVER_RELEASED
    times = startup.time[startup.time >= released]
    volts = startup.at(times)["reservoir_voltage"]
    drawn = _drawn(startup, times)
    dips = _stretches(startup.currents(times)[CONTROLLER] < STILL_FED * drawn)
    # The dip that takes most from the reservoir: from its first instant to its lowest voltage.
    falls = [(begins, begins + int(np.argmin(volts[begins : ends + 1]))) for begins, ends in dips]
    if not falls:
        return WhyNoFormula.NO_DIP
    begins, lowest = max(falls, key=lambda pair: float(volts[pair[0]] - volts[pair[1]]))
    time = float(times[lowest] - times[begins])
    if time <= 0:
        return WhyNoFormula.NO_DIP
    current = float(drawn[begins : lowest + 1].max())
    current += _burst(startup, float(times[begins]), float(times[lowest]))
    least = c.brownout_falling + c.dropout_voltage + c.dropout_resistance * current
    drop = float(volts[begins]) - least
    if drop <= 0:
        return WhyNoFormula.NOTHING_TO_LOSE
    return HandFormula(current=current, time=time, voltage_drop=drop, capacitance=current * time / drop)


def _stretches(inside: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of each run of True."""
    padded = np.concatenate(([False], inside, [False])).astype(int)
    steps = np.diff(padded)
    firsts, lasts = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1) - 1
    return [(int(first), int(last)) for first, last in zip(firsts, lasts, strict=True)]


def _drawn(startup: Startup, times: Array) -> Array:
    """What the controller draws at each instant [A], bursts aside."""
    c = startup.build.controller
    currents = {"reset": c.reset_current, "boot": c.boot_current, "run": c.run_current}
    drawn = np.full(len(times), c.reset_current)
    for span in startup.spans[Actor.CONTROLLER]:
        drawn[times >= span.start] = currents[span.state]
    return drawn


def _burst(startup: Startup, begins: float, ends: float) -> float:
    """The radio's current [A] where a burst falls between two instants, else 0."""
    c = startup.build.controller
    starts = [s.time for s in startup.switchings if s.kind is Kind.BURST_START]
    touched = any(time < ends and time + c.burst_length > begins for time in starts)
    return c.burst_current if touched else 0.0
