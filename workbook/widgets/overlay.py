"""A capture laid over the model: which file, which channel shows what in which unit, how far shifted."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.plots import Overlay
from inrushlib.startup import Startup, curve_named, curves_of
from inrushlib.trace import (
    SETTINGS,
    Setting,
    choices_from,
    find_shift,
    first_lines,
    guess_shown,
    measure,
    read_trace,
)
from widgets.problems import words_of

SHOWN_LINES = 12  # of a file that was refused
NOT_SHOWN = ""  # what a channel shows that shows nothing
AS_FILE = ""  # the unit of which the file decides
TIME_UNITS = (AS_FILE, "s", "ms", "us", "ns")
UNITS = (AS_FILE, "V", "mV", "A", "mA")


class OverlayState(tl.HasTraits):
    """What is laid over; no widgets in here."""

    trace = tl.Any(allow_none=True)
    mapping = tl.Dict()
    """Channel to the model's curve that it shows, or ``NOT_SHOWN``."""
    guesses: Any = tl.Dict()
    """Channel to the ``Guess`` that it shows by, as long as nobody said otherwise."""
    units = tl.Dict()
    """Channel to its unit, where it was chosen."""
    time_unit = tl.Unicode(AS_FILE)
    shift = tl.Float(0.0)
    """Added to the capture's time [s]."""
    overlays = tl.Tuple()
    problem = tl.Unicode("")

    told: Any = tl.Dict()
    """What the builder says about the file: texts by ``Setting``."""
    refused = tl.Tuple()
    """The first lines of a file that could not be read; it stays open until it can, or another is."""

    def __init__(self) -> None:
        super().__init__()
        self._source: tuple[str | Path | bytes, str] | None = None
        self._shows: dict[str, str] = {}
        self._said: dict[str, str] = {}
        self._build: Build | None = None

    @property
    def is_open(self) -> bool:
        """Whether a file is open, read or refused."""
        return self._source is not None

    def read(
        self, source: str | Path | bytes, build: Build, name: str = "", shows: Mapping[str, str] | None = None
    ) -> bool:
        """Read a capture; one that cannot be read stays open, says why, and leaves the one before over the model.

        What its channels show is guessed where it is not given and where that is safe.
        """
        self._source, self._shows, self._said, self._build = (source, name), dict(shows or {}), {}, build
        self.told, self.units, self.time_unit = {}, {}, AS_FILE
        return self._read_new()

    def tell(self, setting: Setting, text: str) -> bool:
        """Say something about the file that is open, and read it again."""
        self.told = {**self.told, setting: text}
        if self._source is None:
            return False
        return self._read_new() if self.refused or self.trace is None else self.read_again()

    def read_again(self, units: dict[str, str] | None = None, time_unit: str | None = None) -> bool:
        """Read the same capture with other units."""
        if self._source is None:
            return False
        self.units = {**self.units, **(units or {})}
        self.time_unit = self.time_unit if time_unit is None else time_unit
        if self.refused:
            return self._read_new()
        if not self._read():
            return False
        self._guess()
        self.lay_over()
        return True

    def _read_new(self) -> bool:
        if not self._read():
            return False
        self._guess()
        self.shift = 0.0
        self.lay_over()
        return True

    def _read(self) -> bool:
        assert self._source is not None
        source, name = self._source
        try:
            trace = read_trace(source, choices=choices_from(self._texts()), name=name)
        except InrushError as error:
            self.refused = tuple(_lines_of(source))
            self.problem = words_of(error)
            return False
        self.refused = ()
        self.problem = ""
        self.trace = trace
        return True

    def _texts(self) -> dict[Setting, list[str]]:
        """Everything that was told about the file, the fields of the channels' units with it."""
        texts: dict[Setting, list[str]] = {setting: _parted(setting, text) for setting, text in self.told.items()}
        known = [f"{channel}={unit}" for channel, unit in self.units.items() if unit != AS_FILE]
        texts[Setting.UNITS] = [*texts.get(Setting.UNITS, ()), *known]
        if self.time_unit != AS_FILE:
            texts[Setting.TIME_UNIT] = [self.time_unit]
        return texts

    def _guess(self) -> None:
        """Say what channels show: as the builder said, as was given with the file, or what can be guessed safely."""
        assert self._build is not None
        told = self._shows | self._said
        found = guess_shown(self.trace, self._build, told)
        self.guesses = {channel: guess for channel, guess in found.items() if guess.is_guessed}
        shown = {channel: guess.curve.name for channel, guess in found.items()} | told
        self.mapping = {channel: shown.get(channel, NOT_SHOWN) for channel in self.trace.channels}

    @property
    def unsaid(self) -> tuple[str, ...]:
        """Channels of which nobody said what they show, and no guess is safe."""
        return tuple(name for name, shown in self.mapping.items() if shown == NOT_SHOWN and name not in self._said)

    def show(self, channel: str, quantity: str) -> None:
        """Say what a channel shows."""
        self._said[channel] = quantity
        self.guesses = {name: guess for name, guess in self.guesses.items() if name != channel}
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
            self.problem = words_of(error)
            return False
        self.problem = ""
        self.move(shift)
        return True

    def clear(self) -> None:
        """Take the capture away."""
        self._source = None
        self.trace = None
        self.mapping, self.guesses = {}, {}
        self.problem = ""
        self.told, self.units, self.time_unit, self.refused = {}, {}, AS_FILE, ()
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
    return (("not shown", NOT_SHOWN), *((curve.words, curve.name) for curve in curves_of(build)))


def _lines_of(source: str | Path | bytes) -> list[str]:
    try:
        return first_lines(source, SHOWN_LINES)
    except InrushError:
        return []


def _parted(setting: Setting, text: str) -> list[str]:
    """Return a field's text as the reader takes it: with commas between, where there may be several."""
    return [part.strip() for part in text.split(",")] if SETTINGS[setting].many else [text]
