"""What can get hot, blow or misread: the findings in words."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

import ipywidgets as w

from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.panel import solve_panel
from inrushlib.parts.connector import CONNECTORS
from inrushlib.parts.place import LEAD, feed
from inrushlib.quantities import format_quantity
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import DEFERS, HOTTEST, Finding, Severity, grouped
from inrushlib.safety.fuse import FUSE_FAMILIES
from inrushlib.safety.hardware import Hardware
from inrushlib.safety.pulse import watched_start
from inrushlib.text import for_html
from widgets.answer_html import answer, sentence, small, table
from widgets.files import WIDE, row
from widgets.panel_picture import Shown
from widgets.question import Asked, Told

MARKS = {Severity.FINE: "✓", Severity.NOTE: "i", Severity.CAUTION: "!", Severity.DANGER: "✗"}
AS_BUILT = ("as in the build", None)
ANY = ("any that fits", None)
UNITS = {"C": "°C", "A2s": "A²s"}


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
        connectors = {} if self.lead.value is None else {LEAD: self.lead.value}
        if self.feeds.value is not None:
            connectors |= {feed(section): self.feeds.value for section in build.wiring.feeds}
        hardware = Hardware(
            connectors=connectors, table=self.table.value, ambient=self.ambient.value,
            fuse_family=self.fuses.value,
        )  # fmt: skip
        return safety_findings(build, solve_panel(build, self.shown.duties()), watched_start(build), hardware)


def safety_html(findings: tuple[Finding, ...]) -> str:
    """Return the findings, worst first, with what each word means."""
    counts = Counter(finding.severity for finding in findings)
    found = [f"{counts[s]} × {s.value}" for s in reversed(Severity) if counts[s]]
    worst = findings[0].severity
    head = f"Worst: <b>{MARKS[worst]} {worst.value}</b>, {worst.sentence}. In all {', '.join(found)}."
    words = "; ".join(f"{s.value}: {s.sentence}" for s in reversed(Severity))
    rows = [_finding(finding, more) for finding, more in grouped(findings)]
    heads = ("finding", "how bad", "value", "limit", "what to do", "where the limit comes from")
    return (
        answer(f"{head}<br>{for_html(DEFERS)}")
        + f'<div class="wb-scroll">{table("Findings, worst first", heads, rows, numbers=(2, 3))}</div>'
        + small(sentence(words))
    )


def _finding(finding: Finding, more: int) -> tuple[str, ...]:
    unit = UNITS.get(finding.unit, finding.unit)
    value, limit = ("–" if v is None else _number(v, finding.unit, unit) for v in (finding.value, finding.limit))
    if finding.minimum:
        limit = f"at least {limit}"
    how = f"{MARKS[finding.severity]}\u00a0{finding.severity.value}"
    what = finding.what + (f" (the worst of {more + 1} like it)" if more else "")
    return what, how, value, limit, sentence(finding.remedy) or "–", finding.source


def _number(value: float, unit: str, shown: str) -> str:
    if math.isinf(value):
        return f"{HOTTEST} {shown}"
    if unit in ("A", "V", "W"):
        return format_quantity(value, unit, digits=3)
    return f"{value:.0f} {shown}" if abs(value) >= 100 else f"{value:.3g} {shown}".strip()
