"""What to measure on the bench: before the first power-on, and then, each with what to do if it is off."""

from __future__ import annotations

from inrushlib.answers.blocks import Table, Value, Words
from inrushlib.sheet.facts import SheetFacts
from inrushlib.startup import Verdict

HEADS = ("measure", "expect", "if it is off")
Row = tuple[Words, ...]


def before_power(facts: SheetFacts) -> Table:
    """Return what to measure before the first power-on.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    build = facts.build
    a, lead, feeds = build.adapter, build.lead, build.wiring.feed_resistance
    rows: list[Row] = [
        ("adapter alone, no load: voltage and polarity at the plug",
         (Value(a.rated_voltage, "V", 0), "; never above ", Value(build.pixel.highest_supply, "V", 0)),
         "do not connect it"),
        ("ohms from + to − of the bus, adapter unplugged", "rises as the capacitors charge, and stays up",
         "a short or a part turned round: find it"),
        ("lead and plug as the build has them, loop, four-wire", Value(lead.resistance, "ohm", 0),
         "higher: plug or joint; put the reading into the build"),
        ("feed as the build has it, loop, four-wire", _between(min(feeds), max(feeds), "ohm"), "joint, ferrule, gauge"),
        ("arrows on the pixels, along the chain", "data goes in at the first of each line", "turn the section round"),
    ]  # fmt: skip
    switch = build.switch
    if switch is not None and switch.kind != "load-switch":
        rows.append(
            ("ohms from gate to bus, controller out", Value(switch.pullup_resistance, "ohm", 0),
             "without it the switch may close by itself")
        )  # fmt: skip
    return Table(HEADS, tuple(rows), "Measure before the first power-on, everything unplugged")


def at_power(facts: SheetFacts) -> Table:
    """Return what to measure from the first power-on, a step after the other.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    start, build = facts.start, facts.build
    figures = start.figures
    own, switch = build.controller.feed == "own", build.switch
    rows: list[Row] = [
        ("feeds out, controller alone: its rail", Value(facts.highest_rail, "V"),
         "its supply" if own else "regulator, diode, wiring of its feed"),
        ("the same: its current, program running", Value(build.controller.run_current, "A", 0),
         "higher: radio, peripherals; put it into the build"),
    ]  # fmt: skip
    if facts.stress is not None:
        off = facts.stress.plugged
        load_switch = switch is not None and switch.kind == "load-switch"
        turned = "its enable pin" if load_switch else "R1, the gate's driver, or the switch turned round"
        rows.append(
            ("feeds in, switch off: voltage at the display", ("no more than ", Value(off.highest_panel_voltage, "V")),
             turned)
        )  # fmt: skip
    rows += _whole(facts)
    rows.append(
        ("bus at the end of the start", Value(figures.final_bus_voltage, "V"), "lower: lead, plug or adapter; unplug")
    )
    low, high = min(figures.final_section_voltages), max(figures.final_section_voltages)
    rows.append(("sections then", _between(low, high, "V"), "a feed or jumper is open or thin"))
    if start.verdict.starts:
        rows.append(("lead then, mean on a clamp meter", Value(figures.settled_lead_current, "A"),
                 "higher: brighter picture or other pixels; compare with the label"))  # fmt: skip
    return Table(HEADS, tuple(rows), "Then, with a hand on the plug")


def _whole(facts: SheetFacts) -> list[Row]:
    start = facts.start
    if start.verdict is Verdict.BOOTS:
        lowest, at = start.figures.lowest_bus_voltage, start.figures.lowest_bus_voltage_at
        rows: list[Row] = [("all in: display has its first frame", ("after ", Value(start.ready_at, "s")),
                            "stays lit: unplug, scope the bus")]  # fmt: skip
        if lowest is not None:
            rows.append(("scope on the bus: lowest, controller out of reset",
                         (Value(lowest, "V"), " at ", Value(at, "s")),
                         "lower: unplug; fit the capture (inrush compare)"))  # fmt: skip
        return rows
    lit = start.lit_lead_current
    return [("all in", f"as it is: {start.verdict.words}", "change it first: see the verdict and the adapter"),
            *([] if lit is None else [("lead while it is lit, on a clamp meter", Value(lit, "A"),
               "unplug after a few seconds")])]  # fmt: skip


def _between(low: float, high: float, unit: str) -> Words:
    if high - low <= 1e-9 * high:
        return Value(low, unit)
    return (Value(low, unit), " to ", Value(high, unit))
