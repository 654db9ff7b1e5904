"""From what a builder can see or measure to values of a part: the page's short form of ``inrush from``.

``OBSERVATIONS``    what can be told, by the part of the chain that it fills
``ObservedFields``  the fields of one, folded away until they are asked for
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import ipywidgets as w

from inrushlib.build import Build, build_keys
from inrushlib.errors import InrushError, UsageError
from inrushlib.guide import of_lit_pixels, of_loads, of_wire
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import FIGURES, Observed, ValueKind, WireRun, from_lit_pixels, from_loads, from_track, from_wire
from inrushlib.quantities import format_gauge, format_quantity, parse_gauge, parse_quantity
from inrushlib.text import for_html
from widgets.files import row
from widgets.problems import problem_html
from widgets.signs import signs
from widgets.state import NOTHING, BuildState
from widgets.values import name_of

OPEN, SHUT = "▾", "▸"


@dataclass(frozen=True)
class Reading:
    """One thing to type.

    Attributes
    ----------
    name : str
        What it is.
    hint : str
        An example, in the empty field.
    read : callable
        Takes the text; returns the number in SI units, or raises ValueError.
    blank : float or None
        What an empty field stands for; None where it has to be filled.
    """

    name: str
    hint: str
    read: Callable[[str], float]
    blank: float | None = None


@dataclass(frozen=True)
class Observation:
    """What a builder can tell, and what follows.

    Attributes
    ----------
    words : str
        Of the line that folds it out.
    readings : tuple of Reading
        What is asked for.
    find : callable
        Takes the build and the readings in their order [SI]; returns the values that follow.
    learned : callable
        Takes the build without and with these values, the readings and the day; returns what was measured.
    replaced : tuple of str
        Keys that would win over those values, and are taken back.
    """

    words: str
    readings: tuple[Reading, ...]
    find: Callable[..., Observed]
    learned: Callable[..., MeasurementLog] = lambda *_: NOTHING
    replaced: tuple[str, ...] = ()

    def changes(self, found: Observed) -> dict[str, Any]:
        """The values as a change of the build, as its file would give them."""
        taken = {key: text_of(key, value) for key, value in found.values.items()}
        return dict.fromkeys(self.replaced, None) | taken


def text_of(key: str, value: float) -> str:
    """Return a value that follows from readings as a file gives it, to four digits.

    Parameters
    ----------
    key : str
        Dotted key.
    value : float
        The value [unit of the key, SI].
    """
    info = build_keys()[key]
    return format_gauge(value) if info.kind is ValueKind.GAUGE else format_quantity(value, info.unit, digits=4)


def _quantity(unit: str) -> Callable[[str], float]:
    """Reads a number with its unit; a plain number is in that unit."""

    def read(text: str) -> float:
        try:
            return float(text)
        except ValueError:
            return parse_quantity(text, unit)

    return read


def _count(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise ValueError(f'"{text}"; accepted: a whole number') from None


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise ValueError(f'"{text}"; accepted: a plain number') from None


def _wire(words: str, run: WireRun, length: str, gauge: str) -> Observation:
    def find(_: Build, metres: float, area: float, contacts: float) -> Observed:
        return from_wire(run, metres, area, contacts=contacts)

    def learned(before: Build, after: Build, metres: float, area: float, _: float, day: date) -> MeasurementLog:
        return of_wire(before, after, run, metres, area, day)

    readings = (
        Reading("length, one way", length, _quantity("m")),
        Reading("gauge", gauge, parse_gauge),
        Reading("plugs and joints", "0 ohm", _quantity("ohm"), blank=0.0),
    )
    return Observation(words, readings, find, learned, replaced=run.keys[2:])


def _loads(_: Build, light_v: float, light_i: float, heavy_v: float, heavy_i: float) -> Observed:
    return from_loads([(light_i, light_v), (heavy_i, heavy_v)])


def _loads_learned(
    before: Build, after: Build, light_v: float, light_i: float, heavy_v: float, heavy_i: float, day: date
) -> MeasurementLog:
    return of_loads(before, after, (light_i, light_v), (heavy_i, heavy_v), day)


def _lit(build: Build, current: float, pixels: int) -> Observed:
    """Counted for the chip is what the build has for it, which stays as it is."""
    found = from_lit_pixels(current, pixels, quiescent=build.pixel.quiescent_current)
    key = "pixel.channel_current"
    return replace(found, values={key: found.values[key]})


def _track(_: Build, ounces: float, width: float, length: float, pixels: int) -> Observed:
    return from_track(ounces, width, length, pixels)


OBSERVATIONS: Mapping[str, tuple[Observation, ...]] = {
    "Adapter": (
        Observation(
            "From its voltage at two loads",
            (
                Reading("voltage, light load", "5.08 V", _quantity("V")),
                Reading("at light load", "0.1 A", _quantity("A")),
                Reading("voltage, heavy load", "4.98 V", _quantity("V")),
                Reading("at heavy load", "2 A", _quantity("A")),
            ),
            _loads, _loads_learned,
        ),
    ),
    "Lead": (_wire("From length, gauge and plugs", WireRun.LEAD, "1.2 m", "22 AWG"),),
    "Pixels": (
        Observation(
            "From what one tile draws, all white",
            (Reading("all white", "1.5 A", _quantity("A")), Reading("pixels lit", "64", _count)),
            _lit, of_lit_pixels,
        ),
    ),
    "Wiring": (
        _wire("Jumpers from length and gauge", WireRun.HOP, "5 cm", "30 AWG"),
        _wire("Feeds from length and gauge", WireRun.FEED, "30 cm", "20 AWG"),
        Observation(
            "Rail from a board's copper",
            (
                Reading("copper [oz]", "1", _number), Reading("width of track", "3 mm", _quantity("m")),
                Reading("length of track", "60 mm", _quantity("m")), Reading("pixels along it", "8", _count),
            ),
            _track,
        ),
    ),
}  # fmt: skip


class ObservedFields:
    """A line that folds out, the fields, what follows from them, and a button that puts it into the build.

    Parameters
    ----------
    state : BuildState
        Has the build.
    about : Observation
        What is asked for.
    """

    def __init__(self, state: BuildState, about: Observation) -> None:
        self.state, self.about = state, about
        self.found: Observed | None = None
        self.fold = w.ToggleButton(description=f"{about.words} {SHUT}")
        self.fold.add_class("wb-fold")
        self.fold.observe(self._folded, "value")
        self.fields: list[w.Text] = []
        self.note = w.HTML()
        self.take = w.Button(description="Put into the build", disabled=True)
        self.take.on_click(lambda _: self.taken())
        self.box = w.VBox([self.fold])
        self.box.add_class("wb-observed")

    def _folded(self, change: Any) -> None:
        self.fold.description = f"{self.about.words} {OPEN if change['new'] else SHUT}"
        self.box.children = [self.fold, *(self._rows() if change["new"] else ())]

    def _rows(self) -> Sequence[w.DOMWidget]:
        """Return the fields, made when they are first asked for."""
        if not self.fields:
            self.fields = [w.Text(placeholder=one.hint, continuous_update=False) for one in self.about.readings]
            for field in self.fields:
                field.observe(self.look, "value")
        rows = [row(one.name, field) for one, field in zip(self.about.readings, self.fields, strict=True)]
        for each in rows:
            each.add_class("wb-named")
        return [*rows, self.note, self.take]

    def look(self, _: Any = None) -> None:
        """Say what follows from the readings, once all are there."""
        self.found, problem = None, ""
        try:
            numbers = self._numbers()
            self.found = None if None in numbers else self.about.find(self.state.build, *numbers)
        except InrushError as error:
            problem = str(error)
        self.take.disabled = self.found is None
        told = "" if self.found is None else f'<div role="status">{_told(self.found)}</div>'
        self.note.value = problem_html(problem) or told

    def _numbers(self) -> list[float | None]:
        """The readings [SI]; None for one that is still missing."""
        numbers: list[float | None] = []
        for one, field in zip(self.about.readings, self.fields, strict=True):
            text = field.value.strip()
            try:
                numbers.append(one.read(text) if text else one.blank)
            except ValueError as error:
                raise UsageError(f"{one.name}: {error}") from None
        return numbers

    def taken(self) -> None:
        """Put what follows for the build as it stands now into it, as measured."""
        self.look()
        if self.found is None:
            return
        before, changes = self.state.build, self.about.changes(self.found)
        try:
            log = self.about.learned(before, before.with_values(changes), *self._numbers(), date.today())
        except InrushError:
            log = NOTHING  # refused: the state says why
        self.state.change(changes, log)


def _told(found: Observed) -> str:
    """What follows, each value with its name, then what was taken for granted."""
    values = ", ".join(f"<b>{for_html(_named(key, value))}</b>" for key, value in found.values.items())
    notes = " ".join(for_html(signs(note)) for note in found.notes)
    for name, (words, unit) in FIGURES.items():
        if name in found.figures:
            values += f"; {words} {for_html(signs(format_quantity(found.figures[name], unit, digits=3)))}"
    return f'Gives {values}. <span class="wb-small">{notes}</span>'


def _named(key: str, value: float) -> str:
    return f"{name_of(key)} {signs(text_of(key, value))}"
