"""The parts to have on the bench, each with the ratings to buy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from inrushlib.answers.blocks import Table, Value, Words
from inrushlib.safety import FuseOutcome
from inrushlib.search import WireList
from inrushlib.sheet.facts import SheetFacts

CAPACITOR_VOLTAGES: Final = (6.3, 10.0, 16.0, 25.0, 35.0, 50.0)
"""Rated voltages of electrolytics [V]: IEC 60063 series as commonly sold; from memory."""
DERATING: Final = 1.5
"""Rated voltage over the highest that is seen [1]; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One line of the parts list.

    Attributes
    ----------
    what : str
        The part, by the name that the drawing has.
    count : int
        How many [1].
    words : Words
        What to buy.
    ratings : dict of str to float or None
        The numbers in these words [SI], by name.
    """

    what: str
    count: int
    words: Words
    ratings: dict[str, float | None] = field(default_factory=dict)


def parts_list(facts: SheetFacts) -> tuple[PartLine, ...]:
    """Return the parts with the ratings to buy.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    return tuple([*_supply(facts), *_capacitors(facts), *_switch(facts), *_controller(facts), *_display(facts)])


def parts_table(facts: SheetFacts) -> Table:
    """Return the same as a table.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    rows = tuple((each.what, f"{each.count}", each.words) for each in parts_list(facts))
    return Table(("part", "how many", "what to buy"), rows, "Parts", (1,))


def _line(what: str, count: int, words: Words, **ratings: float | None) -> PartLine:
    return PartLine(what=what, count=count, words=words, ratings=ratings)


def _supply(facts: SheetFacts) -> Iterator[PartLine]:
    a, rating = facts.build.adapter, facts.rating
    volts, amperes = a.rated_voltage, rating
    yield _line(
        "adapter", 1, (Value(volts, "V", 0), ", ", Value(amperes, "A", 0), f", {a.limit_style} limit, safety-approved"),
        rated_voltage=volts, rated_current=amperes,
    )  # fmt: skip
    if isinstance(facts.wires, WireList):
        plug = facts.wires.runs[0]
        kind = plug.wanted_connector or "none of the classes does: bolt or solder it"
        stands = plug.wire.stands
        yield _line("plug", 1, (f"{kind}, for ", Value(stands, "A"), " or more"), stands=stands)
        fuses = Counter(
            run.fuse.rating for run in facts.wires.runs if run.fuse is not None and run.fuse.outcome is FuseOutcome.FITS
        )
        for fuse, count in sorted(fuses.items(), key=lambda each: each[0] or 0.0):
            yield _line("fuse", count, (Value(fuse, "A", 0), ", at the head of its wire, with holder"), rating=fuse)
    limiter = facts.build.limiter
    if limiter is not None:
        cold = limiter.cold_resistance
        yield _line("NTC", 1, (Value(cold, "ohm", 0), " cold, for ", Value(facts.running_current, "A"), " lasting"),
                    cold=cold, running=facts.running_current)  # fmt: skip


def capacitor_rating(volts: float) -> float | None:
    """Rated voltage to buy for a capacitor [V]: the next at half more than it sees; None above the ladder.

    Parameters
    ----------
    volts : float
        The highest that it sees [V], 0 or more.

    Examples
    --------
    >>> capacitor_rating(5.1), capacitor_rating(6.9)
    (10.0, 16.0)
    """
    return next((rating for rating in CAPACITOR_VOLTAGES if rating >= DERATING * volts), None)


def _capacitor(what: str, farads: float, volts: float) -> PartLine:
    rated = capacitor_rating(volts)
    words: tuple[Words, ...] = (Value(farads, "F", 0), ", rated ", Value(rated, "V", 0), " or more, + to +")
    if rated is None:
        words = (Value(farads, "F", 0), ", rated for half more than ", Value(volts, "V"))
    return _line(what, 1, words, capacitance=farads, rated=rated)


def _capacitors(facts: SheetFacts) -> Iterator[PartLine]:
    build, figures = facts.build, facts.start.figures
    if build.bus.bulk:
        yield _capacitor("bulk", build.bus.bulk, figures.highest_bus_voltage)
    if build.panel.bulk:
        yield _capacitor("bulk at the display", build.panel.bulk, figures.highest_panel_voltage)
    c = build.controller
    if c.feed_diode:
        yield _capacitor("reservoir", c.reservoir, figures.highest_reservoir_voltage)
        yield _line("diode", 1, ("Schottky, at most ", Value(c.diode_drop, "V", 0), " at ",
                                 Value(c.run_current, "A", 0)), drop=c.diode_drop, current=c.run_current)  # fmt: skip


def _switch(facts: SheetFacts) -> Iterator[PartLine]:
    s, figures = facts.build.switch, facts.start.figures
    if s is None:
        return
    peak, on, drive = figures.peak_lead_current, s.on_resistance, s.on_resistance_drive
    if s.kind == "load-switch":
        yield _line("switch", 1, ("load switch, ", Value(on, "ohm", 0), ", limit ", Value(s.current_limit, "A", 0)),
                    on=on, limit=s.current_limit)  # fmt: skip
        return
    yield _line(
        "switch", 1,
        ("P-channel MOSFET, ", Value(on, "ohm", 0), " or less at ", Value(drive, "V", 0), " drive, pulses of ",
         Value(peak, "A")), on=on, drive=drive, peak=peak,
    )  # fmt: skip
    yield _line("R1", 1, (Value(s.pullup_resistance, "ohm", 0), ", bus to gate"), resistance=s.pullup_resistance)
    yield _line("R2", 1, (Value(s.gate_resistance, "ohm", 0), ", gate to its driver"), resistance=s.gate_resistance)
    if s.gate_drain_capacitance:
        c1 = s.gate_drain_capacitance
        yield _line("C1", 1, ("gate to display: ", Value(c1, "F", 0), " in all, less what the MOSFET has"), total=c1)
    if s.gate_driver == "transistor":
        yield _line("Q1", 1, "small N-channel MOSFET, on with the controller's pin; gate to return: a pull-down")


def _controller(facts: SheetFacts) -> Iterator[PartLine]:
    c = facts.build.controller
    words = ("with a rail of ", Value(c.rail_voltage, "V", 0), ", draws ", Value(c.run_current, "A", 0), " running")
    yield _line("controller", 1, words, rail=c.rail_voltage, run=c.run_current)


def _display(facts: SheetFacts) -> Iterator[PartLine]:
    p, pixels = facts.build.pixel, facts.build.wiring.pixels_per_section
    words = (Value(p.channel_current, "A", 0), " a channel, at most ", Value(p.highest_supply, "V", 0))
    yield _line("pixels", sum(pixels), words, channel=p.channel_current, highest=p.highest_supply)
