"""A build's circuit, from the adapter to the display, in the symbols of IEC 60617.

``draw_circuit``   on empty axes that fill a figure of ``CIRCUIT_SIZE`` [inch]; every text is ``TEXT`` points high
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from inrushlib.build import Build
from inrushlib.quantities import format_gauge, format_quantity, with_signs

if TYPE_CHECKING:
    from matplotlib.axes import Axes

CIRCUIT_SIZE: Final = (7.4, 3.0)
TEXT: Final = 8.5  # [pt]
UNIT: Final = 0.3  # [inch] of one unit of the drawing
LINE: Final = 1.1  # [pt]
FONT: Final = "DejaVu Sans"
PLUS, MINUS = 8.0, 0.6  # heights of the two supply lines
INK: Final = "black"

# Where things stand, from the left.
ADAPTER, BUS_CAPACITOR, CONTROLLER, SWITCH, DISPLAY = 0.5, 9.2, 13.0, 15.2, 20.6


def draw_circuit(build: Build, axes: Axes, *, fused: bool = True) -> Axes:
    """Draw the circuit of a build, and return the axes.

    Parameters
    ----------
    build : Build
        The build [SI].
    axes : Axes
        Empty; filling a figure of ``CIRCUIT_SIZE``.
    fused : bool
        Whether the feeds have fuses.
    """
    import schemdraw
    from schemdraw import elements

    style: Any = elements.style  # without types
    style(elements.STYLE_IEC)
    drawing = schemdraw.Drawing(canvas=axes, show=False, fontsize=TEXT, lw=LINE, font=FONT, unit=2)
    pen = _Pen(drawing, axes, elements)
    _supply(pen, build)
    _bus(pen, build)
    _controller(pen, build)
    _switch(pen, build)
    _display(pen, build, fused)
    drawing.draw(show=False)
    pen.write()
    axes.set_xlim(0.0, CIRCUIT_SIZE[0] / UNIT)
    axes.set_ylim(-0.4, CIRCUIT_SIZE[1] / UNIT - 0.4)
    axes.set_aspect("equal")
    axes.axis("off")
    return axes


class _Pen:
    """Places symbols and keeps the texts until all symbols stand."""

    def __init__(self, drawing: Any, axes: Axes, elements: Any) -> None:
        self.drawing, self.axes, self.elements = drawing, axes, elements
        self.texts: list[tuple[float, float, str, str, str]] = []

    def wire(self, *points: tuple[float, float]) -> None:
        for start, end in pairwise(points):
            self.drawing.add(self.elements.Line().at(start).to(end))

    def part(self, name: str, start: tuple[float, float], end: tuple[float, float], **more: Any) -> None:
        self.drawing.add(getattr(self.elements, name)(**more).at(start).to(end))

    def box(self, left: float, bottom: float, right: float, top: float) -> None:
        self.wire((left, bottom), (right, bottom), (right, top), (left, top), (left, bottom))

    def dot(self, *points: tuple[float, float]) -> None:
        for point in points:
            self.drawing.add(self.elements.Dot().at(point))

    def arrow(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.drawing.add(self.elements.Arrow(headwidth=0.25, headlength=0.35).at(start).to(end))

    def text(self, x: float, y: float, words: str, across: str = "center", up: str = "center") -> None:
        self.texts.append((x, y, with_signs(words), across, up))

    def write(self) -> None:
        for x, y, words, across, up in self.texts:
            self.axes.text(
                x, y, words, ha=across, va=up, fontsize=TEXT, family=FONT, color=INK, linespacing=1.15,
            )  # fmt: skip


def _q(value: float, unit: str) -> str:
    return format_quantity(value, unit)


def _supply(pen: _Pen, build: Build) -> None:
    """Adapter, plug and lead."""
    a, lead = build.adapter, build.lead
    right = ADAPTER + 3.6
    pen.box(ADAPTER, 2.4, right, 6.4)
    pen.text((ADAPTER + right) / 2, 4.4, f"adapter\n{_q(a.rated_voltage, 'V')}\n{_q(a.rated_current, 'A')}")
    pen.wire((right, 5.6), (right + 0.6, 5.6), (right + 0.6, PLUS))
    pen.wire((right, 3.2), (right + 0.6, 3.2), (right + 0.6, MINUS))
    start = right + 0.6
    if build.limiter is not None:
        pen.part("Thermistor", (start, PLUS), (start + 1.9, PLUS))
        pen.text(start + 0.95, PLUS + 0.75, f"NTC {_q(build.limiter.cold_resistance, 'ohm')}", up="bottom")
        start += 1.9
    plug = BUS_CAPACITOR - 1.6
    for height in (PLUS, MINUS):
        pen.wire((start if height == PLUS else right + 0.6, height), (plug - 0.45, height))
        pen.drawing.add(pen.elements.Dot(open=True).at((plug - 0.25, height)))
        pen.wire((plug - 0.05, height), (BUS_CAPACITOR, height))
    pen.text(right + 0.9, PLUS - 0.6, f"lead {_q(lead.length, 'm')}\n{format_gauge(lead.gauge)}", "left", "top")
    pen.text(plug - 0.25, MINUS + 0.4, "plug", "center", "bottom")
    pen.text(right + 0.9, PLUS - 2.2, "+", "left", "top")
    pen.text(right + 0.9, MINUS + 0.4, "−", "left", "bottom")


def _bus(pen: _Pen, build: Build) -> None:
    """The capacitors at the supply terminals."""
    x = BUS_CAPACITOR
    pen.dot((x, PLUS), (x, MINUS))
    if build.bus.bulk:
        pen.part("Capacitor", (x, PLUS), (x, MINUS))
        pen.text(x + 0.2, 4.85, "+", "left")
        words = f"bulk\n{_q(build.bus.bulk, 'F')}"
    else:
        pen.part("Capacitor", (x, PLUS), (x, MINUS))
        words = f"ceramic\n{_q(build.bus.ceramic, 'F')}"
    pen.text(x + 0.5, 4.4, words, "left", "top")
    pen.text(x - 0.2, PLUS + 0.35, "bus", "center", "bottom")
    pen.wire((x, PLUS), (SWITCH, PLUS))
    pen.wire((x, MINUS), (DISPLAY + 1.6, MINUS))


def _controller(pen: _Pen, build: Build) -> None:
    """The controller, its feed, and the reservoir before its regulator."""
    c = build.controller
    left, right, bottom, top = CONTROLLER, CONTROLLER + 4.0, 1.6, 4.2
    inlet = left + 0.5
    pen.box(left, bottom, right, top)
    pen.text((left + right) / 2, (bottom + top) / 2, f"controller\n{_q(c.rail_voltage, 'V')}")
    pen.wire((inlet, bottom), (inlet, MINUS))
    pen.dot((inlet, MINUS))
    if c.feed == "own":
        pen.wire((inlet, top), (inlet, top + 0.5))
        pen.text(inlet, top + 0.65, f"own supply\n{_q(c.own_voltage, 'V')}", "center", "bottom")
        return
    tap = 12.0
    node = (tap, 5.0)
    pen.dot((tap, PLUS))
    pen.part("Diode" if c.feed_diode else "Line", (tap, PLUS), node)
    pen.wire(node, (inlet, node[1]), (inlet, top))
    pen.dot(node, (tap, MINUS))
    pen.part("Capacitor", node, (tap, MINUS))
    if c.feed_diode:
        pen.text(tap + 0.2, 3.35, "+", "left")
    pen.text(tap - 0.5, 6.5, "diode" if c.feed_diode else "", "right")
    pen.text(tap - 0.5, 1.0, f"reservoir\n{_q(c.reservoir, 'F')}", "right", "bottom")


def _switch(pen: _Pen, build: Build) -> None:
    """The switch between bus and display with its gate parts, or none."""
    out = SWITCH + 3.3
    s = build.switch
    if s is None:
        pen.wire((SWITCH, PLUS), (out, PLUS))
        return
    pin = (CONTROLLER + 3.2, 4.2)
    if s.kind == "load-switch":
        pen.box(SWITCH, PLUS - 0.6, SWITCH + 3.3, PLUS + 0.6)
        pen.text(SWITCH + 1.65, PLUS, "load switch")
        pen.wire((pin[0], PLUS - 0.6), pin)
        pen.text(pin[0] + 0.25, 6.0, "on", "left")
        return
    gate = SWITCH + 1.0
    pen.drawing.add(pen.elements.PMos().at((gate - 0.5, PLUS)).theta(90).anchor("source"))
    pen.wire((SWITCH, PLUS), (gate - 0.5, PLUS))
    pen.wire((gate + 1.16, PLUS), (out, PLUS))
    height = 5.4
    hold = (SWITCH - 1.3, PLUS)
    pen.wire((gate, PLUS - 0.83), (gate, height))
    pen.dot((gate, height), hold)
    # R1 from bus to gate holds it off, R2 goes from the gate to what pulls it low, C1 slows the edge.
    pen.part("Resistor", hold, (hold[0], height))
    pen.wire((hold[0], height), (gate, height))
    pen.text(hold[0] + 0.4, 6.7, "R1", "left")
    pen.text(gate + 0.4, PLUS + 0.3, "switch", "center", "bottom")
    if s.gate_drain_capacitance:
        pen.part("Capacitor", (gate, 6.5), (gate + 1.9, 6.5))
        pen.wire((gate + 1.9, 6.5), (gate + 1.9, PLUS))
        pen.dot((gate, 6.5), (gate + 1.9, PLUS))
        pen.text(gate + 2.1, 6.6, "C1", "left")
    if s.gate_driver == "pin":
        pen.part("Resistor", (gate, height), (gate, pin[1]))
        pen.text(gate + 0.4, 4.8, "R2", "left")
        return
    drain = (gate + 2.4, height)
    pen.part("Resistor", (gate, height), drain)
    pen.text(gate + 1.2, height - 0.3, "R2", "center", "top")
    low = pen.drawing.add(pen.elements.NMos().at((drain[0], height - 0.2)).anchor("drain"))
    pen.wire(drain, (drain[0], height - 0.2))
    pen.wire(tuple(low.absanchors["gate"]), (CONTROLLER + 4.0, low.absanchors["gate"][1]))
    pen.wire(tuple(low.absanchors["source"]), (drain[0], MINUS))
    pen.dot((drain[0], MINUS))
    pen.text(drain[0] - 0.2, 1.5, "Q1", "right")


def _display(pen: _Pen, build: Build, fused: bool) -> None:
    """The display: fused feeds, data lines, return."""
    w, panel = build.wiring, build.panel
    left, right = DISPLAY, DISPLAY + 3.6
    fuse = SWITCH + 3.3
    pen.part("Fuse" if fused else "Line", (fuse, PLUS), (left, PLUS))
    pen.wire((left, PLUS), (left + 1.6, PLUS), (left + 1.6, 6.2))
    count = len(w.feeds)
    pen.text(fuse + 1.0, PLUS + 0.4, f"{count} feed{'' if count == 1 else 's'}", "left", "bottom")
    pen.box(left, 2.0, right, 6.2)
    pixels = sum(w.pixels_per_section)
    sections = f"{w.sections} section{'' if w.sections == 1 else 's'}"
    bulk = f"\nbulk {_q(panel.bulk, 'F')}" if panel.bulk else ""
    pen.text((left + right) / 2, 4.1, f"display\n{pixels} pixels\n{sections}{bulk}")
    pen.wire((left + 1.6, 2.0), (left + 1.6, MINUS))
    pen.arrow((CONTROLLER + 4.0, 2.9), (left, 2.9))
    lines = "data" if w.lanes == 1 else f"data\nx {w.lanes}"
    pen.text(SWITCH + 3.55, 2.6, lines, "left", "top")
