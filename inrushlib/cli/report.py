"""A start-up as text: a page for one build, a table for several."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.cli.output import celsius, columns, quantity, rows, sentence, title
from inrushlib.startup import Kind, Startup

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
        ("highest at the pixels", f"{quantity(f.highest_section_voltage, 'V')} (they stand {_stand(b.pixel)})"),
        ("highest at the controller", f"{quantity(f.highest_reservoir_voltage, 'V')} (stands {_stand(b.controller)})"),
    ]
    if f.highest_junction_temperature is not None and b.switch is not None:
        stands = celsius(b.switch.highest_junction)
        lines.append(("switch, hottest junction", f"{celsius(f.highest_junction_temperature)} (stands {stands})"))
    lead = s.conductors[0]
    lines.append(("lead, charge and I2t", f"{quantity(lead.charge, 'C')}, {lead.i2t:.3g} A2s"))
    return lines


def _stand(part: object) -> str:
    return quantity(float(getattr(part, "highest_supply")), "V")  # noqa: B009


def _extent(voltages: Sequence[float]) -> str:
    low, high = min(voltages), max(voltages)
    return quantity(low, "V") if len(voltages) == 1 else f"{quantity(low, 'V')} to {quantity(high, 'V')}"


def warnings(s: Startup) -> list[str]:
    """Return what a part would not stand, one sentence each."""
    f, b, found = s.figures, s.build, []
    for place, volts, highest in (
        ("the pixels", f.highest_section_voltage, b.pixel.highest_supply),
        ("the controller", f.highest_reservoir_voltage, b.controller.highest_supply),
    ):
        if volts > highest:
            found.append(f"{quantity(volts, 'V')} at {place}, and {quantity(highest, 'V')} is what is stood there")
    hot = f.highest_junction_temperature
    if hot is not None and b.switch is not None and hot > b.switch.highest_junction:
        found.append(f"the switch reaches {celsius(hot)}; it stands {celsius(b.switch.highest_junction)}")
    return found


def page(s: Startup) -> str:
    """Return the readable page of one start."""
    lines = [
        title(s.build.title),
        "",
        f"  {s.verdict.value.upper()}: {s.verdict.meaning}",
        f"  {sentence(s.reason)}",
        "",
    ]
    lines += rows(_figure_lines(s))
    found = warnings(s)
    if found:
        lines += ["", "  Beyond what a part stands:"] + [f"    {sentence(text)}" for text in found]
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
                s.verdict.value,
                quantity(s.running_at, "s"),
                quantity(s.ready_at, "s"),
                quantity(f.peak_lead_current, "A"),
                quantity(f.settled_lead_current, "A"),
                quantity(f.final_bus_voltage, "V"),
                str(s.brown_outs),
                str(s.trips),
            )
        )
    reasons = [f"{title(s.build.title)}: {s.reason}." for s in starts]
    return "\n".join([*columns(cells), "", *reasons])
