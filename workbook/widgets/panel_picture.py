"""Which colour the panel shows and how its pixels are arranged; its pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w
import traitlets as tl

from inrushlib.answers.blocks import Answer, Note
from inrushlib.answers.html import render
from inrushlib.answers.panel import picture_blocks, state_blocks
from inrushlib.answers.screen import Screen
from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.panel import Arrangement, PanelState, solve_panel
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


def panel_html(found: Solved, screen: Screen | None = None) -> str:
    """Return the panel's figures and pictures."""
    verdict, figures = state_blocks(found.build, found.state)
    small = Note("Light is taken as proportional to the channel's current. Heat does not change the copper here.")
    pictures = picture_blocks(found.state, found.arrangement)
    return render(Answer(found.build.title, True, (verdict, *pictures, figures, small)), screen)
