"""A start in words and tables, as HTML."""

from __future__ import annotations

from dataclasses import replace

from inrushlib.answers.html import facts, render_block
from inrushlib.answers.margins import closest
from inrushlib.answers.start import figures
from inrushlib.startup import Startup, section_voltages
from inrushlib.text import for_html

FIRST_RUN = (
    '<div class="wb-verdict" role="status">The first run is being computed. On a machine that is new to this the '
    "model is compiled first, once; that takes some 15 seconds.</div>"
)


def verdict_html(start: Startup) -> str:
    """Return the verdict in words, with a mark that does not rest on colour."""
    headline = start.headline
    mark, kind = ("✓ YES", "wb-starts") if headline.good else ("✗ NO", "wb-fails")
    why = " ".join(f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (headline.reason, *headline.advice))
    return (
        f'<div class="wb-verdict {kind}" role="status" aria-live="polite"><div class="wb-mark">{mark}</div>'
        f'<div><div class="wb-word">{headline.words}'
        f'<span class="wb-meaning">{for_html(headline.meaning)}</span></div>'
        f'<div class="wb-why">{for_html(why)}{_unused(start)}</div></div></div>'
    )


def _unused(start: Startup) -> str:
    """What of the build has no effect, in a line of its own."""
    text = start.build.tolerance.unused
    return f"<br>{for_html(text)}" if text else ""


def closest_html(start: Startup) -> str:
    """Return how close the start was to turning out otherwise, in a line each."""
    return render_block(replace(closest(start), caption="Closest, ringed in the picture"))


def figures_html(start: Startup) -> str:
    """Return the figures of a start, in three blocks."""
    blocks = "".join(facts(block, "wb-table") for block in figures(start))
    return f'<div class="wb-tables wb-figures">{blocks}</div>'


def readings_html(start: Startup, at: float) -> str:
    """Return the readings at an instant [s]: voltages, current, and what each part is doing."""
    curves = {name: float(values[0]) for name, values in start.at([at]).items()}  # type: ignore[arg-type]
    named: list[tuple[str, float, str]] = [
        ("bus", curves["bus_voltage"], "V"),
        ("panel", curves["panel_voltage"], "V"),
        ("lowest section", min(curves[curve.name] for curve in section_voltages(start.build)), "V"),
        ("rail", curves["rail_voltage"], "V"),
    ]
    if start.build.switch is not None:
        named.append(("gate", curves["gate_voltage"], "V"))
    named.append(("lead", curves["lead_current"], "A"))
    values = "".join(f"<span>{name} <b>{_fixed(value, unit)}</b></span>" for name, value, unit in named)
    doing = "".join(f"<span>{name} <b>{for_html(state)}</b></span>" for name, state in _doing(start, at))
    return f'<div class="wb-readings">{values}{doing}</div>'


def _fixed(value: float, unit: str) -> str:
    """A value that keeps its width while the cursor moves."""
    return f"{value + 0.0:.2f} {unit}".replace("-0.00", "0.00")


def _doing(start: Startup, at: float) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, spans in start.spans.items():
        state = next((span.state for span in reversed(spans) if span.start <= at), spans[0].state)
        found.append((name, state))
    return found


def switching_lines(start: Startup, most: int) -> list[tuple[str, float]]:
    """Return (words, instant) of everything that switched, at most so many, the last one saying what is left out."""
    lines = [(f"{s.time * 1e3:10.3f} ms   {s.what}", s.time) for s in start.switchings[:most]]
    left = len(start.switchings) - most
    return [*lines, (f"… and {left} more", start.switchings[-1].time)] if left > 0 else lines
