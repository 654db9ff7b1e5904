"""A capture laid over the model: which file, which channel shows what in which unit, how far shifted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.plots import Overlay
from inrushlib.startup import (
    ADAPTER_VOLTAGE,
    BUS_VOLTAGE,
    GATE_VOLTAGE,
    LEAD_CURRENT,
    PANEL_VOLTAGE,
    RAIL_VOLTAGE,
    Startup,
    curve_named,
    curves_of,
)
from inrushlib.trace import ReadChoices, find_shift, measure, read_trace

NOT_SHOWN = ""  # what a channel shows that shows nothing
AS_FILE = ""  # the unit of which the file decides
TIME_UNITS = (AS_FILE, "s", "ms", "us", "ns")
UNITS = (AS_FILE, "V", "mV", "A", "mA")
GUESSED = {
    curve.name: curve
    for curve in (ADAPTER_VOLTAGE, BUS_VOLTAGE, PANEL_VOLTAGE, RAIL_VOLTAGE, GATE_VOLTAGE, LEAD_CURRENT)
}


class OverlayState(tl.HasTraits):
    """What is laid over; no widgets in here."""

    trace = tl.Any(allow_none=True)
    mapping = tl.Dict()
    """Channel to the model's curve that it shows, or ``NOT_SHOWN``."""
    units = tl.Dict()
    """Channel to its unit, where it was chosen."""
    time_unit = tl.Unicode(AS_FILE)
    shift = tl.Float(0.0)
    """Added to the capture's time [s]."""
    overlays = tl.Tuple()
    problem = tl.Unicode("")

    def __init__(self) -> None:
        super().__init__()
        self._source: tuple[str | Path | bytes, str] | None = None

    def read(self, source: str | Path | bytes, name: str = "") -> bool:
        """Read a capture; one that cannot be read leaves everything as it was and says why."""
        if not self._read(source, name, {}, AS_FILE):
            return False
        self.mapping = {channel: self._guess(channel) for channel in self.trace.channels}
        self.shift = 0.0
        self.lay_over()
        return True

    def read_again(self, units: dict[str, str] | None = None, time_unit: str | None = None) -> bool:
        """Read the same capture with other units."""
        if self._source is None:
            return False
        units = {**self.units, **(units or {})}
        if not self._read(*self._source, units, self.time_unit if time_unit is None else time_unit):
            return False
        self.mapping = {channel: self.mapping.get(channel, NOT_SHOWN) for channel in self.trace.channels}
        self.lay_over()
        return True

    def _read(self, source: str | Path | bytes, name: str, units: dict[str, str], time_unit: str) -> bool:
        units = {channel: unit for channel, unit in units.items() if unit != AS_FILE}
        choices = ReadChoices(units=units, time_unit=None if time_unit == AS_FILE else time_unit)
        try:
            trace = read_trace(source, choices=choices, name=name)
        except InrushError as error:
            self.problem = str(error)
            return False
        self.problem = ""
        self._source = (source, name)
        self.units, self.time_unit, self.trace = units, time_unit, trace
        return True

    @staticmethod
    def _guess(channel: str) -> str:
        """A channel named as a curve of the model shows it; anything else is for the builder to say."""
        name = channel.strip().lower().replace(" ", "_")
        return name if name in GUESSED else NOT_SHOWN

    def show(self, channel: str, quantity: str) -> None:
        """Say what a channel shows."""
        self.mapping = {**self.mapping, channel: quantity}
        self.lay_over()

    def move(self, shift: float) -> None:
        """Set the time [s] that is added to the capture's."""
        self.shift = shift
        self.lay_over()

    def line_up(self, start: Startup) -> bool:
        """Find the shift with which the capture lies best on the model."""
        shown = {channel: quantity for channel, quantity in self.mapping.items() if quantity != NOT_SHOWN}
        if self.trace is None:
            self.problem = "no capture is loaded; accepted: choose, name or upload one first"
            return False
        try:
            shift = find_shift(measure(self.trace, shown, start.build), start)
        except InrushError as error:
            self.problem = str(error)
            return False
        self.problem = ""
        self.move(shift)
        return True

    def clear(self) -> None:
        """Take the capture away."""
        self._source = None
        self.trace = None
        self.mapping = {}
        self.problem = ""
        self.lay_over()

    def lay_over(self) -> None:
        """Make the curves to be drawn."""
        trace: Any = self.trace
        self.overlays = tuple(
            Overlay(trace.time + self.shift, trace.channels[channel].values, curve_named(quantity).is_current)
            for channel, quantity in self.mapping.items()
            if quantity != NOT_SHOWN
        )


def choices_for(build: Build) -> tuple[tuple[str, str], ...]:
    """Return what a channel can show: words, and the curve's name."""
    return (("not shown", NOT_SHOWN), *((curve.name, curve.name) for curve in curves_of(build)))
