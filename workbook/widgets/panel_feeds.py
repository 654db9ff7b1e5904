"""Where to feed the panel, with which wires, and what can get hot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import ipywidgets as w

from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES, awg_area
from inrushlib.errors import UsageError
from inrushlib.quantities import format_quantity, parse_quantity
from inrushlib.search.feeds import Feeding, FeedSearch, compare_feeds, place_feeds
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.search.wires import Wire, WirePlan, wire_plan
from inrushlib.startup import simulate
from inrushlib.text import for_html
from widgets.answer_html import answer, quantity, small, table
from widgets.files import WIDE, row
from widgets.panel_picture import Shown
from widgets.question import Asked, Told


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
        colour = self.shown.duties()
        search = place_feeds(build, self.count.value, colour, cancelled=asked)
        told(0.7)
        return Fed(compare_feeds(build, colour, best_of=()), search)


def feeds_html(found: Fed) -> str:
    """Return the ways of feeding side by side."""
    best = found.search.best
    head = (
        f"{'Feed' if len(best.feeds) == 1 else 'Feeds'} at section{'s' * (len(best.feeds) > 1)} "
        f"<b>{_places(best.feeds)}</b>: the worst pixel then gets <b>{quantity(best.lowest_voltage, 'V')}</b>."
    )
    if best.start is None:
        head += " Its start cannot be computed, so that this is no recommendation."
    elif best.worsens:
        head = "Leave the feeds as they are: each of the best places for so many makes the start end worse. " + head
    if best.start is not None:
        head += for_html(f" Start: {best.start.words}.")
    if found.search.passed_over:
        head += f" {found.search.passed_over} better-fed arrangements start worse and were passed over."
    ways = [way for way in found.ways if way.feeds != best.feeds]
    same = [way.name for way in found.ways if way.feeds == best.feeds]
    rows = [_way(way) for way in (*ways, replace(best, name=", ".join((best.name, *same))))]
    heads = (
        "way", "feeds at sections", "start", "worst pixel", "spread", "dimmest pixel", "largest feed", "largest hop",
        "adapter",
    )  # fmt: skip
    caption = "Ways of feeding; every feed wire alike, save as built"
    return (
        answer(head)
        + table(caption, heads, rows, numbers=range(3, 9), chosen=len(rows) - 1)
        + small(f"How the places were found: {found.search.method}; {found.search.tried} solved.")
    )


def feed_values(found: Fed) -> Mapping[str, Any]:
    """Return the best places as keys of the build; none where the start would end worse."""
    if found.search.best.worsens:
        return {}
    return {"wiring.feeds": list(found.search.best.feeds), "wiring.feed_pixels": None}


def _places(feeds: tuple[int, ...]) -> str:
    return ", ".join(str(section) for section in feeds)


def _way(way: Feeding) -> tuple[str, ...]:
    return (
        way.name, _places(way.feeds), "–" if way.start is None else way.start.after.title,
        quantity(way.lowest_voltage, "V"), quantity(way.voltage_spread, "V"),
        f"{way.lowest_brightness:.0%}", quantity(way.largest_feed_current, "A"),
        quantity(way.largest_hop_current, "A"), quantity(way.adapter_current, "A"),
    )  # fmt: skip


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
    HOP_LENGTH = "hop length"
    FEED_DROP = "feed drop"
    HOP_DROP = "hop drop"
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


def wires_html(planned: Planned) -> str:
    """Return the wires and what the panel gets through them."""
    found = planned.plan
    head = (
        f"{for_html(found.from_what)}<br>With these wires, on such a supply, the worst pixel gets "
        f"<b>{quantity(found.state.lowest_voltage, 'V')}</b> and gives "
        f"<b>{float(found.state.brightness.min()):.0%}</b> of the best-fed one's light. "
    )
    head += for_html(f"Start: {planned.start.words}.")
    if planned.start.worsens:
        head += " Thicker wire lets the pixels draw more at power-on: find an adapter for it first."
    rows = [_wire(wire) for wire in (*found.feeds, *found.hops)]
    heads = ("wire", "gauge", "carries up to", "in", "length", "drop of the loop", "rating", "decided by")
    source = (found.feeds or found.hops)[0].table
    return (
        answer(head)
        + table("The thinnest stocked gauges that do", heads, rows, numbers=(1, 2, 4, 5, 6))
        + small(
            f"Length is one way, drop is supply and return together, copper at 40 °C. Rating by the ampacity table "
            f'"{source}", at least 1.25 times the most it carries: NEC 210.20(A). Local codes decide.'
        )
    )


def _wire(wire: Wire) -> tuple[str, ...]:
    gauge = f"{wire.gauge} AWG" if wire.gauge > 0 else f"{1 - wire.gauge}/0 AWG"
    return (
        wire.name, gauge, quantity(wire.carried, "A"), wire.carried_in.value, format_quantity(wire.length, "m"),
        quantity(wire.drop, "V"), quantity(wire.ampacity, "A"), wire.decided_by.value,
    )  # fmt: skip


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
