"""The start-up in one picture: voltages, lead current, and a strip of what each part is doing.

``StartupPicture``  the picture on a figure, its lines kept so that new data only moves them
``Overlay``         a measured curve to lay over
``draw_startup``    the picture once, for print
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure

from inrushlib.plots.compare import envelope
from inrushlib.plots.strip import Strip
from inrushlib.plots.style import CURVES, INK, LEVEL, ceiling, plain
from inrushlib.startup import Startup
from inrushlib.trace.prepare import FloatArray

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.text import Text

MOST_POINTS = 3000
LEAST_VOLTS = 6.0


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


class StartupPicture:
    """Voltages, current and strip on a figure; ``show`` moves the lines to another start.

    Parameters
    ----------
    figure : Figure
        An empty figure, about 9 by 6.4 inches.
    """

    def __init__(self, figure: Figure) -> None:
        self.figure = figure
        grid = figure.add_gridspec(
            3, 1, height_ratios=[3.4, 2.3, 2.0], left=0.115, right=0.86, top=0.93, bottom=0.085, hspace=0.2
        )
        self.volts = plain(figure.add_subplot(grid[0]))
        self.amps = plain(figure.add_subplot(grid[1], sharex=self.volts))
        strip_axes = figure.add_subplot(grid[2], sharex=self.volts)
        self.lines = {
            name: self.volts.plot([], [], label=name, animated=True, **CURVES[name])[0]
            for name in ("bus", "panel", "lowest section", "rail")
        }
        self.lines["lead current"] = self.amps.plot([], [], animated=True, **CURVES["lead current"])[0]
        self.measured = [
            axes.plot([], [], label="measured", animated=True, zorder=1.5, **CURVES["measured"])[0]
            for axes in (self.volts, self.amps)
        ]
        self.levels = [_level(self.volts, "bottom"), _level(self.volts, "top"), _level(self.amps, "center")]
        self.strip = Strip(strip_axes)
        self.volts.set_ylabel("voltage [V]", color=INK)
        self.amps.set_ylabel("lead current [A]", color=INK)
        strip_axes.set_xlabel("time [ms]", color=INK)
        for axes in (self.volts, self.amps):
            axes.tick_params(labelbottom=False)
        self.volts.legend(
            handles=[*(self.lines[name] for name in ("bus", "panel", "lowest section", "rail")), self.measured[0]],
            loc="lower left", bbox_to_anchor=(-0.01, 1.0), ncols=5, frameon=False, fontsize=9, handlelength=3.2,
            columnspacing=1.4, borderaxespad=0.1,
        )  # fmt: skip

    def show(self, start: Startup, span: tuple[float, float] | None = None, overlays: Sequence[Overlay] = ()) -> bool:
        """Move everything to ``start`` within ``span`` [s]; returns whether the axes themselves changed."""
        low, high = span or (0.0, start.build.run.duration)
        time, curves = _sampled(start, low, high)
        sections = np.vstack([v for name, v in curves.items() if name.startswith("section_")])
        shown = {
            "bus": curves["bus_voltage"],
            "panel": curves["panel_voltage"],
            "lowest section": sections.min(axis=0),
            "rail": curves["rail_voltage"],
            "lead current": curves["lead_current"],
        }
        for name, values in shown.items():
            self.lines[name].set_data(time * 1e3, values)
        for line, current in zip(self.measured, (False, True), strict=True):
            _lay_over(line, [o for o in overlays if o.current == current], low, high)
        controller, limit = start.build.controller, start.build.adapter.limit_current
        _set_level(self.levels[0], controller.brownout_rising, f"{controller.brownout_rising:.2f} V boots")
        _set_level(self.levels[1], controller.brownout_falling, f"{controller.brownout_falling:.2f} V resets")
        _set_level(self.levels[2], limit, f"{limit:.3g} A limit")
        self.strip.show(start.spans, low * 1e3, high * 1e3)
        volts = max(LEAST_VOLTS, *(float(v.max()) for n, v in shown.items() if n != "lead current"))
        least = min(0.0, float(shown["lead current"].min()))
        return self._limits((low * 1e3, high * 1e3), volts, max(limit, float(shown["lead current"].max())), least)

    def _limits(self, span: tuple[float, float], volts: float, amps: float, least: float) -> bool:
        """Set the axes' limits where they must change."""
        wanted = (
            (0.0, ceiling(volts)),
            (-ceiling(-1.02 * least) if least < -0.02 * amps else 0.0, ceiling(1.06 * amps)),
        )
        changed = False
        for axes, limits in zip((self.volts, self.amps), wanted, strict=True):
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
        found += [(self.amps if name == "lead current" else self.volts, line) for name, line in self.lines.items()]
        return found


def _sampled(start: Startup, low: float, high: float) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Curves between two instants: the run's own grid where it is fine enough, thinned where it is too fine."""
    time = start.time
    inside = time[(time > low) & (time < high)]
    if len(inside) > MOST_POINTS:
        inside = inside[:: int(np.ceil(len(inside) / MOST_POINTS))]
    time = np.unique(np.concatenate((inside, np.linspace(low, high, 400))))
    return time, start.at(time)


def _level(axes: Axes, side: str) -> tuple[Axes, Line2D, Text]:
    line = axes.axhline(0.0, color=LEVEL, linewidth=1.1, linestyle=(0, (2, 2)), animated=True, zorder=1.2)
    text = axes.text(
        1.008, 0.0, "", transform=axes.get_yaxis_transform(), va=side, fontsize=8.5, color=LEVEL, animated=True
    )
    return axes, line, text


def _set_level(level: tuple[Axes, Line2D, Text], value: float, words: str) -> None:
    _, line, text = level
    line.set_ydata([value, value])
    text.set_y(value)
    text.set_text(words)


def _lay_over(line: Line2D, overlays: list[Overlay], low: float, high: float) -> None:
    """Give the line all measured curves of its axes, parted by gaps."""
    times: list[Any] = []
    values: list[Any] = []
    for overlay in overlays:
        inside = (overlay.time >= low) & (overlay.time <= high)
        t, v = envelope(overlay.time[inside], overlay.values[inside])
        times += [t * 1e3, [np.nan]]
        values += [v, [np.nan]]
    line.set_data(np.concatenate(times) if times else [], np.concatenate(values) if values else [])


def draw_startup(start: Startup, figure: Figure, span: tuple[float, float] | None = None) -> Figure:
    """Draw the picture once, for print."""
    picture = StartupPicture(figure)
    picture.show(start, span)
    for _, artist in picture.moving:
        artist.set_animated(False)
    return figure
