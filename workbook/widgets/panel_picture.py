"""Which colour the panel shows and how its pixels are arranged; its pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w
import traitlets as tl

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.panel import PanelState, solve_panel
from inrushlib.panel.arrangement import Arrangement
from inrushlib.plots.panel import draw_brightness, draw_chain_current, draw_voltage
from inrushlib.quantities import format_quantity
from inrushlib.text import for_html
from widgets.answer_html import answer, picture, quantity, sentence, small, table
from widgets.files import WIDE, row
from widgets.question import Asked, Told

Colour = tuple[float, float, float]
COLOURS: dict[str, Colour] = {
    "white, full": (1.0, 1.0, 1.0),
    "white, half": (0.5, 0.5, 0.5),
    "red, full": (1.0, 0.0, 0.0),
    "green, full": (0.0, 1.0, 0.0),
    "blue, full": (0.0, 0.0, 1.0),
}
WIDTH = 10.0  # [inch]
HEIGHTS = (2.1, 7.0)  # [inch], least and most of a picture of the panel
AROUND = 1.5  # [inch] for legend and colour bar


class Shown(tl.HasTraits):
    """What the panel shows; no widgets in here."""

    colour: Any = tl.Unicode("1, 1, 1")

    def duties(self) -> Colour:
        """Return the colour as three duties."""
        try:
            red, green, blue = (float(part) for part in self.colour.split(","))
        except ValueError:
            raise UsageError(f'colour "{self.colour}"; accepted: three duties 0 to 1, such as 1, 0.5, 0') from None
        return red, green, blue


class ColourFields:
    """The colour, chosen or typed."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.pick = w.Dropdown(options=[(n, ", ".join(f"{d:g}" for d in c)) for n, c in COLOURS.items()], layout=WIDE)
        self.typed = w.Text(value=shown.colour, continuous_update=False, layout=WIDE)
        self.pick.observe(lambda change: setattr(self.typed, "value", change["new"]), "value")
        self.typed.observe(lambda change: setattr(shown, "colour", change["new"]), "value")
        self.box = w.Box([row("colour", self.pick), row("duties", self.typed, w.HTML("red, green, blue, 0 to 1"))])
        self.box.add_class("wb-rows")


@dataclass(frozen=True)
class Solved:
    """The panel's state with what is needed to draw it."""

    build: Build
    state: PanelState
    arrangement: Arrangement
    colour: Colour


class PanelQuestion:
    """The panel in one colour."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown

    def ask(self, build: Build, told: Told, asked: Asked) -> Solved:
        """Solve the panel."""
        arrangement = Arrangement.of_build(build)
        arrangement.places(build.wiring.pixels_per_section)
        colour = self.shown.duties()
        return Solved(build, solve_panel(build, colour), arrangement, colour)


def panel_html(found: Solved) -> str:
    """Return the panel's figures and pictures."""
    state, limit = found.state, found.build.adapter.limit_current
    head = (
        f"The worst pixel, number {state.worst_pixel}, gets <b>{quantity(state.lowest_voltage, 'V')}</b> and gives "
        f"<b>{float(state.brightness.min()):.0%}</b> of the best-fed one's light. The adapter gives "
        f"<b>{quantity(state.adapter_current, 'A')}</b>; its limit is {quantity(limit, 'A')}."
    )
    if state.adapter_current > 0.99 * limit:
        head += " It is at its limit: the whole panel sags."
    rows, columns = found.arrangement.shape
    height = min(max(WIDTH * rows / columns + AROUND, HEIGHTS[0]), HEIGHTS[1])

    def voltage(axes: Any) -> None:
        draw_voltage(state, axes, found.arrangement)

    def brightness(axes: Any) -> None:
        draw_brightness(state, axes, found.arrangement)

    lowest, highest = (format_quantity(v, "V", digits=3) for v in (state.lowest_voltage, state.highest_voltage))
    return (
        answer(head)
        + _heading("Voltage of each pixel")
        + picture(voltage, WIDTH, height, f"Voltage of each pixel, {lowest} to {highest}; the table has the figures.")
        + _heading("Brightness of each pixel")
        + picture(brightness, WIDTH, height, f"Light of each pixel, {float(state.brightness.min()):.0%} to 100 %.")
        + _heading("Current along the chain")
        + picture(lambda axes: draw_chain_current(state, axes), WIDTH, 3.0, "Current from each pixel to the next.")
        + _figures(found)
        + small("Light is taken as proportional to the channel's current. Heat does not change the copper here.")
    )


def _heading(text: str) -> str:
    return f'<div class="wb-heading">{for_html(text)}</div>'


def _figures(found: Solved) -> str:
    state, build = found.state, found.build
    rows = [
        ("adapter's output, bus, root of the panel",
         ", ".join(quantity(v, "V") for v in (state.adapter_voltage, state.bus_voltage, state.root_voltage))),
        ("best-fed and worst pixel", f"{quantity(state.highest_voltage, 'V')}, {quantity(state.lowest_voltage, 'V')}"),
        ("largest colour shift", f"{float(state.colour_shift.max()):.1%} of a pixel's light in another channel"),
        ("lead", quantity(state.lead_current, "A")),
    ]  # fmt: skip
    rows += [
        (f"feed to section {section}", quantity(float(current), "A"))
        for section, current in zip(build.wiring.feeds, state.feed_currents, strict=True)
    ]
    rows.append(("largest current between sections", quantity(state.largest_hop_current, "A")))
    rows += [(f"heat: {kind.together}", quantity(power, "W")) for kind, power in state.losses.items()]
    return table(sentence("figures").rstrip("."), (), rows, numbers=(1,))
