"""A capture over the model, the residual below."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inrushlib.plots.scheme import Line, Scheme
from inrushlib.plots.style import plain
from inrushlib.plots.thin import MOST_POINTS, envelope
from inrushlib.startup import Startup, curve_named
from inrushlib.text import for_picture
from inrushlib.trace.compare import Comparison
from inrushlib.trace.prepare import Measured

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def draw_overlay(
    measured: Measured, start: Startup, comparison: Comparison, quantity: str, axes: Axes, scheme: Scheme = Scheme.LIGHT
) -> Axes:
    """Draw one channel and the model's curve over the run's time [ms].

    Parameters
    ----------
    measured, start, comparison : Measured, Startup, Comparison
        The capture, the run, and one laid over the other.
    quantity : str
        Which of the measured curves.
    axes : Axes
        Where to.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    plain(axes, palette)
    time, values = envelope(measured.time + comparison.shift, measured.curves[quantity])
    axes.plot(time * 1e3, values, label="measured", **palette.style(Line.MEASURED))
    grid = np.linspace(measured.time[0], measured.time[-1], MOST_POINTS) + comparison.shift
    axes.plot(grid * 1e3, start.at(grid)[quantity], color=palette.ink, linewidth=1.4, label="model")
    axes.set_ylabel(curve_named(quantity).label, color=palette.ink)
    axes.legend(loc="best", frameon=False, labelcolor=palette.ink)
    return axes


def draw_residual(
    measured: Measured, comparison: Comparison, quantity: str, axes: Axes, scheme: Scheme = Scheme.LIGHT
) -> Axes:
    """Draw measured minus modelled over the run's time [ms].

    Parameters
    ----------
    measured, comparison : Measured, Comparison
        The capture, and how it lies over a run.
    quantity : str
        Which of the measured curves.
    axes : Axes
        Where to.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    plain(axes, palette)
    channel = comparison.channels[quantity]
    time, values = envelope(measured.time + comparison.shift, channel.residual)
    axes.plot(time * 1e3, values, color=palette.ink_3, linewidth=0.8)
    axes.axhline(0.0, color=palette.ink, linewidth=0.6)
    axes.set_ylabel(f"difference [{curve_named(quantity).unit}]", color=palette.ink)
    return axes


def draw_comparison(measured: Measured, start: Startup, comparison: Comparison, figure: Figure) -> Figure:
    """Draw all channels, each with its residual below.

    Parameters
    ----------
    measured, start, comparison : Measured, Startup, Comparison
        The capture, the run, and one laid over the other.
    figure : Figure
        An empty figure, 4 inches high or more a channel.
    """
    count = len(measured.curves)
    axes = figure.subplots(2 * count, 1, sharex=True, squeeze=False, height_ratios=[3, 1] * count)[:, 0]
    for i, quantity in enumerate(measured.curves):
        draw_overlay(measured, start, comparison, quantity, axes[2 * i])
        draw_residual(measured, comparison, quantity, axes[2 * i + 1])
    words = f"{for_picture(measured.name or 'capture', 40)} over {for_picture(start.build.title, 60)}"
    axes[0].set_title(words, loc="left", fontsize=11)
    axes[-1].set_xlabel("time [ms]")
    return figure
