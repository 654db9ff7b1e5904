"""What the channels of a capture show, guessed where that is safe: by name, by unit, by level.

``guess_shown``
    a guess for each channel of which one can be made
``Guess``, ``Basis``
    a guess with what it goes by
``idle_level``
    what a voltage is at without load
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from inrushlib.build import Build
from inrushlib.quantities import format_quantity
from inrushlib.startup.curves import (
    ADAPTER_VOLTAGE,
    BUS_VOLTAGE,
    GATE_VOLTAGE,
    LEAD_CURRENT,
    PANEL_VOLTAGE,
    RAIL_VOLTAGE,
    RESERVOIR_VOLTAGE,
    Curve,
)
from inrushlib.trace.read.record import Channel, Trace

IDLE = 95.0  # [%] of a channel's samples that lie below its idle level: without load a voltage is highest
NEAR = 0.08  # [1] of a nominal voltage, within which a level is taken for it: common practice, no source
DIFFERENCE: Final = re.compile(r"shunt|drop|sense|diff|delta|ripple|\bac\b|mv/a")
"""What makes of a voltage something else than the voltage of a place."""
PLACES: Final[tuple[tuple[Curve, str], ...]] = (
    (BUS_VOLTAGE, r"v?bus|(?:\+\s*)?5\s*v(?:olts?)?|5v0|v5|terminals?"),
    (RAIL_VOLTAGE, r"rail|(?:\+\s*)?3[.,v]3\s*v?|v33|mcu|controller"),
    (ADAPTER_VOLTAGE, r"adapter|psu"),
    (PANEL_VOLTAGE, r"panel|display"),
    (GATE_VOLTAGE, r"v?gate|vg"),
    (RESERVOIR_VOLTAGE, r"reservoir"),
    (LEAD_CURRENT, r"lead|current|i|i_?in|i_?lead|i_?supply|probe|clamp|adapter|psu|supply"),
)
"""What labs call a place, whole words of a name; the unit decides between a place's voltage and its current."""


class Basis(Enum):
    """What a guess goes by, the surest first."""

    CURVE = "it is named as the curve"
    NAME = "its name"
    UNIT = "its unit, as the only current"
    LEVEL = "its level"


@dataclass(frozen=True)
class Guess:
    """What a channel is taken to show.

    Attributes
    ----------
    channel : str
        Of the capture.
    curve : Curve
        Of the model.
    basis : Basis
        What the guess goes by.
    level : float or None
        The channel's idle level [V], where it goes by that.
    """

    channel: str
    curve: Curve
    basis: Basis
    level: float | None = None

    @property
    def is_guessed(self) -> bool:
        """Whether it is a guess at all: a channel named as a curve says itself what it shows."""
        return self.basis is not Basis.CURVE

    @property
    def words(self) -> str:
        """A sentence for whoever has to know that it is guessed."""
        level = (
            "" if self.level is None else f" of {format_quantity(self.level, self.curve.unit, digits=2)} without load"
        )
        return f"Channel {self.channel} is taken for the {self.curve.words}: a guess by {self.basis.value}{level}."


def guess_shown(trace: Trace, build: Build, told: Mapping[str, str] | None = None) -> dict[str, Guess]:
    """Return what channels of a capture show, as far as that can be guessed safely.

    A channel that is named as a curve shows it. Else whole words of its name decide together with its unit; then, for
    the only current, the unit; then, for a voltage, its level without load: near the adapter's rated voltage it is the
    bus, near the controller's rail voltage and beside a bus it is the rail (alone it could be a bus that sags). Where
    two channels would show the same curve on the same basis, neither is guessed; nor is a difference such as the
    drop of a shunt, or a channel in another unit than V and A.

    Parameters
    ----------
    trace : Trace
        The capture.
    build : Build
        Says how high its bus and its controller's rail are.
    told : mapping of str to str or None
        Channels of which it is known, and the names of the curves that they show; these are not guessed again.
    """
    told = dict(told or {})
    taken = set(told.values())
    found: dict[str, Guess] = {}
    for basis in Basis:
        new = [guess for name in trace.channels
               if name not in told and name not in found
               and (guess := _by(basis, name, trace, build, taken)) is not None
               and guess.curve.name not in taken]  # fmt: skip
        claims = [guess.curve.name for guess in new]
        found |= {guess.channel: guess for guess in new if claims.count(guess.curve.name) == 1}
        # What two channels claim is left to the builder, and is not given to a third on weaker basis.
        taken |= set(claims)
    return {name: found[name] for name in trace.channels if name in found}


