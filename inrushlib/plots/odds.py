"""How sure an answer is, in pictures: odds against rating, a tornado of edges, the spread of a curve.

``draw_odds``     the odds of each value that was tried, with intervals
``draw_tornado``  how far each value is from where the verdict turns, and how far it can be
``draw_spread``   bands of a curve over the runs, under the nominal one
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.margins import Edge
from inrushlib.odds import Bands, Decision
from inrushlib.parts import key_words
from inrushlib.plots.narrow import columns, far_enough, is_narrow, width_of
from inrushlib.plots.scheme import Line, Palette, Scheme
from inrushlib.plots.style import plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Array = NDArray[np.float64]

BAR = 0.56  # of the space of a row
MOST_ROWS = 12
NAME = 16  # characters of a line of a value's name in a narrow picture
FIGURE = 0.32  # [inch] that a figure below an axis takes
FARTHEST = 1.5  # times the way to an end that a tornado shows


def draw_odds(
    decision: Decision, axes: Axes, *, label: str, nominal: float | None = None, scheme: Scheme = Scheme.LIGHT
) -> Axes:
    """Draw the odds of each value that was tried, with its interval; the chosen one is filled.

    Parameters
    ----------
    decision : Decision
        What was tried.
    axes : Axes
        To draw on.
    label : str
        Of the values, with their unit [text].
    nominal : float or None
        What the values as they stand ask for [unit of the values]; None to leave it out.
    scheme : Scheme
        Light or dark.

    Returns
    -------
    Axes
        The same.
    """
    palette = scheme.palette
    plain(axes, palette)
    place: dict[str, Any]
    said_in: dict[str, Any] = {"fontsize": 9, "color": palette.ink}
    at = np.array([each.value for each in decision.choices])
    odds = 100 * np.array([[each.boots.low, each.boots.value, each.boots.high] for each in decision.choices])
    axes.vlines(at, odds[:, 0], odds[:, 2], color=palette.edge, linewidth=2.4)
    axes.plot(at, odds[:, 1], color=palette.ink, linewidth=1.0, linestyle=":")
    axes.plot(at, odds[:, 1], "o", color=palette.ink, markerfacecolor=palette.sheet, markersize=6)
    if decision.wanted is not None:
        axes.axhline(100 * decision.wanted, color=palette.ink_2, linewidth=1.1, linestyle="--")
        place = {"transform": axes.get_yaxis_transform(), "va": "bottom"}
        axes.text(0.01, 100 * decision.wanted, f"{100 * decision.wanted:g} %", **place, **said_in)
    if nominal is not None:
        axes.axvline(nominal, color=palette.ink_3, linewidth=1.3, linestyle="-.")
        place = {"transform": axes.get_xaxis_transform(), "va": "bottom", "ha": "center"}
        axes.text(nominal, 1.01, "as it stands", **place, **said_in)
    if decision.chosen is not None:
        axes.plot([decision.chosen.value], [100 * decision.chosen.boots.value], "o", color=palette.ink, markersize=9)
    if at.min() > 0 and at.max() > 8 * at.min():
        axes.set_xscale("log")
        said = far_enough(np.log(at), at_least=FIGURE / width_of(axes) * float(np.log(at.max() / at.min())))
        axes.set_xticks(at, [f"{value:g}" if here else "" for value, here in zip(at, said, strict=True)], minor=False)
        axes.minorticks_off()
    axes.set_ylim(-3, 103)
    axes.set_xlabel(label, color=palette.ink)
    axes.set_ylabel("boots at the first try\n[% of the runs]", color=palette.ink)
    return axes


def draw_tornado(edges: Sequence[Edge], axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw how far each value is from where the verdict turns: the shorter the bar, the less it may be off.

    All are in units of the way from the present value to the end of its range, so that the end is at one for each;
    edges of keys that have no range are left out.

    Parameters
    ----------
    edges : sequence of Edge
        The nearest edges; at most twelve are shown, nearest first.
    axes : Axes
        To draw on.
    scheme : Scheme
        Light or dark.

    Returns
    -------
    Axes
        The same.
    """
    palette = scheme.palette
    plain(axes, palette)
    known = [(edge, edge.in_tolerances) for edge in edges if edge.in_tolerances is not None]
    shown = sorted(known, key=lambda pair: pair[1])[:MOST_ROWS]
    for row, (edge, far) in enumerate(shown):
        way = 1.0 if edge.above else -1.0
        fill, hatch = palette.verdict(edge.verdict)
        # Plain up to the edge; beyond it the fill and hatch of the verdict that it turns into.
        axes.barh(row, way * min(far, FARTHEST), BAR, color=palette.sheet, edgecolor=palette.ink, linewidth=1.0)
        if far < 1.0:
            beyond: dict[str, Any] = {"color": fill, "hatch": hatch, "edgecolor": palette.hatch, "linewidth": 0.6}
            axes.barh(row, way * (1.0 - far), BAR, left=way * far, **beyond)
        axes.plot([way * far] * 2, [row - BAR / 2, row + BAR / 2], color=palette.ink, linewidth=2.4)
    axes.axvline(0.0, color=palette.ink, linewidth=1.4)
    for end in (-1.0, 1.0):
        axes.axvline(end, color=palette.ink_3, linewidth=1.1, linestyle="--")
    names = [key_words(edge.key) for edge, _ in shown]
    if is_narrow(axes):
        names = ["\n".join(textwrap.wrap(name, NAME)) for name in names]
    axes.set_yticks(range(len(shown)), names)
    axes.set_ylim(len(shown) - 0.4, -0.6)
    axes.set_xlim(-1.1, 1.1)
    axes.set_xticks([-1, -0.5, 0, 0.5, 1], ["lower\nend", "", "now", "", "upper\nend"])
    axes.set_xlabel("of the range of each value", color=palette.ink)
    axes.grid(axis="y", visible=False)
    _legend(axes, [edge for edge, _ in shown], palette)
    return axes


