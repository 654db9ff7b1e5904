"""A start in words and tables, as HTML."""

from __future__ import annotations

from inrushlib.answers.html import facts
from inrushlib.answers.start import figures
from inrushlib.startup import Startup
from inrushlib.text import for_html

FIGURE_SPACE = "\u2007"


def figures_html(start: Startup) -> tuple[str, str, str]:
    """Return the figures of a start in three tables: when, currents, voltages."""
    when, currents, voltages = (facts(block, "wb-table") for block in figures(start))
    return when, currents, voltages


def doing_html(start: Startup, at: float) -> str:
    """Return what each part is doing at an instant [s]."""
    doing = "".join(f"<span>{name} <b>{for_html(state)}</b></span>" for name, state in _doing(start, at))
    return f'<div class="wb-doing">{doing}</div>'


def _doing(start: Startup, at: float) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, spans in start.spans.items():
        state = next((span.state for span in reversed(spans) if span.start <= at), spans[0].state)
        found.append((name, state))
    return found


def switching_lines(start: Startup, most: int) -> list[tuple[str, float]]:
    """Return (words, instant) of everything that switched, at most so many, the last one saying what is left out.

    Instants stand below each other to the right: blanks as wide as a figure fill them up.
    """
    shown = start.switchings[:most]
    times = [f"{s.time * 1e3:.3f}" for s in shown]
    widest = max(map(len, times), default=0)
    lines = [(f"{time.rjust(widest, FIGURE_SPACE)} ms  {s.what}", s.time) for time, s in zip(times, shown, strict=True)]
    left = len(start.switchings) - most
    return [*lines, (f"… and {left} more", start.switchings[-1].time)] if left > 0 else lines
