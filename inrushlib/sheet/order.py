"""The order of switching: what happens when, and what the program has to do, with its constants."""

from __future__ import annotations

from typing import Final

from inrushlib.answers.blocks import Code, Table, Value, Words
from inrushlib.search import DelayWindow
from inrushlib.sheet.facts import SheetFacts
from inrushlib.startup import Kind

SHOWN: Final = {
    Kind.RESET_RELEASE: "controller comes out of reset and boots",
    Kind.RUN: "program runs",
    Kind.GATE_LOW: "switch: gate is pulled low",
    Kind.BROWN_OUT: "controller browns out",
    Kind.TRIP: "adapter trips",
    Kind.FRAME_START: "first frame starts",
    Kind.FRAME_END: "first frame ends",
}


def timing_table(facts: SheetFacts) -> Table:
    """Return when what switches in the start of the build as it is.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    start = facts.start
    rows: list[tuple[Words, ...]] = [
        (Value(0.0, "s", 0), "mains on" if start.build.run.start == "mains" else "plug in")
    ]
    seen: set[Kind] = set()
    for each in start.switchings:
        if each.kind in SHOWN and each.kind not in seen:
            seen.add(each.kind)
            rows.append((Value(each.time, "s"), SHOWN[each.kind]))
    if start.ready_at is not None:
        rows.append((Value(start.ready_at, "s"), "all pixels have data"))
    delay = start.build.firmware.content_delay
    if delay is not None and start.running_at is not None:
        rows.append((("program runs + ", Value(delay, "s", 0)), "running picture"))
    return Table(("at", "what"), tuple(rows), "Order of switching, this build as it is")


def first_frame_delay(facts: SheetFacts) -> float:
    """Return how long the program waits before its first frame [s]: what the window recommends, else the build's.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    if isinstance(facts.window, DelayWindow):
        return facts.window.recommended
    return facts.build.firmware.first_frame_delay


def program(facts: SheetFacts) -> Code:
    """Return the same as steps for the program, in no language, with the constants.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    build, f = facts.build, facts.build.firmware
    lines: list[Words] = [] if build.switch is None else ["before the program, in reset too: gate pin off"]
    lines.append("t = 0 at the first line of the program")
    if build.switch is not None:
        lines.append(("at t = ", Value(f.gate_delay, "s", 0), ": gate on"))
    lines.append(("at t = ", Value(first_frame_delay(facts), "s"), f": send the first frame, {_colour(f.first_frame)}"))
    lines.append(
        (f"  to all {build.wiring.lanes} data lines; " if build.wiring.lanes > 1 else "  on the data line; ",
         "a frame takes ", Value(facts.frame_time, "s"))
    )  # fmt: skip
    if f.refresh_interval:
        until = "until the picture" if f.content_delay is not None else "on and on"
        lines.append(("every ", Value(f.refresh_interval, "s", 0), f": send it again, {until}"))
    else:
        lines.append("send it again now and then: a frame that was lost is made good")
    if f.content_delay is not None:
        lines.append(
            ("at t = ", Value(f.content_delay, "s", 0), f": the running picture, {_colour(f.content)} at most")
        )
    return Code(tuple(lines), "What the program does")


def _colour(duties: tuple[float, ...]) -> str:
    if not any(duties):
        return "all dark"
    return "mean duties " + ", ".join(f"{duty:g}" for duty in duties)
