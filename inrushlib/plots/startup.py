"""The start-up in one picture: voltages, lead current, and a strip of what each part is doing.

``StartupPicture``  the picture on a figure, its lines kept so that new data only moves them
``View``            what part of a start is shown, and how
``Overlay``         a measured curve to lay over
``draw_startup``    the picture once, for print
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from inrushlib.parts.place import PlaceKind
from inrushlib.plots.ends import EndLabels
from inrushlib.plots.scheme import Line, Palette, Scheme
from inrushlib.plots.strip import Strip
from inrushlib.plots.style import ceiling, plain
from inrushlib.plots.thin import envelope
from inrushlib.startup import Actor, Slack, Startup, State, needed_bus_voltage
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

VOLTAGES = (Line.ADAPTER, Line.BUS, Line.PANEL, Line.LOWEST_SECTION, Line.RESERVOIR, Line.RAIL, Line.GATE)
SHOWN = (Line.BUS, Line.LOWEST_SECTION, Line.RAIL)
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
LEAST_VOLTS = 5.0
# Margins and rows [px of the page]; the reading line under the picture has the same sides.
LEFT, RIGHT, TOP, BOTTOM, GAP = 48, 140, 10, 22, 12
LEFT_NARROW, RIGHT_NARROW, NARROW = 40, 104, 600
SHORTER = {Line.LOWEST_SECTION: "lowest"}
ROW, ROW_TALL, TALL = 17, 20, 600
VOLTS_SHARE = 0.66
TICK_EVERY, TICK = 8, (3.0, 4.2)  # [px], of a level
BELOW, ABOVE = -1, 1
WAITING = (State.OFF, State.RESET)


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
        An empty figure, 4 by 4 inches or larger; an inch is 100 pixels of the page.
    scheme : Scheme
        Light or dark.
    """

    def __init__(self, figure: Figure, scheme: Scheme = Scheme.LIGHT) -> None:
        self.figure, self.palette = figure, scheme.palette
        figure.set_facecolor(self.palette.sheet)
        volts, amps, strip = figure.subplots(3, 1, sharex=True)
        self.volts, self.amps = (_bare(axes, self.palette, unit) for axes, unit in ((volts, "V"), (amps, "A")))
        self.strip = Strip(strip, self.palette)
        style = self.palette.style
        self.lines = {name: self.volts.plot([], [], animated=True, **style(name))[0] for name in VOLTAGES}
        self.current = self.amps.plot([], [], animated=True, **style(Line.LEAD_CURRENT))[0]
        self.measured = [
            axes.plot([], [], animated=True, zorder=1.5, **style(Line.MEASURED))[0] for axes in (self.volts, self.amps)
        ]
        self.levels = [(axes, _level(axes, self.palette)) for axes in (self.volts, self.volts, self.amps)]
        self.ends = [EndLabels(axes, self.palette) for axes in (self.volts, self.amps)]
        # Where a rule came closest: an open ring, so that it reads in grey.
        ring: dict[str, Any] = {
            "marker": "o",
            "markersize": 9,
            "markerfacecolor": "none",
            "markeredgecolor": self.palette.ink,
        }
        self.rings = [
            axes.plot([], [], linestyle="none", animated=True, zorder=3.5, markeredgewidth=1.6, **ring)[0]
            for axes in (self.volts, self.amps)
        ]
        self.cursors = [
            axes.axvline(0.0, color=self.palette.act, linewidth=1.0, animated=True)
            for axes in (self.volts, self.amps, self.strip.axes)
        ]
        strip.xaxis.set_major_formatter(FuncFormatter(self._instant))
        self._limited: tuple[tuple[float, float], ...] = ()
        self.fit()

    def _instant(self, value: float, _: int | None) -> str:
        """Milliseconds; the last one on the axis says so."""
        low, high = self.strip.axes.get_xlim()
        ticks = [tick for tick in self.strip.axes.get_xticks() if low <= tick <= high * (1 + 1e-9)]
        return f"{value:g} ms" if len(ticks) and abs(value - ticks[-1]) <= 1e-9 * abs(high) else f"{value:g}"

    def fit(self) -> None:
        """Fit the axes to the figure's size and the strip's rows; to be called when either has changed."""
        width, height = (100 * side for side in self.figure.get_size_inches())
        self.narrow = width < NARROW
        left, right = (LEFT_NARROW, RIGHT_NARROW) if self.narrow else (LEFT, RIGHT)
        ticks = MaxNLocator(4 if self.narrow else 9, steps=[1, 2, 2.5, 5, 10])
        self.strip.axes.xaxis.set_major_locator(ticks)
        strip = max(len(self.strip.rows), 4) * (ROW_TALL if height > TALL else ROW)
        rest = height - TOP - BOTTOM - strip - 2 * GAP
        share = (width - left - right) / width
        bottom = float(BOTTOM)
        for axes, tall in (
            (self.strip.axes, strip), (self.amps, (1 - VOLTS_SHARE) * rest), (self.volts, VOLTS_SHARE * rest),
        ):  # fmt: skip
            axes.set_position((left / width, bottom / height, share, tall / height))
            bottom += tall + GAP
        self._measure()

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
        self._set_rings(start, view.slack)
        for line in self.cursors:
            line.set_visible(view.cursor is not None and low <= view.cursor <= high)
            line.set_xdata([1e3 * (view.cursor or 0.0)] * 2)
        regrown = self.strip.set_rows(tuple(actor for actor in Actor if actor in start.spans))
        if regrown:
            self.fit()
        limit = start.build.adapter.limit_current
        changed = self._limits(
            (low * 1e3, high * 1e3),
            (max(LEAST_VOLTS, *volts)),
            (min(0.0, float(amps.min())), max(limit, float(amps.max()))),
        )
        needs = self._set_levels(start, low, high)
        self._set_ends(view, curves, needs, limit)
        self.strip.show(start.spans, low * 1e3, high * 1e3)
        return changed or regrown

    def _name(self, line: Line) -> str:
        return SHORTER.get(line, line) if self.narrow else line

    @staticmethod
    def _line(line: Line2D, time: FloatArray, values: FloatArray, visible: bool) -> float:
        """Move a line; returns its largest value, 0 when it is not shown."""
        line.set_visible(visible)
        if visible:
            line.set_data(*envelope(time * 1e3, values))
        return float(values.max()) if visible else 0.0

    def _set_levels(self, start: Startup, low: float, high: float) -> list[tuple[float, str]]:
        """Draw each level while it counts, ticks on the side where it fails; returns those of the voltages."""
        controller = start.build.controller
        spans = [span for span in start.spans[Actor.CONTROLLER] if span.end > low and span.start < high]
        waiting = [(1e3 * s.start, 1e3 * s.end) for s in spans if s.state in WAITING]
        running = [(1e3 * s.start, 1e3 * s.end) for s in spans if s.state not in WAITING]
        own = controller.feed == "own"
        need = controller.brownout_rising if own else needed_bus_voltage(start.build)
        needed, brown_out, limit = (line for _, line in self.levels)
        volts, amps = self._scales
        _hold(volts, needed, need, waiting, BELOW)
        _hold(volts, brown_out, controller.brownout_falling, running, BELOW)
        _hold(amps, limit, start.build.adapter.limit_current, [(1e3 * low, 1e3 * high)], ABOVE)
        found: list[tuple[float, str]] = []
        if waiting and need is not None:
            words = f"{'rail needs' if own else 'needs'} {need:.2f} V"
            found.append((need, words if self.narrow else f"{words} to start"))
        if running:
            words = "resets at" if self.narrow else "rail resets at"
            found.append((controller.brownout_falling, f"{words} {controller.brownout_falling:.2f} V"))
        return found

    def _set_ends(
        self, view: View, curves: dict[Line, FloatArray], needs: Sequence[tuple[float, str]], limit: float
    ) -> None:
        """Name every curve and level at the right end, with the curve's last value."""
        levels = [(value, words, None) for value, words in needs]
        named = [
            (float(curves[name][-1]), f"{self._name(name)} {curves[name][-1] + 0.0:.2f} V", name)
            for name in VOLTAGES
            if name in view.voltages
        ]
        amps = float(curves[Line.LEAD_CURRENT][-1])
        self.ends[0].show([*levels, *named])
        self.ends[1].show(
            [(limit, f"limit {limit:.3g} A", None), (amps, f"lead {amps + 0.0:.2f} A", Line.LEAD_CURRENT)]
        )

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

    def _limits(self, span: tuple[float, float], volts: float, amps: tuple[float, float]) -> bool:
        """Set the axes' limits where they must change."""
        least, most = amps
        floor = -ceiling(-1.02 * least) if least < -0.02 * most else 0.0
        top = LEAST_VOLTS + 0.25 if volts <= LEAST_VOLTS + 0.2 else ceiling(volts)
        limits = (span, (0.0, top), (floor, ceiling(1.06 * most)))
        if limits == self._limited:
            return False
        self._limited = limits
        self.volts.set_xlim(limits[0])
        self.volts.set_ylim(limits[1])
        self.amps.set_ylim(limits[2])
        self._measure()
        return True

    def _measure(self) -> None:
        """Take the axes' scales: to ask the axes each time takes longer than all that is drawn by them."""
        self._scales = _scale(self.volts), _scale(self.amps)

    @property
    def moving(self) -> list[tuple[Axes, Artist]]:
        """Everything that new data moves, with its axes, in drawing order."""
        found: list[tuple[Axes, Artist]] = [(self.strip.axes, artist) for artist in self.strip.artists]
        found += zip((self.volts, self.amps), self.measured, strict=True)
        found += self.levels
        found += [(self.volts, line) for line in self.lines.values()]
        found.append((self.amps, self.current))
        found += zip((self.volts, self.amps), self.rings, strict=True)
        found += zip((self.volts, self.amps, self.strip.axes), self.cursors, strict=True)
        found += [(ends.axes, artist) for ends in self.ends for artist in ends.artists]
        return [(axes, artist) for axes, artist in found if artist.get_visible()]


