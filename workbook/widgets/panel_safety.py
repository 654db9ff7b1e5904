"""What can get hot, blow or misread: the findings in words."""

from __future__ import annotations

from collections.abc import Iterable

import ipywidgets as w

from inrushlib.answers.blocks import Answer
from inrushlib.answers.findings import safety_blocks
from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.panel import solve_panel
from inrushlib.parts import CONNECTORS, LEAD, feed
from inrushlib.safety import FUSE_FAMILIES, Finding, Hardware, safety_findings, watched_start
from widgets.files import WIDE, row
from widgets.panel_picture import Shown
from widgets.question import Asked, Told

AS_BUILT = ("as in the build", "")  # not None: a list shows nothing then
ANY = ("any that fits", "")


def _named(names: Iterable[str]) -> list[tuple[str, str]]:
    return [(name, name) for name in names]


class SafetyQuestion:
    """What the build does not say; the question itself."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.table = w.Dropdown(options=list(AMPACITY_TABLES), value="chassis wiring", layout=WIDE)
        self.ambient = w.BoundedFloatText(value=25.0, min=-40.0, max=100.0, layout=w.Layout(width="90px"))
        self.fuses = w.Dropdown(options=[ANY, *_named(FUSE_FAMILIES)], layout=WIDE)
        self.lead, self.feeds = (w.Dropdown(options=[AS_BUILT, *_named(CONNECTORS)], layout=WIDE) for _ in range(2))
        self.box = w.Box(
            [
                row("ampacity", self.table),
                row("air", self.ambient, w.HTML("°C around the wires")),
                row("fuses", self.fuses),
                row("lead by", self.lead),
                row("feeds by", self.feeds),
            ]
        )
        self.box.add_class("wb-rows")

    def ask(self, build: Build, told: Told, asked: Asked) -> tuple[Finding, ...]:
        """Return the findings, worst first."""
        connectors = {LEAD: self.lead.value} if self.lead.value else {}
        if self.feeds.value:
            connectors |= {feed(section): self.feeds.value for section in build.wiring.feeds}
        hardware = Hardware(
            connectors=connectors, table=self.table.value, ambient=self.ambient.value,
            fuse_family=self.fuses.value or None,
        )  # fmt: skip
        return safety_findings(build, solve_panel(build, self.shown.duties()), watched_start(build), hardware)


def safety_html(findings: tuple[Finding, ...], screen: Screen | None = None) -> str:
    """Return the findings, worst first, with what each word means."""
    return render(Answer("", True, safety_blocks(findings, fine=True)), screen)
