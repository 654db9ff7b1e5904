"""Parts that see more in a start than they stand.

``find_overstress``  from the figures of a start to the overstressed parts
``Overstress``       one of them: which, how much it saw, what it stands, when
``Stressed``, ``Cause``
                     which part, and what brought it there
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from inrushlib.build import Build
from inrushlib.quantities import format_quantity
from inrushlib.startup.figures import Figures

MOST_DIGITS = 9


class Stressed(StrEnum):
    """What may see more than it stands."""

    PIXELS = "pixels"
    CONTROLLER = "controller"
    SWITCH = "switch"


class Cause(StrEnum):
    """What brought a part beyond its absolute maximum."""

    SUPPLY = "supply"
    OVERSHOOT = "overshoot"
    HEAT = "heat"

    @property
    def advice(self) -> str:
        """What to do about it, in one sentence."""
        return _ADVICE[self]


_ADVICE = {
    Cause.SUPPLY: "take a supply of a lower voltage; no other change helps",
    Cause.OVERSHOOT: "the lead rings with the capacitors behind it, on plugging in or when pixels go dark: an "
    "electrolytic capacitor at the bus (bus.bulk) damps that; on plugging in it also helps to switch the mains on last",
    Cause.HEAT: "take a switch of less resistance, one that limits with a higher limit, or let it close faster or "
    "later",
}


@dataclass(frozen=True, kw_only=True)
class Overstress:
    """One part that saw more than its absolute maximum.

    Attributes
    ----------
    part : Stressed
        Which part.
    seen, limit : float
        The highest value that it saw, and its absolute maximum [unit].
    at : float or None
        When it saw that value [s]; None where the run did not keep it.
    unit : str
        ``"V"``, or ``"C"`` for a junction temperature.
    cause : Cause
        What brought it there.
    """

    part: Stressed
    seen: float
    limit: float
    at: float | None
    unit: str
    cause: Cause

    @property
    def words(self) -> str:
        """Which part, how much, what it stands, when."""
        verb = "see" if self.part is Stressed.PIXELS else "sees"
        seen, limit = _apart(self.seen, self.limit, self.unit)
        what = f"a junction of {seen}" if self.cause is Cause.HEAT else seen
        when = "" if self.at is None else f" at {format_quantity(self.at, 's', digits=3)}"
        return f"the {self.part} {verb} {what}{when} (absolute maximum {limit})"


def _apart(seen: float, limit: float, unit: str) -> tuple[str, str]:
    """Return both values with as many digits as it takes to tell them apart."""
    shown = (f"{seen:g}", f"{limit:g}")
    for digits in range(3, MOST_DIGITS):
        if unit == "C":
            shown = (f"{seen:.{digits}g} degrees C", f"{limit:.{digits}g} degrees C")
        else:
            shown = (format_quantity(seen, unit, digits=digits), format_quantity(limit, unit, digits=digits))
        if shown[0] != shown[1]:
            break
    return shown


def find_overstress(build: Build, figures: Figures) -> tuple[Overstress, ...]:
    """Return the parts that saw more than they stand: pixels, controller, switch, in this order.

    Parameters
    ----------
    build : Build
        What was started.
    figures : Figures
        What was read off its start.

    Notes
    -----
    The absolute maximum of a data sheet is a value that must not be passed for a moment, so a short overshoot counts.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.startup import simulate
    >>> start = simulate(new_build({"title": "wrong adapter", "adapter.rated_voltage": 12, "adapter.rated_current": 5,
    ...                             "wiring.sections": 1, "wiring.pixels_per_section": 64}))
    >>> [(str(each.part), each.seen > 11.9, each.limit) for each in start.overstressed]
    [('pixels', True, 5.5), ('controller', True, 6.0)]
    """
    found = over_voltages(
        build, figures.highest_section_voltage, figures.highest_reservoir_voltage,
        figures.highest_section_voltage_at, figures.highest_reservoir_voltage_at,
    )  # fmt: skip
    hot = figures.highest_junction_temperature
    if build.switch is None or hot is None or hot <= build.switch.highest_junction:
        return found
    at = figures.highest_junction_temperature_at
    return (
        *found,
        Overstress(
            part=Stressed.SWITCH, seen=hot, limit=build.switch.highest_junction, at=at, unit="C", cause=Cause.HEAT
        ),
    )


def over_voltages(
    build: Build,
    section: float,
    reservoir: float,
    section_at: float | None = None,
    reservoir_at: float | None = None,
) -> tuple[Overstress, ...]:
    """Return which of pixels and controller saw more voltage than they stand.

    Parameters
    ----------
    build : Build
        What was started.
    section, reservoir : float
        Highest voltage at any pixel and at the controller's reservoir [V].
    section_at, reservoir_at : float or None
        When [s].
    """
    c = build.controller
    rated = build.adapter.rated_voltage
    supply = c.own_voltage if c.feed == "own" else rated
    pixels = over_voltage(Stressed.PIXELS, section, build.pixel.highest_supply, section_at, rated)
    controller = over_voltage(Stressed.CONTROLLER, reservoir, c.highest_supply, reservoir_at, supply)
    return tuple(each for each in (pixels, controller) if each is not None)


def over_voltage(part: Stressed, seen: float, limit: float, at: float | None, supply: float) -> Overstress | None:
    """Return the overstress of a part by its voltage, or None where it stands it.

    Parameters
    ----------
    part : Stressed
        Which part.
    seen, limit : float
        Highest voltage seen, and its absolute maximum [V].
    at : float or None
        When [s].
    supply : float
        What its supply regulates to [V]: above the limit it is the supply itself, else it is an overshoot.
    """
    if seen <= limit:
        return None
    return Overstress(
        part=part, seen=seen, limit=limit, at=at, unit="V", cause=Cause.SUPPLY if supply > limit else Cause.OVERSHOOT
    )