def _bare(axes: Axes, palette: Palette, unit: str) -> Axes:
    """Axes with a faint grid across, and the unit on their top tick only."""

    def label(value: float, _: int | None) -> str:
        top = [tick for tick in axes.get_yticks() if tick <= axes.get_ylim()[1] + 1e-9]
        return f"{value:g} {unit}" if top and value >= top[-1] - 1e-9 else f"{value:g}"

    plain(axes, palette)
    axes.spines["left"].set_visible(False)
    axes.grid(visible=False, axis="x")
    axes.tick_params(axis="y", length=0)
    axes.tick_params(axis="x", length=3, labelbottom=False)
    axes.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_formatter(FuncFormatter(label))
    return axes


def _level(axes: Axes, palette: Palette) -> Line2D:
    return axes.plot([], [], color=palette.ink_3, linewidth=0.8, animated=True, zorder=1.2)[0]


class _Scale(NamedTuple):
    """Where axes begin and end [ms], and how much a pixel of the page is across [ms] and down [V or A]."""

    begin: float
    end: float
    across: float
    down: float


def _scale(axes: Axes) -> _Scale:
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    box = axes.get_window_extent()
    pixels = 100 / axes.figure.dpi
    return _Scale(x0, x1, (x1 - x0) / (box.width * pixels), (y1 - y0) / (box.height * pixels))