def idle_level(channel: Channel) -> float | None:
    """Return what a channel is at without load, highest but for spikes [V or A]; None where nothing was measured.

    Parameters
    ----------
    channel : Channel
        Any channel.

    Examples
    --------
    >>> idle_level(Channel(np.repeat([0.0, 2.5, 5.0, 9.0], [40, 30, 29, 1]), "V"))
    5.0
    """
    samples = channel.values[np.isfinite(channel.values)]
    return float(np.percentile(samples, IDLE)) if len(samples) else None


def _by(basis: Basis, name: str, trace: Trace, build: Build, taken: set[str]) -> Guess | None:
    channel = trace.channels[name]
    if basis is Basis.CURVE:
        curve = _named_as_curve(name, channel)
    elif _is_difference(name):
        return None
    elif basis is Basis.NAME:
        curve = _named_as_place(name, channel)
    elif basis is Basis.UNIT:
        curve = LEAD_CURRENT if channel.unit == "A" and _only_current(trace) else None
    else:
        return _by_level(name, trace, build, taken)
    return None if curve is None else Guess(name, curve, basis)


def _named_as_curve(name: str, channel: Channel) -> Curve | None:
    words = re.sub(r"\W+", "_", name.strip().lower())
    curve = next((curve for curve, _ in PLACES if words == curve.name), None)
    return curve if curve is not None and _may_be(curve, channel) else None


def _named_as_place(name: str, channel: Channel) -> Curve | None:
    """The one place that whole words of a channel's name stand for."""
    text = re.sub(r"[_\-/]+", " ", name.strip().lower())
    fitting = [curve for curve, words in PLACES
               if _may_be(curve, channel) and re.search(rf"(?<![\w.+])(?:{words})(?![\w.])", text)]  # fmt: skip
    return fitting[0] if len(fitting) == 1 else None


def _may_be(curve: Curve, channel: Channel) -> bool:
    """Whether the unit allows it; a file that gives none says nothing against it."""
    return channel.unit == curve.unit or (channel.unit_assumed and not channel.unit)


def _is_difference(name: str) -> bool:
    """Whether a name says that it is a difference of voltages, or no absolute one."""
    return DIFFERENCE.search(name.lower()) is not None


def _only_current(trace: Trace) -> bool:
    return sum(channel.unit == "A" for channel in trace.channels.values()) == 1


def _by_level(name: str, trace: Trace, build: Build, taken: set[str]) -> Guess | None:
    """A voltage whose idle level is near that of one place alone."""
    bus, rail = build.adapter.rated_voltage, build.controller.rail_voltage
    channel = trace.channels[name]
    level = idle_level(channel)
    if channel.unit != "V" or level is None or _is_near(bus, rail):
        return None
    if _is_near(level, bus):
        return Guess(name, BUS_VOLTAGE, Basis.LEVEL, level)
    beside = [idle_level(other) or 0.0 for key, other in trace.channels.items() if key != name and other.unit == "V"]
    if _is_near(level, rail) and (BUS_VOLTAGE.name in taken or any(_is_near(each, bus) for each in beside)):
        return Guess(name, RAIL_VOLTAGE, Basis.LEVEL, level)
    return None


def _is_near(level: float, nominal: float) -> bool:
    return abs(level - nominal) <= NEAR * nominal
