"""Will it start, and why not.

``start_answer``  the whole page on one start
``figures``       its figures, as three blocks of facts
``headline``      what is said first of a start
``overstress``    the same for an answer to another question
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers import margins
from inrushlib.answers.assumed import assumed_block, hangs_on, reservation
from inrushlib.answers.blocks import Answer, Beyond, Block, Facts, Table, Temperature, Value, Verdict, Words, sentence
from inrushlib.answers.measured import other_than_built
from inrushlib.margins import Assumed, Edge
from inrushlib.startup import Headline, Kind, Startup

QUIET = {Kind.BURST_START, Kind.BURST_END, Kind.FRAME_START, Kind.FRAME_END, Kind.ABOVE, Kind.LISTENS, Kind.DEAF}
MOST_SWITCHINGS = 24
REMEDIES = "the remedies look for what would help (inrush remedies, or their tab on page Supply)."
"""What an answer says that has nothing to offer a build that does not start."""


def headline(found: Headline, assumed: Sequence[Assumed] = ()) -> Verdict:
    """Return how a start ends, with the reservation where that hangs on values that were assumed.

    Parameters
    ----------
    found : Headline
        Of the start.
    assumed : sequence of Assumed
        What was assumed of its build.
    """
    hang = len(hangs_on(assumed))
    sentences = (found.meaning, sentence(found.reason), *(sentence(text) for text in found.advice))
    return Verdict(found.words + reservation(hang), sentences, found.good, hangs=hang > 0)


def overstress(found: Headline | None) -> tuple[Block, ...]:
    """Return the same for an answer to another question: only where a part is overstressed.

    Parameters
    ----------
    found : Headline or None
        Of the start that the answer is about; None where there is none.
    """
    return (headline(found),) if found is not None and found.overstressed else ()


def start_answer(start: Startup, assumed: Sequence[Assumed] = (), edges: Sequence[Edge] = ()) -> Answer:
    """Return the page on one start: how it ends, why, how close that was, on what it hangs, figures, what switched.

    Parameters
    ----------
    start : Startup
        The start.
    assumed : sequence of Assumed
        What was assumed of its build; empty where that was not asked.
    edges : sequence of Edge
        Where the verdict changes, nearest first; empty where that was not asked.
    """
    table = assumed_block(assumed)
    blocks: list[Block] = [
        headline(start.headline, assumed),
        margins.closest(start),
        margins.edges(edges, start.verdict),
    ]
    measured = other_than_built(start.build)
    blocks += [block for block in (table, measured) if block is not None]
    return Answer(start.build.title, start.headline.good, (*blocks, *figures(start), _switchings(start)))


def figures(start: Startup) -> tuple[Facts, ...]:
    """Return the figures of a start in three blocks: when, currents and heat, voltages.

    Parameters
    ----------
    start : Startup
        The start.
    """
    return Facts(_times(start), "When"), Facts(_currents(start), "Current"), Facts(_voltages(start), "Voltage")


Row = tuple[str, Words]


def _times(start: Startup) -> tuple[Row, ...]:
    return (
        ("program runs at", Value(start.running_at, "s")),
        ("all pixels have data at", Value(start.ready_at, "s")),
        ("lit before the first data for", Value(start.figures.lit_before_data, "s")),
        ("brown-outs, adapter trips", f"{start.brown_outs}, {start.trips}"),
    )


def _currents(start: Startup) -> tuple[Row, ...]:
    f, lead, build = start.figures, start.conductors[0], start.build
    limit: tuple[Words, ...] = (" (limit ", Value(build.adapter.limit_current, "A", 0), ")")
    rows: list[Row] = [
        ("in the lead, peak", (*_at(f.peak_lead_current, "A", f.peak_lead_current_at), *limit)),
        ("in the lead, while lit (ammeter)", Value(start.lit_lead_current, "A")),
        ("in the lead, settled", Value(f.settled_lead_current, "A")),
        ("lead, charge", Value(lead.charge, "C")),
        ("lead, heat", Value(lead.energy, "J")),
        ("lead, I2t", Value(lead.i2t, "A2s")),
    ]
    if f.highest_junction_temperature is not None and build.switch is not None:
        hot, stands = f.highest_junction_temperature, build.switch.highest_junction
        rows.append(("switch, hottest junction", _against(Temperature(hot), Temperature(stands), hot > stands)))
    return tuple(rows)


def _voltages(start: Startup) -> tuple[Row, ...]:
    f, build = start.figures, start.build
    low, high = min(f.final_section_voltages), max(f.final_section_voltages)
    sections: Words = Value(low, "V")
    if len(f.final_section_voltages) > 1:
        sections = (Value(low, "V"), " to ", Value(high, "V"))
    lumps = start.steps.lumps
    pixels, controller = build.pixel.highest_supply, build.controller.highest_supply
    at_pixels, at_controller = f.highest_section_voltage, f.highest_reservoir_voltage
    return (
        ("bus, lowest out of reset", _at(f.lowest_bus_voltage, "V", f.lowest_bus_voltage_at)),
        ("bus, at the end", Value(f.final_bus_voltage, "V")),
        ("rail, lowest out of reset", _at(f.lowest_rail_voltage, "V", f.lowest_rail_voltage_at)),
        ("rail, at the end", Value(f.final_rail_voltage, "V")),
        ("sections, at the end", sections),
        (f"lowest lump, section {f.final_lowest_lump_section}", Value(f.final_lowest_lump_voltage, "V")),
        ("lumps of the panel", f"{len(lumps)}, {lumps.each} a section"),
        ("highest at the pixels", _against(Value(at_pixels, "V"), Value(pixels, "V", 0), at_pixels > pixels)),
        (
            "highest at the controller",
            _against(Value(at_controller, "V"), Value(controller, "V", 0), at_controller > controller),
        ),
    )


def _at(value: float | None, unit: str, instant: float | None) -> tuple[Words, ...]:
    """A value and its instant."""
    if value is None or instant is None:
        return (Value(value, unit),)
    return Value(value, unit), " at ", Value(instant, "s")


def _against(seen: Value | Temperature, limit: Value | Temperature, beyond: bool) -> Words:
    """A value against its absolute maximum, said in words where it is beyond it."""
    if beyond:
        return Beyond((seen, " (absolute maximum ", limit, ": too much)"))
    return (seen, " (absolute maximum ", limit, ")")


def _switchings(start: Startup) -> Table:
    loud = [each for each in start.switchings if each.kind not in QUIET]
    rows: list[tuple[Words, ...]] = [(Value(each.time, "s"), each.what) for each in loud[:MOST_SWITCHINGS]]
    if len(loud) > MOST_SWITCHINGS:
        rows.append(("...", f"and {len(loud) - MOST_SWITCHINGS} more (all of them with --json)"))
    return Table(("", ""), tuple(rows), "Switchings")
