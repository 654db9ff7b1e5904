"""The capture against the model: factors of its channels, the comparison, its table and picture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.plots import draw_overlay, draw_residual
from inrushlib.quantities import told_zero
from inrushlib.startup import Startup, curve_named, simulate
from inrushlib.text import for_html
from inrushlib.trace import ChannelComparison, Comparison, Measured, compare, measure
from widgets.answer_html import answer, picture, quantity, sentence, small, table
from widgets.overlay import NOT_SHOWN, OverlayState
from widgets.question import Asked, Told

WIDTH, HEIGHT = 10.0, 3.6  # [inch], height of one channel with its residual


class Factors:
    """A factor for each channel that shows something: probe, shunt, a turned polarity."""

    def __init__(self, overlay: OverlayState) -> None:
        self.overlay = overlay
        self.fields: dict[str, w.Text] = {}
        self.box = w.Box([])
        self.box.add_class("wb-rows")
        overlay.observe(self.offer, "mapping")
        self.changed: list[Any] = []

    def offer(self, _: Any = None) -> None:
        """Offer a field for each channel that is shown; what was typed stays."""
        shown = [name for name, quantity in self.overlay.mapping.items() if quantity != NOT_SHOWN]
        for name in shown:
            if name not in self.fields:
                self.fields[name] = w.Text(value="1", continuous_update=False, layout=w.Layout(width="110px"))
                self.fields[name].observe(lambda _: [tell() for tell in self.changed], "value")
        self.box.children = [self._line(name) for name in shown]

    def _line(self, name: str) -> w.HBox:
        about = "A per V of a shunt, -1 to turn it round"
        words = w.HTML(f"factor of {for_html(name)}", layout=w.Layout(width="170px", flex="0 0 170px"))
        line = w.HBox([words, self.fields[name], w.HTML(about)])
        line.add_class("wb-key")
        return line

    def values(self) -> dict[str, float]:
        """Return the factors that are not 1; each also says that the channel's unit is changed by it."""
        found = {}
        for name, quantity_name in self.overlay.mapping.items():
            text = self.fields[name].value.strip() if name in self.fields else "1"
            if quantity_name == NOT_SHOWN or text == "1":
                continue
            try:
                found[name] = float(text)
            except ValueError:
                raise UsageError(f'factor of {name}: "{text}"; accepted: a plain number other than zero') from None
        return found

    def measured(self, build: Build) -> Measured:
        """Return the capture as measured curves."""
        trace: Any = self.overlay.trace
        if trace is None:
            raise UsageError("no capture is loaded; accepted: choose, name or upload one first")
        shown = {name: quantity for name, quantity in self.overlay.mapping.items() if quantity != NOT_SHOWN}
        return measure(trace, shown, build, self.values())


@dataclass(frozen=True)
class Laid:
    """A capture laid over a start of the model."""

    measured: Measured
    start: Startup
    comparison: Comparison


class OverlayQuestion:
    """The capture over the model as the build stands."""

    def __init__(self, overlay: OverlayState, factors: Factors, lined_up: Callable[[], None]) -> None:
        self.overlay, self.factors, self.lined_up = overlay, factors, lined_up
        self._known: Any = None

    def ask(self, build: Build, told: Told, asked: Asked) -> Laid:
        """Lay it over, with the shift of the page; a new capture is lined up first."""
        measured = self.factors.measured(build)
        start = simulate(build)
        new = self._known is not self.overlay.trace and self.overlay.shift == 0.0
        comparison = compare(measured, start, None if new else float(self.overlay.shift))
        self._known = self.overlay.trace
        if new:
            self.overlay.move(comparison.shift)
            self.lined_up()
        return Laid(measured, start, comparison)


def laid_html(found: Laid) -> str:
    """Return how far apart they are, and the picture."""
    channels = found.comparison.channels
    head = " ".join(
        f"<b>{for_html(curve.words)}</b> differs by {quantity(c.rms, curve.unit)} rms, at most by "
        f"{quantity(abs(c.largest_difference), curve.unit)} at "
        f"{quantity(c.largest_difference_at + found.comparison.shift, 's')}."
        for curve, c in ((curve_named(name), channel) for name, channel in channels.items())
    )
    lined = found.comparison.alignment
    head += "".join(f"<br>{for_html(sentence(doubt))}" for doubt in (lined.doubts if lined else ()))
    tables = "".join(_channel(name, channel) for name, channel in channels.items())
    note = f"{len(found.measured.time)} samples, {found.comparison.gaps} gaps."
    return answer(head) + drawn(found) + f'<div class="wb-beside">{tables}</div>' + small(note)


def drawn(found: Laid) -> str:
    """Return the picture: each channel over the model, what is left of it below."""
    names = list(found.comparison.channels)

    def draw(axes: Any) -> None:
        figure = axes.figure
        axes.remove()
        places = figure.subplots(2 * len(names), 1, sharex=True, height_ratios=[3, 1] * len(names))
        for i, name in enumerate(names):
            draw_overlay(found.measured, found.start, found.comparison, name, places[2 * i])
            draw_residual(found.measured, found.comparison, name, places[2 * i + 1])
            curve = curve_named(name)
            for place, words in zip(places[2 * i : 2 * i + 2], (curve.words, "difference"), strict=True):
                place.set_ylabel(f"{words}\n[{curve.unit}]", fontsize=9)
        shown = found.measured.time + found.comparison.shift
        places[-1].set_xlim(1e3 * float(shown[0]), 1e3 * float(shown[-1]))
        places[-1].set_xlabel("time of the run [ms]")
        figure.align_ylabels()

    words = f"{', '.join(curve_named(name).words for name in names)}: measured and modelled, their difference below."
    return picture(draw, WIDTH, HEIGHT * len(names), words)


def _channel(name: str, found: ChannelComparison) -> str:
    curve = curve_named(name)
    unit = curve.unit
    ours, theirs = found.measured, found.modelled
    rows = [
        ("largest", quantity(found.peak_measured, unit), quantity(found.peak_modelled, unit)),
        ("plateau", quantity(ours.plateau, unit), quantity(theirs.plateau, unit)),
        ("largest lasting change, capture's time", quantity(ours.release_at, "s"), quantity(theirs.release_at, "s")),
    ]
    if curve.is_current:
        rows.append(("charge", quantity(ours.charge, "C"), quantity(theirs.charge, "C")))
        rows.append(("I²t", _i2t(ours.i2t), _i2t(theirs.i2t)))
    return f"<div>{table(curve.words, ('', 'measured', 'modelled'), rows, numbers=(1, 2))}</div>"


def _i2t(value: float | None) -> str:
    return "-" if value is None else f"{told_zero(value, 'A2s'):.3g} A²s"