def draw_spread(
    spread: Bands,
    axes: Axes,
    *,
    label: str,
    nominal: tuple[Array, Array] | None = None,
    line: Line = Line.BUS,
    scheme: Scheme = Scheme.LIGHT,
) -> Axes:
    """Draw the bands of a curve over the runs, and the nominal curve over them.

    Parameters
    ----------
    spread : Bands
        Over the runs.
    axes : Axes
        To draw on.
    label : str
        Of the curve, with its unit [text].
    nominal : (array, array) or None
        Instants [s] and samples [V or A] of the values as they stand; None to leave it out.
    line : Line
        What curve it is, for its colour and its dashes.
    scheme : Scheme
        Light or dark.

    Returns
    -------
    Axes
        The same.
    """
    palette = scheme.palette
    plain(axes, palette)
    time = 1e3 * spread.time
    axes.fill_between(
        time,
        spread.low,
        spread.high,
        color=palette.line,
        edgecolor=palette.edge,
        linewidth=0.7,
        label="5 % to 95 % of the runs",
    )
    axes.plot(time, spread.middle, color=palette.edge, linewidth=1.4, linestyle="--", label="half of the runs below")
    if nominal is not None:
        axes.plot(1e3 * nominal[0], nominal[1], label="as it stands", **palette.style(line))
    axes.set_xlim(time[0], time[-1])
    axes.set_xlabel("time [ms]", color=palette.ink)
    axes.set_ylabel(label, color=palette.ink)
    # Above the axes: inside, it would lie on the band.
    labels = axes.get_legend_handles_labels()[1]
    above: dict[str, Any] = {"loc": "lower left", "bbox_to_anchor": (0.0, 0.98), "ncols": columns(axes, labels, 9, 3)}
    axes.legend(frameon=False, fontsize=9, labelcolor=palette.ink, **above)
    return axes


def _legend(axes: Axes, edges: Sequence[Edge], palette: Palette) -> None:
    from matplotlib.patches import Patch

    turns = dict.fromkeys(edge.verdict for edge in edges)
    patches = [
        Patch(facecolor=fill, hatch=hatch, edgecolor=palette.hatch, label=each.words)
        for each in turns
        for fill, hatch in (palette.verdict(each),)
    ]
    if patches:
        axes.legend(
            handles=patches, frameon=False, fontsize=9, loc="lower center", bbox_to_anchor=(0.5, 1.0),
            ncols=columns(axes, [each.words for each in turns], 9, len(patches)), labelcolor=palette.ink,
        )  # fmt: skip
