"""A capture over the model, the difference below.

``draw_comparison``    all channels, for print
``ComparisonLayers``   the same in two layers, for a page
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.lines import Line2D

from inrushlib.plots.layers import draw_layers
from inrushlib.plots.scheme import Line, Palette, Scheme
from inrushlib.plots.style import Ticks, name_upright, plain, round_ticks
from inrushlib.plots.thin import MOST_POINTS, envelope
from inrushlib.startup import Startup, curve_named
from inrushlib.text import for_picture
from inrushlib.trace.compare import Comparison
from inrushlib.trace.prepare import FloatArray, Measured

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

UPPER_TICKS, LOWER_TICKS = 6, 2
LOW = 2.6  # [inch], of a channel, below which its difference is named by its sign
ROOM = 0.05  # above and below the curves, of their spread
Curve = tuple[FloatArray, FloatArray]
"""Instants [ms] and values [V or A]."""


@dataclass(frozen=True)
class ComparisonLayers:
    """Each channel over the model and what is left of it below: axes and measured curves stand, the rest moves.

    Attributes
    ----------
    measured, start, comparison : Measured, Startup, Comparison
        The capture, the run, and one laid over the other.
    """

    measured: Measured
    start: Startup
    comparison: Comparison

    @cached_property
    def _curves(self) -> list[tuple[str, Curve, Curve, Curve]]:
        """Of each channel its name, what was measured, modelled, and the difference."""
        shift = self.comparison.shift
        time = self.measured.time + shift
        grid = np.linspace(self.measured.time[0], self.measured.time[-1], MOST_POINTS) + shift
        modelled = self.start.at(grid)
        found = []
        for name, channel in self.comparison.channels.items():
            at, values = envelope(time, self.measured.curves[name])
            instants, difference = envelope(time, channel.residual)
            found.append((name, (1e3 * at, values), (1e3 * grid, modelled[name]), (1e3 * instants, difference)))
        return found

    @cached_property
    def _ticks(self) -> tuple[Ticks, ...]:
        """Of each pair of axes their ticks [V or A]."""
        found = []
        for _, measured, modelled, difference in self._curves:
            found.append(_ticks_of(UPPER_TICKS, measured[1], modelled[1]))
            found.append(_ticks_of(LOWER_TICKS, difference[1], np.zeros(1)))
        return tuple(found)

    @property
    def laid_out_for(self) -> Hashable:
        """The channels."""
        return tuple(name for name, *_ in self._curves)

    @property
    def scaled_for(self) -> Hashable:
        """The measured curves, and all ticks."""
        return tuple((at.tobytes(), values.tobytes()) for _, (at, values), _, _ in self._curves), self._ticks

    def lay_out(self, axes: Axes, scheme: Scheme) -> Sequence[Axes]:
        """Put axes for all channels below each other.

        Parameters
        ----------
        axes : Axes
            Put away for two for each channel.
        scheme : Scheme
            Light or dark.
        """
        figure: Any = axes.figure
        axes.remove()
        count, palette = len(self._curves), scheme.palette
        low = figure.get_figheight() < LOW * count
        parts = [2, 1] if low else [3, 1]
        places = figure.subplots(2 * count, 1, sharex=True, squeeze=False, height_ratios=parts * count)[:, 0]
        for (name, *_), (upper, lower) in zip(self._curves, _pairs(places), strict=True):
            curve = curve_named(name)
            for part, words in ((upper, f"{curve.words}\n"), (lower, "\nΔ " if low else "difference\n")):
                plain(part, palette)
                name_upright(part, f"{words}[{curve.unit}]", palette)
            looks = {"measured": palette.style(Line.MEASURED), "model": _model_look(palette)}
            upper.legend(
                handles=[Line2D([], [], label=label, **look) for label, look in looks.items()], loc="lower right",
                bbox_to_anchor=(1.0, 1.0), ncols=2, frameon=False, labelcolor=palette.ink, fontsize=9, borderpad=0.1,
                borderaxespad=0.1,
            )  # fmt: skip
            lower.axhline(0.0, color=palette.ink, linewidth=0.6)
        places[-1].set_xlabel("time of the run [ms]", color=palette.ink)
        return tuple(places)

    def scale(self, places: Sequence[Axes]) -> None:
        """Set ticks and the time shown.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        """
        for axes, ticks in zip(places, self._ticks, strict=True):
            ticks.set(axes)
        instants = self._curves[0][2][0]
        places[-1].set_xlim(float(instants[0]), float(instants[-1]))

    def furnish(self, places: Sequence[Axes], scheme: Scheme) -> None:
        """Draw the measured curves.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """
        for (_, measured, _, _), (upper, _) in zip(self._curves, _pairs(places), strict=True):
            for line in upper.get_lines():
                line.remove()
            upper.plot(*measured, **scheme.palette.style(Line.MEASURED))

    def move(self, places: Sequence[Axes], scheme: Scheme) -> list[Artist]:
        """Draw the modelled curves and the differences.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """
        found: list[Artist] = []
        for (_, _, modelled, difference), (upper, lower) in zip(self._curves, _pairs(places), strict=True):
            found += upper.plot(*modelled, **_model_look(scheme.palette))
            found += lower.plot(*difference, color=scheme.palette.ink_3, linewidth=0.8)
        return found


def _model_look(palette: Palette) -> dict[str, Any]:
    return {"color": palette.ink, "linewidth": 1.4}


def _pairs(places: Sequence[Axes]) -> Iterator[tuple[Axes, Axes]]:
    return zip(places[::2], places[1::2], strict=True)


def _ticks_of(most: int, *parts: FloatArray) -> Ticks:
    """Ticks of axes that hold all values; gaps are left out."""
    known = np.concatenate([part[np.isfinite(part)] for part in parts])
    low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 0.0)
    room = ROOM * (high - low)
    return round_ticks(low - room, high + room, most)


def draw_comparison(measured: Measured, start: Startup, comparison: Comparison, figure: Figure) -> Figure:
    """Draw all channels, each with its residual below.

    Parameters
    ----------
    measured, start, comparison : Measured, Startup, Comparison
        The capture, the run, and one laid over the other.
    figure : Figure
        An empty figure, 4 inches high or more a channel.
    """
    draw_layers(ComparisonLayers(measured, start, comparison), figure.add_subplot())
    words = f"{for_picture(measured.name or 'capture', 40)} over {for_picture(start.build.title, 60)}"
    figure.suptitle(words, fontsize=11, x=0.02, ha="left")
    return figure
