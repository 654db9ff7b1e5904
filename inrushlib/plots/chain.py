"""The current along the chain of a steady panel, feeds marked.

``draw_chain_current``   from each pixel to the next
``ChainLayers``          the same in two layers, for a page
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator

from inrushlib.panel import PanelState
from inrushlib.plots.layers import draw_layers
from inrushlib.plots.marks import feed_look
from inrushlib.plots.narrow import wrapped
from inrushlib.plots.scheme import Scheme
from inrushlib.plots.style import Ticks, name_upright, plain, round_ticks

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

MOST_NAMED_FEEDS, MOST_TICKS = 9, 6
LEAST_SPREAD = 1e-6  # [A] of a chain's currents
BELOW, ABOVE, FEEDS = 0.08, 0.3, 0.1  # room around the currents, and height of the feeds' marks above, of their spread


def draw_chain_current(state: PanelState, axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw the current from each pixel to the next [A], positive away from pixel 0, with the feeds.

    Parameters
    ----------
    state : PanelState
        The steady panel [SI].
    axes : Axes
        Empty axes, 6 by 2.5 inches or larger.
    scheme : Scheme
        Light or dark.
    """
    draw_layers(ChainLayers(state), axes, scheme)
    return axes


@dataclass(frozen=True)
class ChainLayers:
    """The current along the chain: axes and joints stand, currents and feeds move.

    Attributes
    ----------
    state : PanelState
        The steady panel [SI].
    """

    state: PanelState

    @property
    def _ends(self) -> tuple[float, float, float]:
        """Least and largest current, and their spread [A]."""
        currents = self.state.segment_currents
        low, high = float(currents.min(initial=0.0)), float(currents.max(initial=0.0))
        return low, high, max(high - low, LEAST_SPREAD)

    @cached_property
    def _ticks(self) -> Ticks:
        low, high, spread = self._ends
        return round_ticks(low - BELOW * spread, high + ABOVE * spread, MOST_TICKS)

    @property
    def laid_out_for(self) -> Hashable:
        """The joints."""
        return tuple(self.state.section_starts.tolist())

    @property
    def scaled_for(self) -> Hashable:
        """The currents' scale."""
        return self._ticks

    def lay_out(self, axes: Axes, scheme: Scheme) -> Sequence[Axes]:
        """Draw axes, joints, the legend.

        Parameters
        ----------
        axes : Axes
            Empty axes.
        scheme : Scheme
            Light or dark.
        """
        palette, ink = scheme.palette, scheme.palette.ink
        plain(axes, palette)
        axes.axhline(0.0, color=palette.edge, linewidth=0.8)
        for start in self.state.section_starts[1:-1]:
            axes.axvline(start - 0.5, color=palette.ink_3, linewidth=0.9, linestyle=(0, (1, 2)))
        axes.set_xlim(-1, len(self.state.voltages))
        axes.xaxis.set_major_locator(MaxNLocator(integer=True, nbins=9))
        words = wrapped(axes, "pixel, counted along the chain (dotted: joint between sections)", 9)
        axes.set_xlabel(words, fontsize=9, color=ink)
        name_upright(axes, "current to the next pixel [A]", palette)
        mark = Line2D([], [], label="feed, with its current", **feed_look(palette))
        place = (1.0, 1.0)
        axes.legend(
            handles=[mark], loc="lower right", bbox_to_anchor=place, frameon=False, fontsize=8.5, labelcolor=ink
        )
        return (axes,)

    def scale(self, places: Sequence[Axes]) -> None:
        """Set the currents' scale.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        """
        self._ticks.set(places[0])

    def furnish(self, places: Sequence[Axes], scheme: Scheme) -> None:
        """Draw nothing: the legend is the same for all scales.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """

    def move(self, places: Sequence[Axes], scheme: Scheme) -> list[Artist]:
        """Draw the currents along the chain, and those of the feeds.

        Parameters
        ----------
        places : sequence of Axes
            Those of the picture.
        scheme : Scheme
            Light or dark.
        """
        (axes,), state, ink = places, self.state, scheme.palette.ink
        between = np.arange(len(state.voltages) - 1) + 0.5
        found: list[Artist] = []
        found += axes.plot(between, state.segment_currents, color=ink, linewidth=1.6, drawstyle="steps-mid")
        _, high, spread = self._ends
        top = high + FEEDS * spread
        feeds = state.feed_pixels
        found.append(axes.vlines(feeds, 0.0, top, color=ink, linewidth=0.8, linestyle=(0, (4, 2))))
        found += axes.plot(feeds, np.full(len(feeds), top), **feed_look(scheme.palette))
        if len(feeds) <= MOST_NAMED_FEEDS:
            found += [
                axes.annotate(
                    f"{current:.3g} A", (pixel, top), (0, 7), textcoords="offset points", ha="center", fontsize=8.5,
                    color=ink,
                )
                for pixel, current in zip(feeds, state.feed_currents, strict=True)
            ]  # fmt: skip
        return found
