"""Where to feed the panel, with which wires, and what can get hot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import ipywidgets as w

from inrushlib.answers.blocks import Answer, Note
from inrushlib.answers.html import render
from inrushlib.answers.panel import feeding_blocks
from inrushlib.answers.screen import Screen
from inrushlib.answers.wires import wires_answer
from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES, awg_area
from inrushlib.errors import UsageError
from inrushlib.quantities import parse_quantity
from inrushlib.search import Feeding, FeedSearch, Rerun, WirePlan, compare_feeds, place_feeds, rerun, wire_plan
from inrushlib.startup import simulate
from widgets.files import WIDE, row
from widgets.panel_picture import Shown
from widgets.question import Asked, Told

ONE_SECTION = (
    "this build is one section, with one feed; to compare several feeds along it, tell it as several sections of fewer "
    "pixels each (the part “Wiring” of the chain)"
)


@dataclass(frozen=True)
class Fed:
    """The usual ways of feeding, and the best of so many feeds."""

    ways: tuple[Feeding, ...]
    search: FeedSearch


class FeedQuestion:
    """How many feeds there may be; the question itself."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.count = w.BoundedIntText(value=2, min=1, max=64, layout=w.Layout(width="80px"))
        self.box = row("feeds", self.count, w.HTML("wires to place where the worst pixel gets most"))

    def ask(self, build: Build, told: Told, asked: Asked) -> Fed:
        """Compare, then place."""
        if build.wiring.sections == 1:
            raise UsageError(ONE_SECTION)
        colour = self.shown.duties()
        search = place_feeds(build, self.count.value, colour, cancelled=asked)
        told(0.7)
        return Fed(compare_feeds(build, colour, best_of=()), search)


def feeds_html(found: Fed, screen: Screen | None = None) -> str:
    """Return the ways of feeding side by side."""
    best, search = found.search.best, found.search
    ways = [way for way in found.ways if way.feeds != best.feeds]
    same = [way.name for way in found.ways if way.feeds == best.feeds]
    ways.append(replace(best, name=", ".join((best.name, *same))))
    blocks = [*feeding_blocks(ways, best, best.worsens)]
    if search.passed_over:
        blocks.append(Note(f"{search.passed_over} better-fed arrangements start worse and were passed over."))
    blocks.append(Note(f"How the places were found: {search.method}; {search.tried} solved."))
    return render(Answer("", not best.worsens, tuple(blocks)), screen)


def feed_values(found: Fed) -> Mapping[str, Any]:
    """Return the best places as keys of the build; none where the start would end worse."""
    if found.search.best.worsens:
        return {}
    return {"wiring.feeds": list(found.search.best.feeds), "wiring.feed_pixels": None}


ANY = "any"


@dataclass(frozen=True)
class Planned:
    """Wires, what the contacts of each add [ohm], and the start as it is and with them."""

    plan: WirePlan
    contacts: float
    start: Rerun


class WireField(StrEnum):
    """What is asked for the wires; the value names the field."""

    FEED_LENGTH = "feed length"
    HOP_LENGTH = "jumper length"
    FEED_DROP = "feed drop"
    HOP_DROP = "jumper drop"
    CONTACTS = "contacts"
    LARGEST_ADAPTER = "largest adapter"


FIRST_VALUES = {
    WireField.FEED_LENGTH: "0.5 m",
    WireField.HOP_LENGTH: "5 cm",
    WireField.FEED_DROP: "0.1 V",
    WireField.HOP_DROP: "50 mV",
    WireField.CONTACTS: "0 mΩ",
    WireField.LARGEST_ADAPTER: ANY,
}


class WireQuestion:
    """Lengths and allowed drops; the question itself."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.fields = {
            field: w.Text(value=value, continuous_update=False, layout=WIDE) for field, value in FIRST_VALUES.items()
        }
        self.table = w.Dropdown(options=list(AMPACITY_TABLES), value="chassis wiring", layout=WIDE)
        self.box = w.Box(
            [*(row(field.value, widget) for field, widget in self.fields.items()), row("ampacity", self.table)]
        )  # fmt: skip
        self.box.add_class("wb-rows")

    def ask(self, build: Build, told: Told, asked: Asked) -> Planned:
        """Choose the wires."""
        metres, volts = "m", "V"
        feeds = self._list(WireField.FEED_LENGTH, metres, len(build.wiring.feeds))
        hops = self._list(WireField.HOP_LENGTH, metres, build.wiring.sections - 1)
        feed_drop, hop_drop = (self._list(field, volts, 1)[0] for field in (WireField.FEED_DROP, WireField.HOP_DROP))
        contacts = self._list(WireField.CONTACTS, "ohm", 1)[0]
        plan = wire_plan(
            build, feeds, hops, highest_feed_drop=feed_drop, highest_hop_drop=hop_drop, contact_resistance=contacts,
            colour=self.shown.duties(), largest_adapter=self._adapter(), table=self.table.value,
        )  # fmt: skip
        told(0.7)
        wired = build.with_values(_wired(plan, contacts))
        return Planned(plan, contacts, rerun(simulate(build).headline, wired))

    def _adapter(self) -> float | None:
        """Return the limit of the largest adapter that may be used, none for any."""
        name = WireField.LARGEST_ADAPTER
        text = self.fields[name].value.strip().lower()
        if text in ("", ANY):
            return None
        try:
            return self._list(name, "A", 1)[0]
        except UsageError as error:
            raise UsageError(f"{error}, or {ANY}") from None

    def _list(self, name: WireField, unit: str, count: int) -> list[float]:
        """Return what was typed: one value for all, or one each."""
        text = self.fields[name].value.replace("Ω", "ohm")
        try:
            found = [parse_quantity(part.strip(), unit) for part in text.split(",")]
        except ValueError as error:
            raise UsageError(f"{name}: {error}") from None
        if len(found) == 1:
            return found * count
        if len(found) != count:
            raise UsageError(f"{name}: {len(found)} values; accepted: one for all, or {count} with commas between")
        return found


def wires_html(planned: Planned, screen: Screen | None = None) -> str:
    """Return the wires and what the panel gets through them."""
    return render(wires_answer("", planned.plan, planned.start), screen)


def wire_values(planned: Planned) -> Mapping[str, Any]:
    """Return the loops' resistances as keys of the build, and the gauges where one does for all.

    None where the start would end worse.
    """
    return {} if planned.start.worsens else _wired(planned.plan, planned.contacts)


def _wired(plan: WirePlan, contacts: float) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name, wires in (("feed", plan.feeds), ("hop", plan.hops)):
        if wires:
            values[f"wiring.{name}_resistance"] = [max(wire.resistance + contacts, 1e-6) for wire in wires]
            alike = len({wire.gauge for wire in wires}) == 1
            values[f"wiring.{name}_gauge"] = f"{awg_area(wires[0].gauge) * 1e6:.12g} mm2" if alike else None
    return values
