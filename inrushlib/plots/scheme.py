"""The colours of the pictures, light and dark: one set of names, two palettes.

``Scheme``   light or dark
``Palette``  its colours: page, ink, curves, states, verdicts
``Line``     a curve of a start-up picture
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import Any

from inrushlib.startup import Headline, State, Verdict


class Line(StrEnum):
    """A line of a start-up picture; its value names it."""

    ADAPTER = "adapter"
    BUS = "bus"
    PANEL = "panel"
    LOWEST_SECTION = "lowest section"
    RESERVOIR = "reservoir"
    RAIL = "rail"
    GATE = "gate"
    LEAD_CURRENT = "lead current"
    MEASURED = "measured"


@dataclass(frozen=True, kw_only=True)
class Palette:
    """Colours by what they are for.

    Attributes
    ----------
    sheet, line, edge, ink, ink_2, ink_3 : str
        The page, grid lines, bounds; text by rank.
    act, short : str
        The cursor; what fails.
    curves : dict of Line to str
        Colour of each curve.
    blank, wait, live, lit, strain, gone : str
        Fills of the states, from nothing going on to too much.
    verdicts : dict of Verdict to str
        Fills of the verdicts; with :data:`VERDICT_HATCHES` no two look alike in grey.
    overstressed, hatch, bar : str
        Fill of what starts but overstresses a part; lines of hatches; bars of a value.
    volts, light : tuple of str
        From low to high, dark to bright in both schemes: a pixel's voltage, its light.
    """

    sheet: str
    line: str
    edge: str
    ink: str
    ink_2: str
    ink_3: str
    act: str
    short: str
    curves: dict[Line, str]
    blank: str
    wait: str
    live: str
    lit: str
    strain: str
    gone: str
    verdicts: dict[Verdict, str]
    overstressed: str
    hatch: str
    bar: str
    volts: tuple[str, ...] = ("#4a1d0c", "#a8480f", "#e8a65a", "#fbe8c8")
    light: tuple[str, ...] = ("#10202d", "#14507a", "#7fa9c4", "#e2eff7")

    def verdict(self, verdict: Verdict) -> tuple[str, str]:
        """Fill and hatch of a verdict.

        Parameters
        ----------
        verdict : Verdict
            How a start turns out.
        """
        return self.verdicts[verdict], VERDICT_HATCHES[verdict]

    def headline(self, headline: Headline) -> tuple[str, str]:
        """Fill and hatch of how a start is announced.

        Parameters
        ----------
        headline : Headline
            Of the start; overstress comes before its verdict.
        """
        return (self.overstressed, OVERSTRESS_HATCH) if headline.overstressed else self.verdict(headline.verdict)

    @property
    def states(self) -> dict[State, tuple[str, str]]:
        """Fill and hatch of each state: no two of a row differ by colour alone."""
        return {
            State.OFF: (self.blank, ""),
            State.IDLE: (self.blank, ""),
            State.RESET: (self.blank, "..."),
            State.BOOT: (self.wait, "////"),
            State.ON: (self.wait, ""),
            State.RUN: (self.live, ""),
            State.CONTENT: (self.live, ""),
            State.SHOWING_DATA: (self.live, ""),
            State.FIRST_FRAME: (self.live, "////"),
            State.PARTLY_WRITTEN: (self.live, "\\\\\\\\"),
            State.POWER_ON_COLOUR: (self.lit, "||||"),
            State.LIMITING: (self.strain, "xxxx"),
            State.TRIPPED: (self.gone, ""),
            State.NO_MAINS: (self.wait, "\\\\\\\\"),
        }

    def style(self, line: Line) -> dict[str, Any]:
        """Colour, dash and width of a curve, for the drawing library.

        Parameters
        ----------
        line : Line
            The curve.
        """
        dash, width = DASHES[line]
        return {"color": self.curves[line], "linestyle": dash, "linewidth": width}

    @property
    def colours(self) -> list[str]:
        """Every colour of the palette."""
        own = (self.sheet, self.ink, self.ink_2, self.ink_3, self.line, self.edge, self.act, self.short)
        fills = (self.blank, self.wait, self.live, self.lit, self.strain, self.gone)
        return list(dict.fromkeys([*own, *self.curves.values(), *fills]))


# What boots is plain; no two verdicts share both lightness and hatch.
VERDICT_HATCHES = {
    Verdict.BOOTS: "",
    Verdict.BOOTS_AFTER_RESETS: "//",
    Verdict.ADAPTER_TRIPS: "xx",
    Verdict.KEEPS_RESETTING: "..",
    Verdict.DISPLAY_STAYS_LIT: "||",
    Verdict.STUCK: "\\\\",
}
OVERSTRESS_HATCH = "oo"

# Dash and width [pt] of each curve: no two differ by colour alone.
DASHES: dict[Line, tuple[Any, float]] = {
    Line.ADAPTER: ("-", 1.1),
    Line.BUS: ("-", 2.1),
    Line.PANEL: ((0, (5, 1.6)), 1.6),
    Line.LOWEST_SECTION: ((0, (1, 1.1)), 2.0),
    Line.RESERVOIR: ((0, (3, 1.2, 1, 1.2, 1, 1.2)), 1.4),
    Line.RAIL: ((0, (7, 1.6, 1.6, 1.6)), 1.8),
    Line.GATE: ((0, (9, 3)), 1.2),
    Line.LEAD_CURRENT: ("-", 2.0),
    Line.MEASURED: ("-", 4.2),
}

_LIGHT = Palette(
    sheet="#fafbfa", line="#c7cec9", edge="#7a857f", ink="#16201c", ink_2="#414d48", ink_3="#58645f",
    act="#1d4ba3", short="#a8330c",
    curves={
        Line.ADAPTER: "#58645f", Line.BUS: "#0a4c86", Line.PANEL: "#7a5a00", Line.LOWEST_SECTION: "#a9480a",
        Line.RESERVOIR: "#3d6b1f", Line.RAIL: "#00635a", Line.GATE: "#96306a", Line.LEAD_CURRENT: "#59368f",
        Line.MEASURED: "#86918b",
    },
    blank="#fafbfa", wait="#dfe4e1", live="#a9d2c8", lit="#f7e6a8", strain="#f0c9a0", gone="#59645f",
    verdicts={
        Verdict.BOOTS: "#bfdcc6", Verdict.BOOTS_AFTER_RESETS: "#e3ead6", Verdict.ADAPTER_TRIPS: "#8d9296",
        Verdict.KEEPS_RESETTING: "#f0c39a", Verdict.DISPLAY_STAYS_LIT: "#f6df9c", Verdict.STUCK: "#c9cdd1",
    },
    overstressed="#e2a39a", hatch="#5b656d", bar="#7d97ab",
)  # fmt: skip
_DARK = Palette(
    sheet="#161c1b", line="#333e3a", edge="#75827c", ink="#e7edea", ink_2="#b6c2bd", ink_3="#93a09b",
    act="#92b6ff", short="#ff9069",
    curves={
        Line.ADAPTER: "#93a09b", Line.BUS: "#74b5fb", Line.PANEL: "#e0c163", Line.LOWEST_SECTION: "#ff9f5e",
        Line.RESERVOIR: "#a6d67f", Line.RAIL: "#52cdbb", Line.GATE: "#f08fc4", Line.LEAD_CURRENT: "#c2a6ff",
        Line.MEASURED: "#65716c",
    },
    blank="#161c1b", wait="#2b3431", live="#1f5d53", lit="#5c4d17", strain="#6b3d17", gone="#93a09b",
    verdicts={
        Verdict.BOOTS: "#23614a", Verdict.BOOTS_AFTER_RESETS: "#39452c", Verdict.ADAPTER_TRIPS: "#7c8583",
        Verdict.KEEPS_RESETTING: "#6b3d17", Verdict.DISPLAY_STAYS_LIT: "#5c4d17", Verdict.STUCK: "#333c40",
    },
    overstressed="#74322a", hatch="#a3aeaa", bar="#5f7d94",
)  # fmt: skip


class Scheme(Enum):
    """Light or dark; print is always light."""

    LIGHT = "light"
    DARK = "dark"

    @property
    def palette(self) -> Palette:
        """Its colours."""
        return _LIGHT if self is Scheme.LIGHT else _DARK
