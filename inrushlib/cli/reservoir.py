"""``inrush reservoir``: the smallest capacitor behind a diode that carries the controller through."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import quantity, rows, say, sentence, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.search import NoReservoir, ReservoirSize, StandardValue, smallest_reservoir

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "reservoir",
        description="Search the smallest controller.reservoir behind a diode that boots at the first try, and the next "
        "E6 value up with its tolerance of 20 % counted. Exit 0 when a value does it and "
        "overstresses no part, 1 when none does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer."""
    build = load_build(options.build)
    size = smallest_reservoir(build)
    say(to_json(size.to_dict()) if options.json else page(build, size))
    tell_unused([build], as_json=options.json)
    return FOUND if isinstance(size, ReservoirSize) and _is_good(size.standard) else NONE


def _is_good(standard: StandardValue | NoReservoir) -> bool:
    return isinstance(standard, StandardValue) and standard.good


def page(build: Build, size: ReservoirSize | NoReservoir) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), ""]
    if isinstance(size, NoReservoir):
        return "\n".join([*lines, f"  NO RESERVOIR: {sentence(size.reason)}"])
    table = [("smallest that boots at the first try", quantity(size.smallest, "F"))]
    if isinstance(size.standard, NoReservoir):
        lines.append(f"  NO RESERVOIR: {sentence(size.standard.reason)}")
    else:
        lines += [*overstress_lines(size.standard.start.after), *_standard_lines(size, size.standard)]
        table += _standard_rows(size.standard)
    lines += ["", *rows(table)]
    if len(size.islands) > 1:
        lines += ["", "  It boots only within these values:"]
        lines += [f"    {quantity(i.low, 'F')} to {quantity(i.high, 'F')}" for i in size.islands]
    return "\n".join([*lines, "", *_by_hand(size), "", f"  From {size.runs} starts of the model."])


def _standard_lines(size: ReservoirSize, standard: StandardValue) -> list[str]:
    value, least = quantity(standard.value, "F"), quantity(standard.least, "F")
    if size.needed:
        take = "TAKE" if standard.good else "IT WOULD TAKE"
        return [f"  {take} {value} behind a diode: holds with 20% less too ({least})."]
    return [
        f"  A DIODE ALONE DOES IT: {quantity(size.smallest, 'F')} is the least that was tried.",
        f"  {value} is the smallest E6 value that allows for its tolerance.",
    ]


def _standard_rows(standard: StandardValue) -> list[tuple[str, str]]:
    return [
        ("with the standard value: lowest rail voltage after reset", quantity(standard.lowest_rail_voltage, "V")),
        ("with the standard value: highest reservoir voltage", quantity(standard.highest_reservoir_voltage, "V")),
        ("with the standard value: largest current through the diode", quantity(standard.peak_feed_current, "A")),
        ("start", standard.start.words),
    ]


def _by_hand(size: ReservoirSize) -> list[str]:
    hand = size.by_hand
    if hand is None:
        return ["  By hand: nothing, since the reservoir does not dip after the release from reset."]
    formula = f"{quantity(hand.current, 'A')} * {quantity(hand.time, 's')} / {quantity(hand.voltage_drop, 'V')}"
    return [
        f"  By hand: C = I t / dV = {formula} = {quantity(hand.capacitance, 'F')}",
        "  It leaves out the rail's own capacitor, what the diode still passes and how the reservoir charges.",
    ]
