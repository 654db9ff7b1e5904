"""The channels of a capture as they were recorded, before anybody said what they show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from inrushlib.plots.scheme import Scheme
from inrushlib.plots.style import name_upright, plain, round_ticks
from inrushlib.plots.thin import envelope
from inrushlib.text import for_picture
from inrushlib.trace import Trace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

TICKS = 4
ROOM = 0.05  # above and below the curves, of their spread
NAME = 18  # characters of a channel's name


def draw_channels(trace: Trace, channels: Sequence[str], axes: Axes, scheme: Scheme = Scheme.LIGHT) -> list[Axes]:
    """Draw channels of a capture below each other, over the capture's own time.

    Parameters
    ----------
    trace : Trace
        The capture.
    channels : sequence of str
        Which of its channels, from the top; one or more.
    axes : Axes
        Put away for one for each channel.
    scheme : Scheme
        Light or dark.
    """
    figure: Any = axes.figure
    axes.remove()
    palette = scheme.palette
    places = list(figure.subplots(len(channels), 1, sharex=True, squeeze=False)[:, 0])
    for name, place in zip(channels, places, strict=True):
        channel = trace.channels[name]
        at, values = envelope(trace.time, channel.values)
        known = values[np.isfinite(values)]
        low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 0.0)
        plain(place, palette)
        round_ticks(low - ROOM * (high - low), high + ROOM * (high - low), TICKS).set(place)
        place.plot(1e3 * at, values, color=palette.ink, linewidth=1.2)
        unit = f"\n[{for_picture(channel.unit, 8)}]" if channel.unit else "\n"
        name_upright(place, f"{for_picture(name, NAME)}{unit}", palette)
    places[-1].set_xlim(1e3 * float(trace.time[0]), 1e3 * float(trace.time[-1]))
    places[-1].set_xlabel("time of the capture [ms]", color=palette.ink)
    return places
