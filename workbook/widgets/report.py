"""A start in words and tables, as HTML."""

from __future__ import annotations

from inrushlib.quantities import format_result, told_zero
from inrushlib.startup import Startup
from inrushlib.text import for_html

FIRST_RUN = (
    '<div class="wb-verdict" role="status">The first run is being computed. On a machine that is new to this the '
    "model is compiled first, once; that takes some 15 seconds.</div>"
)


def quantity(value: float | None, unit: str) -> str:
    """Return a value with its unit, 0 below what a run can tell, or a dash."""
    return "–" if value is None else format_result(value, unit)


def verdict_html(start: Startup) -> str:
    """Return the verdict in words, with a mark that does not rest on colour."""
    headline = start.headline
    mark, kind = ("✓ YES", "wb-starts") if headline.good else ("✗ NO", "wb-fails")
    why = " ".join(f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (headline.reason, *headline.advice))
    return (
        f'<div class="wb-verdict {kind}" role="status" aria-live="polite"><div class="wb-mark">{mark}</div>'
        f'<div><div class="wb-word">{headline.title.replace("-", " ")}'
        f'<span class="wb-meaning">{for_html(headline.meaning)}</span></div>'
        f'<div class="wb-why">{for_html(why)}{_unused(start)}</div></div></div>'
    )


def _unused(start: Startup) -> str:
    """What of the build has no effect, in a line of its own."""
    text = start.build.tolerance.unused
    return f"<br>{for_html(text)}" if text else ""


def figures_html(start: Startup) -> str:
    """Return the table of figures, in three blocks."""
    blocks = (("When", _times(start)), ("Current", _currents(start)), ("Voltage", _voltages(start)))
    return f'<div class="wb-tables wb-figures">{"".join(_table(caption, rows) for caption, rows in blocks)}</div>'


Rows = list[tuple[str, str]]


def _times(start: Startup) -> Rows:
    return [
        ("program runs at", quantity(start.running_at, "s")),
        ("every pixel has data at", quantity(start.ready_at, "s")),
        ("lit before the first data", quantity(start.figures.lit_before_data, "s")),
        ("brown-outs", str(start.brown_outs)),
        ("adapter trips", str(start.trips)),
    ]


def _currents(start: Startup) -> Rows:
    f, lead, switch = start.figures, start.conductors[0], start.build.switch
    rows = [
        ("peak in the lead", f"{quantity(f.peak_lead_current, 'A')} at {quantity(f.peak_lead_current_at, 's')}"),
        ("settled in the lead", quantity(f.settled_lead_current, "A")),
        ("charge in the lead", quantity(lead.charge, "C")),
        ("heat in the lead", quantity(lead.energy, "J")),
        ("I²t of the lead", f"{told_zero(lead.i2t, 'A2s'):.3g} A²s"),
    ]
    if f.highest_junction_temperature is not None and switch is not None:
        hottest, most = f.highest_junction_temperature, switch.highest_junction
        rows.append(("hottest junction", _against(hottest, most, "C")))
    return rows


def _voltages(start: Startup) -> Rows:
    f, b, lumps = start.figures, start.build, start.steps.lumps
    return [
        ("lowest bus after reset", quantity(f.lowest_bus_voltage, "V")),
        ("lowest rail after reset", quantity(f.lowest_rail_voltage, "V")),
        ("bus at the end", quantity(f.final_bus_voltage, "V")),
        ("lowest section at end", quantity(min(f.final_section_voltages), "V")),
        (f"lowest lump, section {f.final_lowest_lump_section}", quantity(f.final_lowest_lump_voltage, "V")),
        ("lumps of the panel", f"{len(lumps)}, {lumps.each} a section"),
        ("highest at pixels", _against(f.highest_section_voltage, b.pixel.highest_supply, "V")),
        ("highest at controller", _against(f.highest_reservoir_voltage, b.controller.highest_supply, "V")),
    ]


def _against(value: float, most: float, unit: str) -> str:
    """A value against what the part stands, with words where it is too much."""
    text = f"{quantity(value, unit)} of {quantity(most, unit)}".replace(" C", " °C")
    return f"▲ {text}: too much" if value > most else text


def _table(caption: str, rows: Rows) -> str:
    cells = "".join(f'<tr><th scope="row">{for_html(a)}</th><td>{for_html(b)}</td></tr>' for a, b in rows)
    return f'<table class="wb-table"><caption>{caption}</caption>{cells}</table>'


def readings_html(start: Startup, at: float) -> str:
    """Return the readings at an instant [s]: voltages, current, and what each part is doing."""
    curves = {name: float(values[0]) for name, values in start.at([at]).items()}  # type: ignore[arg-type]
    named: list[tuple[str, float, str]] = [
        ("bus", curves["bus_voltage"], "V"),
        ("panel", curves["panel_voltage"], "V"),
        ("lowest section", min(v for name, v in curves.items() if name.startswith("section_")), "V"),
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
    found = []
    for name, spans in start.spans.items():
        state = next((span.state for span in reversed(spans) if span.start <= at), spans[0].state)
        found.append((name, state))
    return found


def switching_lines(start: Startup, most: int) -> list[tuple[str, float]]:
    """Return (words, instant) of everything that switched, at most so many, the last one saying what is left out."""
    lines = [(f"{s.time * 1e3:10.3f} ms   {s.what}", s.time) for s in start.switchings[:most]]
    left = len(start.switchings) - most
    return [*lines, (f"… and {left} more", start.switchings[-1].time)] if left > 0 else lines
