"""A yes/no map of two keys: which, over which ranges, and its picture."""

from __future__ import annotations

import math
from typing import Any

import ipywidgets as w

from inrushlib.answers.html import render
from inrushlib.answers.map import map_answer
from inrushlib.answers.screen import Screen
from inrushlib.build import Build, build_keys
from inrushlib.errors import UsageError
from inrushlib.parts import ValueKind, key_words
from inrushlib.quantities import format_quantity, parse_quantity
from inrushlib.search import Axis, VerdictMap, verdict_map
from widgets.files import WIDE, row
from widgets.groups import GROUPS, Slide
from widgets.question import Asked, Told
from widgets.signs import signs
from widgets.state import BuildState
from widgets.values import typed

SPACINGS = (("by equal factors", True), ("by equal differences", False))
AROUND = 4.0  # times the build's own value, either side, where no slider gives a range
BETWEEN = w.Layout(width="18px", flex="0 0 18px")
FIRST_KEYS = ("adapter.rated_current", "lead.length")
MOST_POINTS, POINTS = 120, 40
FROM_ZERO = 0.01  # share of the highest value that is accepted, where the build's own is zero


def mappable() -> tuple[str, ...]:
    """Return the keys that may be an axis: of one number, or of a list given as one number for all."""
    return tuple(
        key
        for key, info in build_keys().items()
        if info.table and (info.kind in (ValueKind.NUMBER, ValueKind.COUNT) or info.one_for_all) and not info.instead
    )


def suggested(build: Build, key: str) -> tuple[float, float, bool]:
    """Return a range for a key, and whether it goes by factors: its slider's, else around the build's own value."""
    for item in (item for items in GROUPS.values() for item in items):
        if isinstance(item, Slide) and item.key == key:
            return item.low, item.high, item.log
    info = build_keys()[key]
    own = Axis(key, 0.0, 1.0).own(build) if getattr(build, info.table) is not None else None
    value = own or (0.5 * info.high if info.kind.is_whole else FROM_ZERO * info.high)
    low, high = sorted((value / AROUND, value * AROUND))
    if info.kind.is_whole:
        low, high = float(math.floor(low)), float(math.ceil(high))
    return max(low, info.low), min(high, info.high), False


def end_of(key: str, text: str) -> float:
    """Return an end of a range as typed, as a number in the key's unit; a number without a unit is taken in it."""
    value = typed(key, text)
    unit = build_keys()[key].unit
    try:
        return float(value) if isinstance(value, int | float) else parse_quantity(value, unit)
    except (TypeError, ValueError):
        shown = f"a number in {unit} or text with it" if unit else "a plain number"
        raise UsageError(f'{key}: "{text}" as an end of the range; accepted: {shown}') from None


class AxisFields:
    """Key and range of one axis."""

    def __init__(self, state: BuildState, name: str, key: str) -> None:
        self.state = state
        self.key = w.Dropdown(options=[(key_words(each), each) for each in mappable()], value=key, layout=WIDE)
        self.low, self.high = (w.Text(continuous_update=False, layout=WIDE) for _ in range(2))
        self.spacing = w.Dropdown(options=SPACINGS, layout=WIDE)
        self.key.observe(self.suggest, "value")
        self.box = w.VBox(
            [
                row(name, self.key),
                row(f"{name} range", self.low, w.HTML("to", layout=BETWEEN), self.high),
                row(f"{name} steps", self.spacing),
            ]
        )
        self.suggest()

    def suggest(self, _: Any = None) -> None:
        """Put in a range for the key that was chosen."""
        key = self.key.value
        low, high, by_factors = suggested(self.state.build, key)
        unit = build_keys()[key].unit
        self.low.value, self.high.value = (signs(format_quantity(v, unit)) for v in (low, high))
        self.spacing.value = by_factors

    def axis(self, points: int) -> Axis:
        """Return the axis as entered."""
        key = self.key.value
        low, high = (end_of(key, field.value) for field in (self.low, self.high))
        return Axis(key, low, high, points, log=self.spacing.value)


class MapQuestion:
    """What the map is of; the question itself."""

    def __init__(self, state: BuildState) -> None:
        self.x, self.y = (AxisFields(state, n, k) for n, k in zip("xy", FIRST_KEYS, strict=True))
        self.points = w.BoundedIntText(value=POINTS, min=4, max=MOST_POINTS, layout=w.Layout(width="90px"))
        fields = w.Box([self.x.box, self.y.box, row("points", self.points, w.HTML("along each"))])
        fields.add_class("wb-rows")
        self.box = fields

    def ask(self, build: Build, told: Told, asked: Asked) -> VerdictMap:
        """Make the map."""
        points = self.points.value
        return verdict_map(build, self.x.axis(points), self.y.axis(points), progress=told, cancelled=asked)


def map_html(found: VerdictMap, screen: Screen | None = None) -> str:
    """Return the map's picture with what to know before reading it."""
    return render(map_answer(found), screen)
