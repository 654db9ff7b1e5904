"""A start-up as text: a page for one build, a table for several."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.cli.output import celsius, columns, i2t, quantity, rows, sentence, title
from inrushlib.startup import Headline, Kind, Startup

QUIET = {Kind.BURST_START, Kind.BURST_END, Kind.FRAME_START, Kind.FRAME_END, Kind.ABOVE, Kind.LISTENS, Kind.DEAF}
MOST_SWITCHINGS = 24


def moment(value: float | None, unit: str, at: float | None) -> str:
    """Return a value and its instant."""
    text = quantity(value, unit)
    return text if value is None or at is None else f"{text} at {quantity(at, 's')}"


def _figure_lines(s: Startup) -> list[tuple[str, str]]:
    f, b = s.figures, s.build
    limit = quantity(b.adapter.limit_current, "A")
    lines = [
        ("program runs at", quantity(s.running_at, "s")),
        ("all pixels have data at", quantity(s.ready_at, "s")),
        ("lit before the first data for", quantity(f.lit_before_data, "s")),
        ("brown-outs, adapter trips", f"{s.brown_outs}, {s.trips}"),
        ("lead current, peak", f"{moment(f.peak_lead_current, 'A', f.peak_lead_current_at)} (limit {limit})"),
        ("lead current, settled", quantity(f.settled_lead_current, "A")),
        ("bus voltage, lowest out of reset", moment(f.lowest_bus_voltage, "V", f.lowest_bus_voltage_at)),
        ("bus voltage, at the end", quantity(f.final_bus_voltage, "V")),
        ("rail voltage, lowest out of reset", moment(f.lowest_rail_voltage, "V", f.lowest_rail_voltage_at)),
        ("rail voltage, at the end", quantity(f.final_rail_voltage, "V")),
        ("section voltages, at the end", _extent(f.final_section_voltages)),
        ("lowest of all lumps, at the end", f"{quantity(f.final_lowest_lump_voltage, 'V')} {_where(s)}"),
        ("highest at the pixels", f"{quantity(f.highest_section_voltage, 'V')} (they stand {_stand(b.pixel)})"),
        ("highest at the controller", f"{quantity(f.highest_reservoir_voltage, 'V')} (stands {_stand(b.controller)})"),
    ]
    if f.highest_junction_temperature is not None and b.switch is not None:
        stands = celsius(b.switch.highest_junction)
        lines.append(("switch, hottest junction", f"{celsius(f.highest_junction_temperature)} (stands {stands})"))
    lead = s.conductors[0]
    lines.append(("lead, charge and I2t", f"{quantity(lead.charge, 'C')}, {i2t(lead.i2t)}"))
    return lines


def _stand(part: object) -> str:
    return quantity(float(getattr(part, "highest_supply")), "V")  # noqa: B009


def _where(s: Startup) -> str:
    return f"in section {s.figures.final_lowest_lump_section} (lumps: {s.steps.lumps.words})"


def _extent(voltages: Sequence[float]) -> str:
    low, high = min(voltages), max(voltages)
    return quantity(low, "V") if len(voltages) == 1 else f"{quantity(low, 'V')} to {quantity(high, 'V')}"


def headline_lines(headline: Headline) -> list[str]:
    """Return what every page on a start says first: how it ends, why, and what to do about an overstress."""
    lines = [f"  {headline.title.upper()}: {headline.meaning}", f"  {sentence(headline.reason)}"]
    return lines + [f"  {sentence(text)}" for text in headline.advice]


def overstress_lines(headline: Headline) -> list[str]:
    """Return the same for a page that answers another question: only where a part is overstressed, and a blank line."""
    return [*headline_lines(headline), ""] if headline.overstressed else []


def page(s: Startup) -> str:
    """Return the readable page of one start."""
    lines = [title(s.build.title), "", *headline_lines(s.headline), ""]
    lines += rows(_figure_lines(s))
    loud = [x for x in s.switchings if x.kind not in QUIET]
    lines += ["", "  Switchings:"] + [f"    {quantity(x.time, 's'):>9}  {x.what}" for x in loud[:MOST_SWITCHINGS]]
    if len(loud) > MOST_SWITCHINGS:
        lines.append(f"    and {len(loud) - MOST_SWITCHINGS} more (all of them with --json)")
    return "\n".join(lines)


def table(starts: Sequence[Startup]) -> str:
    """Return one row a build."""
    head = ("build", "verdict", "runs at", "data at", "peak", "settled", "bus", "brown-outs", "trips")
    cells = [head]
    for s in starts:
        f = s.figures
        cells.append(
            (
                title(s.build.title),
                s.headline.title,
                quantity(s.running_at, "s"),
                quantity(s.ready_at, "s"),
                quantity(f.peak_lead_current, "A"),
                quantity(f.settled_lead_current, "A"),
                quantity(f.final_bus_voltage, "V"),
                str(s.brown_outs),
                str(s.trips),
            )
        )
    return "\n".join([*columns(cells), "", *(line(s) for s in starts)])


def line(s: Startup) -> str:
    """Return title and reason of a start in one line, what it overstresses first."""
    damage = f"{s.headline.damage}; " if s.overstressed else ""
    return f"{title(s.build.title)}: {damage}{s.reason}."
