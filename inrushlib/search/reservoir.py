"""The smallest reservoir behind a diode that carries the controller through a dip of the bus.

``smallest_reservoir``  by search over the model, beside the hand formula, with the next E6 value up
``with_reservoir``      a build with a diode and a reservoir
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.parts.place import CONTROLLER
from inrushlib.quantities import format_quantity
from inrushlib.search.by_hand import hand_formula
from inrushlib.search.islands import find_islands
from inrushlib.search.preferred import E6, next_e6
from inrushlib.search.rerun import Rerun
from inrushlib.search.reservoir_size import (
    CAPACITOR_TOLERANCE,
    LARGEST,
    NoReservoir,
    ReservoirSize,
    StandardValue,
    WhyNoReservoir,
)
from inrushlib.startup import hold_lumps, needed_bus_voltage, screen_many, simulate

DECADES = range(-6, 0)  # of what is searched, up to LARGEST
MOST_VALUES = 4  # standard values tried above the smallest


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
        return NoReservoir(why=WhyNoReservoir.OWN_SUPPLY, runs=0)
    islands = find_islands(lambda value: with_reservoir(build, value), e6_values(), relative=0.01)
    if not islands.found:
        # A diode's drop can be what stops a build that boots without one.
        detail = f"{_with_largest(build)}. As it is: {simulate(build).headline.words}"
        return NoReservoir(why=WhyNoReservoir.NOTHING_BOOTS, detail=detail, runs=islands.runs + 2)
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


def _standard(build: Build, least: float) -> tuple[StandardValue | NoReservoir, int]:
    """First E6 value that boots at both ends of its tolerance too, and the starts run."""
    needed = next_e6(least / (1 - CAPACITOR_TOLERANCE))
    ladder = [value for value in e6_values() if value >= needed]
    shares = (1 - CAPACITOR_TOLERANCE, 1.0, 1 + CAPACITOR_TOLERANCE)
    runs = 0
    for value in ladder[:MOST_VALUES]:
        runs += len(shares)
        if not screen_many([with_reservoir(build, share * value) for share in shares]).boots.all():
            continue
        runs += 2
        found = _shown(build, value)
        if found is not None:
            return found, runs
    if needed > LARGEST:
        return NoReservoir(why=WhyNoReservoir.LADDER_ENDS, runs=runs), runs
    detail = f"it boots from {format_quantity(least, 'F', digits=3)} on"
    return NoReservoir(why=WhyNoReservoir.TOLERANCE_TOO_WIDE, detail=detail, runs=runs), runs


def _shown(build: Build, value: float) -> StandardValue | None:
    """Return the start with a standard value [F]; None where it does not even leave reset."""
    chosen = simulate(with_reservoir(build, value))
    lowest = chosen.figures.lowest_rail_voltage
    if lowest is None:
        return None
    return StandardValue(
        value=value,
        least=(1 - CAPACITOR_TOLERANCE) * value,
        lowest_rail_voltage=lowest,
        highest_reservoir_voltage=chosen.figures.highest_reservoir_voltage,
        peak_feed_current=float(chosen.currents(chosen.time)[CONTROLLER].max()),
        start=Rerun(simulate(build).headline, chosen.headline),
    )


def _with_largest(build: Build) -> str:
    """Return how it ends with the largest reservoir, and whether that is a matter of the bus."""
    start = simulate(with_reservoir(build, LARGEST))
    text = f"with the largest: {start.reason}"
    need = needed_bus_voltage(start.build)
    if need is None:
        return f"{text}. That is no matter of the bus; a reservoir does not help"
    if start.running_at is None and start.figures.highest_bus_voltage < need:
        text += f". The bus itself never rises to the {need:.2f} V that charge it; a reservoir does not help"
    return text
