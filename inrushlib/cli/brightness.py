"""``inrush brightness``: how bright the display may run, and the constants for its firmware."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import columns, quantity, rows, say, tell_unused, title, to_json
from inrushlib.cli.report import headline_lines
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.errors import UsageError
from inrushlib.safety import DEFERS
from inrushlib.search import (
    Beside,
    BrightnessCap,
    BrightnessCaps,
    Cap,
    FirmwareConstant,
    brightness_caps,
    delay_window,
    firmware_constants,
)
from inrushlib.search.brightness import FULL

WITHIN, NOT = 0, 1
DEFAULT_TABLE = "chassis wiring"
NAMES = ", ".join(f"'{name}'" for name in AMPACITY_TABLES)


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "brightness",
        description="The largest level, 0 to 255, of full white and of the build's picture that adapter and wires "
        "carry. Exit 0, 1 when the build does not start, overstresses a part, or not even a dark display is within the "
        "ratings, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument(
        "--ampacity", default=DEFAULT_TABLE, metavar="TABLE",
        help=f"handbook table for the wires: {NAMES}; default {DEFAULT_TABLE}",
    )  # fmt: skip
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the caps and the constants."""
    build = load_build(options.build)
    if options.ampacity not in AMPACITY_TABLES:
        raise UsageError(f"--ampacity {options.ampacity}; accepted: {NAMES}")
    caps = brightness_caps(build, options.ampacity)
    window = delay_window(build) if build.switch is not None else None
    constants = firmware_constants(build, caps, window)
    if options.json:
        flat = vars(caps) | {"start": caps.start.to_dict()}
        say(to_json({"title": build.title} | flat | {"firmware": constants}))
    else:
        say(page(build, caps, constants, options.build))
    tell_unused([build], as_json=options.json)
    return WITHIN if caps.start.good and caps.picture.continuous.level is not None else NOT


def page(build: Build, caps: BrightnessCaps, constants: tuple[FirmwareConstant, ...], path: Path) -> str:
    """Return the answer as a readable page; ``path`` is the build file's."""
    lines = [title(build.title), "", *_start_lines(caps, path)]
    for cap in (caps.white, caps.picture):
        lines.append(f"  {_name(caps, cap).upper()}: {_level(cap.continuous)} for a picture that stays. {_why(cap)}.")
    lines += ["", f"  This build's picture: {caps.running}.", "", "  To carry into the firmware:"]
    lines += [f"  {line}" for line in rows([(c.name, f"{c.value} {c.unit}, {c.meaning}") for c in constants])]
    lines += ["", "  Held against (80% of it for a load that lasts three hours or more, NEC 210.20(A) and 215.3):"]
    lines += [
        f"  {line}" for line in rows([(place.name, quantity(limit, "A")) for place, limit in caps.limits.items()])
    ]
    if caps.unchecked:
        lines.append(f"    not checked, since the gauge is not known: {', '.join(map(str, caps.unchecked))}")
    for cap in (caps.white, caps.picture):
        start = "" if cap.start is None else f" (start with it at {_level(cap.continuous)}: {cap.start.words})"
        lines += ["", f"  {cap.picture}, levels and currents{start}:", *_table(cap)]
    return "\n".join([*lines, "", f"  {DEFERS}"])


def _start_lines(caps: BrightnessCaps, path: Path) -> list[str]:
    """Return what has to be said first where the build does not start, or overstresses a part."""
    if caps.start.good:
        return []
    lines = headline_lines(caps.start)
    if not caps.start.verdict.starts:
        helps = f"`inrush remedies {path}` looks for what would help"
        lines.insert(0, f"  THIS BUILD DOES NOT START; {helps}.")
    return [*lines, "  What follows holds only once that is mended.", ""]


def _level(cap: Cap) -> str:
    return f"not even level 0 of {FULL}" if cap.level is None else f"level {cap.level} of {FULL}"


def _name(caps: BrightnessCaps, cap: BrightnessCap) -> str:
    return cap.picture if cap is caps.white else "this build's picture"


def _why(cap: BrightnessCap) -> str:
    if cap.continuous.limited_by is Beside.NOTHING:
        return "No cap is needed"
    full = "not even 0" if cap.rating.level is None else str(cap.rating.level)
    if cap.continuous.limited_by is Beside.START:
        return f"The start decides: with a brighter picture it ends worse; the ratings alone would allow {full}"
    return f"The {cap.continuous.limited_by} decides; it would be {full} at the full ratings"


def _table(cap: BrightnessCap) -> list[str]:
    head = ("level", "adapter", "of its rating", "largest feed", "largest hop", "worst pixel")
    cells = [
        (
            str(row.level), quantity(row.adapter_current, "A"), f"{row.share_of_rating:.0%}",
            quantity(row.largest_feed_current, "A"), quantity(row.largest_hop_current, "A"),
            quantity(row.lowest_voltage, "V"),
        )
        for row in cap.levels
    ]  # fmt: skip
    return [f"    {line}" for line in columns([head, *cells])]