def _hold(scale: _Scale, line: Line2D, value: float | None, spans: Sequence[tuple[float, float]], side: int) -> None:
    """Draw a level over stretches of time [ms], with short ticks below (-1) or above (1), where it fails."""
    line.set_visible(value is not None and bool(spans))
    if value is None or not spans:
        return
    level = np.array([(max(a, scale.begin), min(b, scale.end)) for a, b in spans])
    every = TICK_EVERY * scale.across
    ticks = np.concatenate([np.arange(begin + every, end, every) for begin, end in level])
    first = np.concatenate((level[:, 0], ticks))
    second = np.concatenate((level[:, 1], ticks - TICK[0] * scale.across))
    fall = np.repeat((0.0, side * TICK[1] * scale.down), (len(level), len(ticks)))
    gap = np.full(len(first), np.nan)
    line.set_data(
        np.column_stack((first, second, gap)).ravel(),
        np.column_stack((np.full(len(first), value), value + fall, gap)).ravel(),
    )


def _sampled(start: Startup, low: float, high: float) -> tuple[FloatArray, dict[Line, FloatArray]]:
    """Curves between two instants by their lines in the picture, on the run's own grid and an even one."""
    grid = start.time
    time = np.unique(np.concatenate((grid[(grid > low) & (grid < high)], np.linspace(low, high, GRID_POINTS))))
    return time, values_by_line(start, time)


def values_by_line(start: Startup, times: FloatArray) -> dict[Line, FloatArray]:
    """Return what the lines of the picture show at any instants.

    Parameters
    ----------
    start : Startup
        The start.
    times : (n,) array
        Instants [s].

    Returns
    -------
    dict of Line to (n,) array
        Voltages [V] and the current [A].

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.startup import simulate
    >>> start = simulate(new_build({"title": "one tile", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                             "wiring.pixels_per_section": 8}))
    >>> f"{values_by_line(start, np.array([0.1]))[Line.RAIL][0]:.2f} V"
    '3.30 V'
    """
    curves = start.at(times)
    found = {line: curves[curve.name] for line, curve in OF_ONE_CURVE.items()}
    sections = np.vstack([curves[curve.name] for curve in section_voltages(start.build)])
    return found | {Line.LOWEST_SECTION: sections.min(axis=0)}


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


def draw_startup(start: Startup, figure: Figure, view: View | None = None, scheme: Scheme = Scheme.LIGHT) -> Figure:
    """Draw the picture once, for print.

    Parameters
    ----------
    start : Startup
        What to show.
    figure : Figure
        An empty figure, 4 by 4 inches or larger.
    view : View or None
        Which part of it; None for all.
    scheme : Scheme
        Light or dark.
    """
    picture = StartupPicture(figure, scheme)
    picture.show(start, view)
    for _, artist in picture.moving:
        artist.set_animated(False)
    return figure
