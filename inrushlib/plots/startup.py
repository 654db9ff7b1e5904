"""The start-up in one picture: voltages, lead current, and a strip of what each part is doing.

``StartupPicture``  the picture on a figure, its lines kept so that new data only moves them
``View``            what part of a start is shown, and how
``Overlay``         a measured curve to lay over
``draw_startup``    the picture once, for print
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure

from inrushlib.parts.place import PlaceKind
from inrushlib.plots.strip import Strip
from inrushlib.plots.style import CURVES, INK, LEVEL, Line, ceiling, plain
from inrushlib.plots.thin import envelope
from inrushlib.startup import Slack, Startup
from inrushlib.startup.curves import (
    ADAPTER_VOLTAGE,
    BUS_VOLTAGE,
    GATE_VOLTAGE,
    LEAD_CURRENT,
    PANEL_VOLTAGE,
    RAIL_VOLTAGE,
    RESERVOIR_VOLTAGE,
    section_voltages,
)
from inrushlib.trace.prepare import FloatArray

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.text import Text

VOLTAGES = (Line.ADAPTER, Line.BUS, Line.PANEL, Line.LOWEST_SECTION, Line.RESERVOIR, Line.RAIL, Line.GATE)
SHOWN = (Line.BUS, Line.PANEL, Line.LOWEST_SECTION, Line.RAIL)
OF_ONE_CURVE = {
    Line.ADAPTER: ADAPTER_VOLTAGE,
    Line.BUS: BUS_VOLTAGE,
    Line.PANEL: PANEL_VOLTAGE,
    Line.RESERVOIR: RESERVOIR_VOLTAGE,
    Line.RAIL: RAIL_VOLTAGE,
    Line.GATE: GATE_VOLTAGE,
    Line.LEAD_CURRENT: LEAD_CURRENT,
}
GRID_POINTS = 400
LEAST_VOLTS = 6.0
# Where a rule came closest: an open ring, dark on light, so that it reads in grey.
RING: dict[str, Any] = {
    "linestyle": "none", "marker": "o", "markersize": 9, "markerfacecolor": "none", "markeredgecolor": INK,
    "markeredgewidth": 1.6,
}  # fmt: skip
LEFT, RIGHT, TOP, BOTTOM = 0.86, 1.2, 0.3, 0.48  # margins [inch]


@dataclass(frozen=True)
class Overlay:
    """A measured curve, in the run's time.

    Attributes
    ----------
    time : (n,) array
        Instants [s].
    values : (n,) array
        Samples [V or A]; NaN in gaps.
    current : bool
        Whether it goes to the current's axes.
    """

    time: FloatArray
    values: FloatArray
    current: bool


@dataclass(frozen=True)
class View:
    """What part of a start is shown, and how.

    Attributes
    ----------
    span : pair of float or None
        From when to when [s], the first below the second; None for the whole run.
    cursor : float or None
        Instant to mark [s].
    voltages : tuple of Line
        Which of ``VOLTAGES``.
    overlays : tuple of Overlay
        Measured curves.
    slack : tuple of Slack
        Where rules came closest to turning out otherwise: rings on the curves that they watch.
    """

    span: tuple[float, float] | None = None
    cursor: float | None = None
    voltages: tuple[Line, ...] = SHOWN
    overlays: tuple[Overlay, ...] = ()
    slack: tuple[Slack, ...] = ()


class StartupPicture:
    """Voltages, current and strip on a figure; ``show`` moves the lines to another start.

    Parameters
    ----------
    figure : Figure
        An empty figure, 4 by 4 inches or larger.
    """

    def __init__(self, figure: Figure) -> None:
        self.figure = figure
        volts, amps, strip = figure.subplots(3, 1, sharex=True, gridspec_kw={"height_ratios": [3.3, 2.1, 2.2]})
        self.volts, self.amps, self.strip = plain(volts), plain(amps), Strip(strip)
        self.lines = {name: self.volts.plot([], [], label=name, animated=True, **CURVES[name])[0] for name in VOLTAGES}
        self.current = self.amps.plot([], [], animated=True, **CURVES[Line.LEAD_CURRENT])[0]
        self.measured = [
            axes.plot([], [], label="measured", animated=True, zorder=1.5, **CURVES[Line.MEASURED])[0]
            for axes in (self.volts, self.amps)
        ]
        self.rings = [
            axes.plot([], [], animated=True, clip_on=True, zorder=3.5, **RING)[0] for axes in (self.volts, self.amps)
        ]
        self.levels = [_level(self.volts, "bottom"), _level(self.volts, "top"), _level(self.amps, "center")]
        self.cursors = [
            axes.axvline(0.0, color=INK, linewidth=0.9, animated=True)
            for axes in (self.volts, self.amps, self.strip.axes)
        ]
        self.volts.set_ylabel("voltage [V]", color=INK)
        self.amps.set_ylabel(LEAD_CURRENT.label, color=INK)
        self.strip.axes.set_xlabel("time [ms]", color=INK)
        self.legend: tuple[Line, ...] = ()
        self.fit()

    def fit(self) -> None:
        """Fit the margins to the figure's size; to be called when that has changed."""
        width, height = self.figure.get_size_inches()
        self.figure.subplots_adjust(
            left=LEFT / width, right=1 - RIGHT / width, top=1 - TOP / height, bottom=BOTTOM / height, hspace=0.17
        )

    def show(self, start: Startup, view: View | None = None) -> bool:
        """Move everything to a ``start``, as ``view`` says; returns whether the axes themselves changed."""
        view = view or View()
        low, high = view.span or (0.0, start.build.run.duration)
        time, curves = _sampled(start, low, high)
        volts = [self._line(self.lines[name], time, curves[name], name in view.voltages) for name in VOLTAGES]
        amps = curves[Line.LEAD_CURRENT]
        self._line(self.current, time, amps, True)
        for line, current in zip(self.measured, (False, True), strict=True):
            _lay_over(line, [o for o in view.overlays if o.current == current], low, high)
        self._set_levels(start)
        self._set_rings(start, view.slack)
        for line in self.cursors:
            line.set_visible(view.cursor is not None and low <= view.cursor <= high)
            line.set_xdata([1e3 * (view.cursor or 0.0)] * 2)
        changed = self._limits(
            (low * 1e3, high * 1e3),
            (max(LEAST_VOLTS, *volts)),
            (min(0.0, float(amps.min())), max(start.build.adapter.limit_current, float(amps.max()))),
        )
        self.strip.show(start.spans, low * 1e3, high * 1e3)
        return self._set_legend(view) or changed

    @staticmethod
    def _line(line: Line2D, time: FloatArray, values: FloatArray, visible: bool) -> float:
        """Move a line; returns its largest value, 0 when it is not shown."""
        line.set_visible(visible)
        if visible:
            line.set_data(*envelope(time * 1e3, values))
        return float(values.max()) if visible else 0.0

    def _set_levels(self, start: Startup) -> None:
        controller, limit = start.build.controller, start.build.adapter.limit_current
        found = (
            (controller.brownout_rising, f"{controller.brownout_rising:.2f} V reset ends"),
            (controller.brownout_falling, f"{controller.brownout_falling:.2f} V brown-out"),
            (limit, f"{limit:.3g} A limit"),
        )
        for (_, line, text), (value, words) in zip(self.levels, found, strict=True):
            line.set_ydata([value, value])
            text.set_y(value)
            text.set_text(words)

    def _set_rings(self, start: Startup, slack: Sequence[Slack]) -> None:
        """Put a ring on the curve that each rule watches, at the instant at which it came closest."""
        instants = np.array([each.at for each in slack])
        curves = start.at(instants)
        lowest = np.vstack([curves[curve.name] for curve in section_voltages(start.build)]).min(axis=0)
        watched = {
            PlaceKind.CONTROLLER_RAIL: (0, curves[RAIL_VOLTAGE.name]),
            PlaceKind.SECTION: (0, lowest),
            PlaceKind.ADAPTER: (1, curves[LEAD_CURRENT.name]),
        }
        points: tuple[list[tuple[float, float]], ...] = ([], [])
        for i, each in enumerate(slack):
            which, values = watched[each.where.kind]
            points[which].append((1e3 * each.at, float(values[i])))
        for ring, found in zip(self.rings, points, strict=True):
            ring.set_data([x for x, _ in found], [y for _, y in found])
            ring.set_visible(bool(found))

    def _set_legend(self, view: View) -> bool:
        names = tuple(name for name in VOLTAGES if name in view.voltages)
        wanted = (*names, *([Line.MEASURED] if view.overlays else []))
        if wanted == self.legend:
            return False
        self.legend = wanted
        handles: list[Any] = [self.lines[name] for name in names] + ([self.measured[0]] if view.overlays else [])
        self.volts.legend(
            handles=handles, loc="lower left", bbox_to_anchor=(-0.01, 0.985), ncols=8, frameon=False, fontsize=9,
            handlelength=2.8, columnspacing=1.2, handletextpad=0.5, borderaxespad=0.1, labelcolor=INK,
        )  # fmt: skip
        return True

    def _limits(self, span: tuple[float, float], volts: float, amps: tuple[float, float]) -> bool:
        """Set the axes' limits where they must change."""
        least, most = amps
        floor = -ceiling(-1.02 * least) if least < -0.02 * most else 0.0
        changed = False
        for axes, limits in ((self.volts, (0.0, ceiling(volts))), (self.amps, (floor, ceiling(1.06 * most)))):
            if tuple(axes.get_ylim()) != limits:
                axes.set_ylim(limits)
                changed = True
        if tuple(self.volts.get_xlim()) != span:
            self.volts.set_xlim(span)
            changed = True
        return changed

    @property
    def moving(self) -> list[tuple[Axes, Artist]]:
        """Everything that new data moves, with its axes, in drawing order."""
        found: list[tuple[Axes, Artist]] = [(self.strip.axes, artist) for artist in self.strip.artists]
        found += zip((self.volts, self.amps), self.measured, strict=True)
        for axes, line, text in self.levels:
            found += [(axes, line), (axes, text)]
        found += [(self.volts, line) for line in self.lines.values()]
        found.append((self.amps, self.current))
        found += zip((self.volts, self.amps), self.rings, strict=True)
        found += zip((self.volts, self.amps, self.strip.axes), self.cursors, strict=True)
        return [(axes, artist) for axes, artist in found if artist.get_visible()]


