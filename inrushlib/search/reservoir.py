"""The smallest reservoir behind a diode that carries the controller through a dip of the bus.

``smallest_reservoir``  by search over the model, beside the hand formula, with the next E6 value up
``ReservoirSize``, ``StandardValue``, ``NoReservoir``
                        the answer; the next E6 value up; why there is none
``HandFormula``         C = I t / dV, and where I, t and dV come from
``with_reservoir``      a build with a diode and a reservoir
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.parts.place import CONTROLLER
from inrushlib.quantities import format_quantity
from inrushlib.search.islands import Island, find_islands
from inrushlib.search.preferred import E6, next_e6
from inrushlib.search.rerun import Rerun
from inrushlib.startup import Actor, Kind, Startup, hold_lumps, needed_bus_voltage, screen_many, simulate

Array = NDArray[np.float64]

CAPACITOR_TOLERANCE = 0.2
"""Of an aluminium electrolytic, code M (data sheet of the KEMET ESL series)."""

SMALLEST, LARGEST = 1e-6, 0.1  # [F] what is searched
DECADES = range(-6, 0)
STILL_FED = 0.5  # of what the controller draws: a feed below it counts as a dip
MOST_VALUES = 4  # standard values tried above the smallest


@dataclass(frozen=True)
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


class WhyNone(StrEnum):
    """Why there is no reservoir, or no standard value for it."""

    OWN_SUPPLY = "own-supply"
    NOTHING_BOOTS = "nothing-boots"
    LADDER_ENDS = "ladder-ends"
    TOLERANCE_TOO_WIDE = "tolerance-too-wide"


@dataclass(frozen=True, kw_only=True)
class NoReservoir:
    """There is no reservoir, or no standard value, that makes it boot.

    Attributes
    ----------
    why : WhyNone
        What stands against it.
    reason : str
        The same in one sentence, with its numbers.
    runs : int
        Starts run.
    """

    why: WhyNone
    reason: str
    runs: int

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON: the fields of a size, none of them there."""
        return _flat(reason=self.reason, runs=self.runs)


@dataclass(frozen=True, kw_only=True)
class StandardValue:
    """The next E6 value up that boots at its nominal value and at both ends of its tolerance, SI.

    Attributes
    ----------
    value, least : float
        Nominal, and less its tolerance of 20 % [F].
    lowest_rail_voltage : float or None
        With it, after reset [V]; None where it never leaves reset.
    highest_reservoir_voltage, peak_feed_current : float
        With it: on the reservoir [V], and through the diode [A].
    start : Rerun
        How it starts as it is, and with it.
    """

    value: float
    least: float
    lowest_rail_voltage: float | None
    highest_reservoir_voltage: float
    peak_feed_current: float
    start: Rerun

    @property
    def good(self) -> bool:
        """Whether it overstresses nothing and does not make the start end worse."""
        return not self.start.worsens and not self.start.after.overstressed


@dataclass(frozen=True, kw_only=True)
class ReservoirSize:
    """The smallest reservoir behind a diode, SI.

    Attributes
    ----------
    smallest : float
        Smallest capacitance that boots at the first try [F]; the smallest searched where that boots already.
    needed : bool
        Whether less than that was seen to fail: False where the diode alone does.
    standard : StandardValue or NoReservoir
        The standard value, or why there is none.
    by_hand : HandFormula or None
        The hand formula beside it; None where the reservoir does not dip.
    islands : tuple of Island
        All stretches of capacitance that boot.
    runs : int
        Starts run.
    """

    smallest: float
    needed: bool
    standard: StandardValue | NoReservoir
    by_hand: HandFormula | None
    islands: tuple[Island, ...]
    runs: int

    def to_dict(self) -> dict[str, Any]:
        """Return it as one flat table, ready for JSON."""
        found: dict[str, Any] = {"smallest": self.smallest, "needed": self.needed, "by_hand": self.by_hand}
        found |= {"islands": self.islands, "runs": self.runs}
        if isinstance(self.standard, NoReservoir):
            return _flat(**found, reason=self.standard.reason)
        s = self.standard
        return _flat(
            **found, next_value=s.value, least_of_next=s.least, lowest_rail_voltage=s.lowest_rail_voltage,
            highest_reservoir_voltage=s.highest_reservoir_voltage, peak_feed_current=s.peak_feed_current, start=s.start,
        )  # fmt: skip


def _flat(**told: Any) -> dict[str, Any]:
    """Return the table that is printed as JSON, null where there is nothing."""
    empty = {
        "smallest": None, "needed": False, "next_value": None, "least_of_next": None, "by_hand": None,
        "lowest_rail_voltage": None, "highest_reservoir_voltage": None, "peak_feed_current": None, "islands": (),
        "reason": "", "runs": 0, "start": None,
    }  # fmt: skip
    return empty | told


def e6_values() -> tuple[float, ...]:
    """E6 values (IEC 60063) from 1 uF to 100 mF [F].

    Examples
    --------
    >>> e6_values()[:7]
    (1e-06, 1.5e-06, 2.2e-06, 3.3e-06, 4.7e-06, 6.8e-06, 1e-05)
    """
    values = [float(f"{digits}e{decade}") for decade in DECADES for digits in E6]
    return tuple(sorted({value for value in values if value <= LARGEST}))


