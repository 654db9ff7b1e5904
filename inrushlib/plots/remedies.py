"""Remedies side by side as one table-like picture.

``draw_remedies``   a row for each remedy: what changes, verdict, peak current, flash, rail, switch
``height_for``      how tall the axes should be
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from matplotlib.patches import Rectangle

from inrushlib.plots.scheme import Palette, Scheme
from inrushlib.quantities import format_result, with_signs
from inrushlib.remedies.compare import NoRemedy, Remedy

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LINE_HEIGHT, SMALL_LINE = 0.17, 0.145  # [inch]
PADDING = 0.16  # [inch] of a row
HEAD = 0.62  # [inch]
NARROW, WIDE = 40, 58  # characters of a line: part values, risks

# Left edges, in shares of the width.
CHANGE, NAME, VERDICT, BARS, RISKS = 0.0, 0.075, 0.30, 0.405, 0.72
BAR_STEP, BAR_WIDTH = 0.078, 0.068

Value = Callable[[Remedy], "float | None"]


def height_for(remedies: Sequence[Remedy | NoRemedy]) -> float:
    """Return how tall the axes should be, at a width of 13 inches.

    Parameters
    ----------
    remedies : sequence of Remedy or NoRemedy
        What is to be drawn.

    Returns
    -------
    float
        Height [inch].

    Examples
    --------
    >>> round(height_for([]), 2)
    0.62
    """
    return HEAD + sum(_height(remedy) for remedy in remedies)


def draw_remedies(remedies: Sequence[Remedy | NoRemedy], axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Axes:
    """Draw a row for each remedy.

    Parameters
    ----------
    remedies : sequence of Remedy or NoRemedy
        As :func:`inrushlib.remedies.compare.compare_remedies` returns them.
    axes : Axes
        Empty axes, 13 inches wide and :func:`height_for` tall.
    scheme : Scheme
        Light or dark.
    """
    palette = scheme.palette
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(height_for(remedies), 0)
    columns = _columns([remedy for remedy in remedies if isinstance(remedy, Remedy)])
    _head(axes, [title for title, _, _, _ in columns], palette)
    top, last = HEAD, None
    for remedy in remedies:
        height = _height(remedy)
        axes.plot((0, 1), (top, top), color=palette.line if remedy.change is last else palette.edge, linewidth=0.8)
        _names(axes, remedy, top, remedy.change is not last, palette)
        if isinstance(remedy, NoRemedy):
            axes.text(VERDICT, top + PADDING, _wrapped(f"not for this build: {remedy.why}", 125), va="top",
                      fontsize=8.5, color=palette.ink_2, style="italic")  # fmt: skip
        else:
            _chip(axes, remedy, top, palette)
            for number, (_, value, unit, full) in enumerate(columns):
                _bar(axes, BARS + number * BAR_STEP, top, (value(remedy), unit, full), palette)
            axes.text(RISKS, top + PADDING, _risks(remedy), va="top", fontsize=8, color=palette.ink)
        top, last = top + height, remedy.change
    axes.plot((0, 1), (top, top), color=palette.edge, linewidth=0.8)
    return axes


def _columns(remedies: Sequence[Remedy]) -> list[tuple[str, Value, str, float]]:
    """Return title, value, unit and full scale of each column of bars."""
    found: list[tuple[str, Value, str]] = [
        ("peak lead\ncurrent", lambda r: r.start.figures.peak_lead_current, "A"),
        ("lit before\ndata", lambda r: r.start.figures.lit_before_data, "s"),
        ("lowest rail\nvoltage", lambda r: r.start.figures.lowest_rail_voltage, "V"),
        ("hottest\njunction", lambda r: r.hottest_junction, "C"),
    ]
    scales = [max((value(r) or 0.0 for r in remedies), default=0.0) or 1.0 for _, value, _ in found]
    return [(*column, scale) for column, scale in zip(found, scales, strict=True)]


def _head(axes: Axes, titles: Sequence[str], palette: Palette) -> None:
    named = [(CHANGE, "what\nchanges"), (NAME, "remedy,\npart values"), (VERDICT, "verdict")]
    named += [(BARS + number * BAR_STEP, title) for number, title in enumerate(titles)]
    for left, title in (*named, (RISKS, "what could still go wrong")):
        axes.text(left, HEAD - 0.1, title, va="bottom", fontsize=9, color=palette.ink, weight="bold")


def _names(axes: Axes, remedy: Remedy | NoRemedy, top: float, with_change: bool, palette: Palette) -> None:
    plain = palette.ink_2 if isinstance(remedy, NoRemedy) else palette.ink
    if with_change:
        axes.text(CHANGE, top + PADDING, _one_a_line(remedy.change.words), va="top", fontsize=8.5, color=palette.ink_2)
    axes.text(NAME, top + PADDING, _title(remedy), va="top", fontsize=9, color=plain, weight="bold")
    if isinstance(remedy, Remedy):
        below = top + PADDING + LINE_HEIGHT * _title(remedy).count("\n") + 1.15 * LINE_HEIGHT
        axes.text(NAME, below, _parts(remedy), va="top", fontsize=8, color=palette.ink)


def _chip(axes: Axes, remedy: Remedy, top: float, palette: Palette) -> None:
    headline = remedy.start.headline
    fill, hatch = palette.headline(headline)
    axes.add_patch(
        Rectangle(
            (VERDICT, top + PADDING),
            0.018,
            0.2,
            facecolor=fill,
            hatch=hatch * 2,
            edgecolor=palette.hatch,
            linewidth=0.8,
        )
    )
    axes.text(
        VERDICT + 0.023,
        top + PADDING,
        _wrapped(headline.words, 13),
        va="top",
        fontsize=8.5,
        color=palette.ink,
    )


def _bar(axes: Axes, left: float, top: float, shown: tuple[float | None, str, float], palette: Palette) -> None:
    value, unit, full = shown
    if value is None:
        axes.text(left, top + PADDING, "-", va="top", fontsize=8.5, color=palette.ink_3)
        return
    text = f"{value:.0f} °C" if unit == "C" else with_signs(format_result(value, unit))
    axes.text(left, top + PADDING, text, va="top", fontsize=8.5, color=palette.ink)
    place = top + PADDING + 1.3 * LINE_HEIGHT
    axes.add_patch(Rectangle((left, place), BAR_WIDTH, 0.075, facecolor=palette.line, linewidth=0))
    share = min(max(value / full, 0.0), 1.0)
    axes.add_patch(Rectangle((left, place), BAR_WIDTH * share, 0.075, facecolor=palette.bar, linewidth=0))


def _one_a_line(text: str) -> str:
    return "\n".join(text.split())


def _wrapped(text: str, width: int) -> str:
    return textwrap.fill(with_signs(text), width)


def _title(remedy: Remedy | NoRemedy) -> str:
    name = remedy.name.value
    if isinstance(remedy, Remedy) and remedy.combined_with:
        name += f", with {', '.join(remedy.combined_with)}"
    return _wrapped(name, NARROW - 6)


def _parts(remedy: Remedy) -> str:
    lines = [needed.words for needed in remedy.needed] or [remedy.why]
    return "\n".join(_wrapped(line, NARROW) for line in lines)


def _risks(remedy: Remedy) -> str:
    lines = [_wrapped(line, WIDE) for line in remedy.could_go_wrong]
    return "\n".join(lines) if lines else "nothing that the model shows"


def _height(remedy: Remedy | NoRemedy) -> float:
    """Return how tall the remedy's row is [inch]."""
    if isinstance(remedy, NoRemedy):
        return 2 * PADDING + LINE_HEIGHT * max(1 + _title(remedy).count("\n"), 1 + len(remedy.why) // 125)
    names = 2.3 + 1.1 * _title(remedy).count("\n") + _parts(remedy).count("\n")
    return 2 * PADDING + SMALL_LINE * max(names, 2.3, 1.0 + _risks(remedy).count("\n"))