def _sampled(start: Startup, low: float, high: float) -> tuple[FloatArray, dict[Line, FloatArray]]:
    """Curves between two instants by their lines in the picture, on the run's own grid and an even one."""
    grid = start.time
    time = np.unique(np.concatenate((grid[(grid > low) & (grid < high)], np.linspace(low, high, GRID_POINTS))))
    curves = start.at(time)
    found = {line: curves[curve.name] for line, curve in OF_ONE_CURVE.items()}
    sections = np.vstack([curves[curve.name] for curve in section_voltages(start.build)])
    return time, found | {Line.LOWEST_SECTION: sections.min(axis=0)}


def _level(axes: Axes, side: str) -> tuple[Axes, Line2D, Text]:
    line = axes.axhline(0.0, color=LEVEL, linewidth=0.9, linestyle=(0, (8, 4)), animated=True, zorder=1.2)
    text = axes.text(
        1.008, 0.0, "", transform=axes.get_yaxis_transform(), va=side, fontsize=8.5, color=LEVEL, animated=True
    )
    return axes, line, text


def _lay_over(line: Line2D, overlays: Sequence[Overlay], low: float, high: float) -> None:
    """Give the line all measured curves of its axes, parted by gaps."""
    times: list[Any] = []
    values: list[Any] = []
    for overlay in overlays:
        inside = (overlay.time >= low) & (overlay.time <= high)
        t, v = envelope(overlay.time[inside], overlay.values[inside])
        times += [t * 1e3, [np.nan]]
        values += [v, [np.nan]]
    line.set_data(np.concatenate(times) if times else [], np.concatenate(values) if values else [])


def draw_startup(start: Startup, figure: Figure, view: View | None = None) -> Figure:
    """Draw the picture once, for print.

    Parameters
    ----------
    start : Startup
        What to show.
    figure : Figure
        An empty figure, 4 by 4 inches or larger.
    view : View or None
        Which part of it; None for all.
    """
    picture = StartupPicture(figure)
    picture.show(start, view)
    for _, artist in picture.moving:
        artist.set_animated(False)
    return figure