def with_reservoir(build: Build, capacitance: float) -> Build:
    """The build with a diode in front of the controller and a reservoir behind it.

    Parameters
    ----------
    build : Build
        The build [SI].
    capacitance : float
        Of the reservoir [F], above 0.

    Returns
    -------
    Build
        The changed copy.
    """
    return build.with_values({"controller.feed_diode": True, "controller.reservoir": capacitance})


def smallest_reservoir(build: Build) -> ReservoirSize | NoReservoir:
    """The smallest reservoir behind a diode with which the build boots at the first try.

    Parameters
    ----------
    build : Build
        The build [SI]; its own reservoir does not matter.

    Returns
    -------
    ReservoirSize or NoReservoir
        With the hand formula and the next E6 value up; or why none makes it boot.

    Raises
    ------
    SolverError
        Where a start hits a bound.
    """
    build = hold_lumps(build)
    if build.controller.feed == "own":
        reason = "the controller has a supply of its own, which a dip of the bus does not reach"
        return NoReservoir(why=WhyNone.OWN_SUPPLY, reason=reason, runs=0)
    islands = find_islands(lambda value: with_reservoir(build, value), e6_values(), relative=0.01)
    if not islands.found:
        # A diode's drop can be what stops a build that boots without one.
        reason = f"{_why_none(build)}. As it is: {simulate(build).headline.title}"
        return NoReservoir(why=WhyNone.NOTHING_BOOTS, reason=reason, runs=islands.runs + 2)
    first = islands.found[0]
    standard, tried = _standard(build, first.low)
    return ReservoirSize(
        smallest=first.low,
        needed=first.low_fails is not None,
        standard=standard,
        by_hand=hand_formula(simulate(with_reservoir(build, first.low))),
        islands=islands.found,
        runs=islands.runs + 1 + tried,
    )


def hand_formula(startup: Startup) -> HandFormula | None:
    """C = I t / dV with I, t and dV read off a start, as :class:`HandFormula` says.

    Parameters
    ----------
    startup : Startup
        A start of a build that feeds its controller from the bus [SI].

    Returns
    -------
    HandFormula or None
        None where the reservoir never dips, or starts so low that nothing is left to fall.
    """
    c = startup.build.controller
    released = next((s.time for s in startup.switchings if s.kind is Kind.RESET_RELEASE), None)
    if released is None:
        return None
    times = startup.time[startup.time >= released]
    volts = startup.at(times)["reservoir_voltage"]
    drawn = _drawn(startup, times)
    dips = _stretches(startup.currents(times)[CONTROLLER] < STILL_FED * drawn)
    # The dip that takes most from the reservoir: from its first instant to its lowest voltage.
    falls = [(begins, begins + int(np.argmin(volts[begins : ends + 1]))) for begins, ends in dips]
    if not falls:
        return None
    begins, lowest = max(falls, key=lambda pair: float(volts[pair[0]] - volts[pair[1]]))
    time = float(times[lowest] - times[begins])
    if time <= 0:
        return None
    current = float(drawn[begins : lowest + 1].max())
    current += _burst(startup, float(times[begins]), float(times[lowest]))
    least = c.brownout_falling + c.dropout_voltage + c.dropout_resistance * current
    drop = float(volts[begins]) - least
    return HandFormula(current, time, drop, current * time / drop) if drop > 0 else None


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


def _standard(build: Build, least: float) -> tuple[StandardValue | NoReservoir, int]:
    """First E6 value that boots at both ends of its tolerance too, and the starts run."""
    needed = next_e6(least / (1 - CAPACITOR_TOLERANCE))
    ladder = [value for value in e6_values() if value >= needed]
    shares = (1 - CAPACITOR_TOLERANCE, 1.0, 1 + CAPACITOR_TOLERANCE)
    for tried, value in enumerate(ladder[:MOST_VALUES], 1):
        if screen_many([with_reservoir(build, share * value) for share in shares]).boots.all():
            return _shown(build, value), len(shares) * tried + 2
    runs = len(shares) * len(ladder[:MOST_VALUES])
    if needed > LARGEST:
        reason = f"the ladder of E6 values ends at {format_quantity(LARGEST, 'F')}"
        return NoReservoir(why=WhyNone.LADDER_ENDS, reason=reason, runs=runs), runs
    reason = f"from {format_quantity(least, 'F', digits=3)} it boots, but no E6 value does over the whole of its "
    reason += "tolerance of 20 %"
    return NoReservoir(why=WhyNone.TOLERANCE_TOO_WIDE, reason=reason, runs=runs), runs


def _shown(build: Build, value: float) -> StandardValue:
    """Start it with a standard value [F]."""
    chosen = simulate(with_reservoir(build, value))
    return StandardValue(
        value=value,
        least=(1 - CAPACITOR_TOLERANCE) * value,
        lowest_rail_voltage=chosen.figures.lowest_rail_voltage,
        highest_reservoir_voltage=chosen.figures.highest_reservoir_voltage,
        peak_feed_current=float(chosen.currents(chosen.time)[CONTROLLER].max()),
        start=Rerun(simulate(build).headline, chosen.headline),
    )


def _why_none(build: Build) -> str:
    start = simulate(with_reservoir(build, LARGEST))
    text = f"no reservoir up to {format_quantity(LARGEST, 'F')} makes it boot; with the largest: {start.reason}"
    need = needed_bus_voltage(start.build)
    if need is None:
        return f"{text}. That is no matter of the bus; a reservoir does not help"
    if start.running_at is None and start.figures.highest_bus_voltage < need:
        text += f". The bus itself never rises to the {need:.2f} V that charge it; a reservoir does not help"
    return text
