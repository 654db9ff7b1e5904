"""A build of one's own from the five things that matter."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from typing import Any

import ipywidgets as w

from inrushlib.build import new_build
from inrushlib.errors import InrushError
from widgets.files import WIDE, fields, row
from widgets.state import BuildState
from widgets.values import typed


class Panel(Enum):
    """What the pixels come as."""

    TILES = "tiles, one chained to the next"
    STRIP = "one strip"


STRIP_HOPS = {"wiring.rail_resistance": "10 mohm"}
"""A strip's copper a pixel, there and back: common practice, no source."""
CONTROLLERS: dict[str, dict[str, Any]] = {
    "Wi-Fi controller, 3.3 V": {},
    "8-bit controller, 5 V": {
        "controller.rail_voltage": "5 V", "controller.dropout_voltage": 0.0, "controller.brownout_rising": "2.7 V",
        "controller.brownout_falling": "2.6 V", "controller.boot_time": "65 ms", "controller.boot_current": "15 mA",
        "controller.run_current": "15 mA",
    },
}  # fmt: skip
"""Typical values of each kind: common practice, no source."""


class NewFields:
    """Adapter, panel, how many, wire, controller; the rest is typical until it is put in."""

    def __init__(self, state: BuildState) -> None:
        self.state = state
        self.begun: Callable[[], None] = lambda: None
        self.rated = w.Text(placeholder="3 A", layout=WIDE, continuous_update=False)
        self.kind = w.Dropdown(options=[(panel.value, panel) for panel in Panel], layout=WIDE)
        self.sections = w.Text(value="4", layout=WIDE, continuous_update=False)
        self.pixels = w.Text(value="64", layout=WIDE, continuous_update=False)
        self.length = w.Text(value="1.2 m", layout=WIDE, continuous_update=False)
        self.gauge = w.Text(value="22 AWG", layout=WIDE, continuous_update=False)
        self.controller = w.Dropdown(options=tuple(CONTROLLERS), layout=WIDE)
        self.button = w.Button(description="Begin this build", tooltip="Leave the build that is open for this one")
        self.button.add_class("wb-main")
        self.button.on_click(lambda _: self.begin())
        self.kind.observe(self.chosen, "value")
        note = w.HTML(
            "All else is typical of the trade until you put in your own: ○ marks such a value, ◐ one that you gave."
        )
        note.add_class("wb-note")
        self.box = w.VBox([
            fields(
                row("adapter's label", self.rated), row("panel", self.kind), row("tiles", self.sections),
                row("pixels each", self.pixels), row("lead", self.length), row("its gauge", self.gauge),
                row("controller", self.controller),
            ),
            note, self.button,
        ])  # fmt: skip

    def chosen(self, change: Any) -> None:
        """A strip has no tiles to count."""
        self.sections.disabled = change["new"] is Panel.STRIP

    def values(self) -> dict[str, Any]:
        """What was entered, as a build file would give it."""
        rated = typed("adapter.rated_current", self.rated.value or self.rated.placeholder)
        strip = self.kind.value is Panel.STRIP
        sections = 1 if strip else typed("wiring.sections", self.sections.value)
        pixels = typed("wiring.pixels_per_section", self.pixels.value)
        what = f"Strip of {pixels}" if strip else f"{sections} tiles of {pixels}"
        return {
            "title": f"{what} on a {rated} adapter",
            "adapter.rated_current": rated,
            "wiring.sections": sections,
            "wiring.pixels_per_section": pixels,
            "lead.length": typed("lead.length", self.length.value),
            "lead.gauge": typed("lead.gauge", self.gauge.value),
            **(STRIP_HOPS if strip else {}),
            **CONTROLLERS[self.controller.value],
        }

    def begin(self) -> None:
        """Go on with the build that was entered; one that is not right leaves all as it was and says why."""
        try:
            build = new_build({key: value for key, value in self.values().items() if value is not None})
        except InrushError as error:
            self.state.problem = str(error)
            return
        self.state.begin(build, None, "A build of your own. Undo brings back the one before.")
        self.begun()
