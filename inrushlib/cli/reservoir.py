"""``inrush reservoir``: the smallest capacitor behind a diode that carries the controller through."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import quantity, rows, say, sentence, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.search import ReservoirSize, smallest_reservoir

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "reservoir",
        help="the smallest capacitor behind a diode that carries the controller through, by the model and by hand",
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
    say(to_json(size) if options.json else page(build, size))
    tell_unused([build], as_json=options.json)
    return FOUND if size.found else NONE


def page(build: Build, size: ReservoirSize) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), "", *(overstress_lines(size.start.after) if size.start is not None else [])]
    if size.next_value is None:
        lines.append(f"  NO RESERVOIR: {sentence(size.reason)}")
    elif size.needed:
        least = quantity(size.least_of_next, "F")
        lines.append(
            f"  {_take(size)} {quantity(size.next_value, 'F')} behind a diode: holds with 20% less too ({least})."
        )
    else:
        lines.append(f"  A DIODE ALONE DOES IT: {quantity(size.smallest, 'F')} is the least that was tried.")
        lines.append(f"  {quantity(size.next_value, 'F')} is the smallest E6 value that allows for its tolerance.")
    if size.smallest is None:
        return "\n".join(lines)
    table = [
        ("smallest that boots at the first try", quantity(size.smallest, "F")),
        ("with the standard value: lowest rail voltage after reset", quantity(size.lowest_rail_voltage, "V")),
        ("with the standard value: highest reservoir voltage", quantity(size.highest_reservoir_voltage, "V")),
        ("with the standard value: largest current through the diode", quantity(size.peak_feed_current, "A")),
    ]
    if size.start is not None:
        table.append(("start", size.start.words))
    lines += ["", *rows(table)]
    if len(size.islands) > 1:
        lines += ["", "  It boots only within these values:"]
        lines += [f"    {quantity(i.low, 'F')} to {quantity(i.high, 'F')}" for i in size.islands]
    return "\n".join([*lines, "", *_by_hand(size), "", f"  From {size.runs} starts of the model."])


def _take(size: ReservoirSize) -> str:
    return "TAKE" if size.found else "IT WOULD TAKE"


def _by_hand(size: ReservoirSize) -> list[str]:
    hand = size.by_hand
    if hand is None:
        return ["  By hand: nothing, since the reservoir does not dip after the release from reset."]
    formula = f"{quantity(hand.current, 'A')} * {quantity(hand.time, 's')} / {quantity(hand.voltage_drop, 'V')}"
    return [
        f"  By hand: C = I t / dV = {formula} = {quantity(hand.capacitance, 'F')}",
        "  It leaves out the rail's own capacitor, what the diode still passes and how the reservoir charges.",
    ]
