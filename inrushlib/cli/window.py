"""``inrush window``: how long to wait between closing the switch and the first frame."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import quantity, rows, save_picture, sentence, tell_share, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.sizing.gate_map import GateMap, gate_map
from inrushlib.sizing.rerun import Rerun, rerun
from inrushlib.sizing.window import DelayWindow, delay_window, with_delay
from inrushlib.startup import simulate

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "window",
        help="how long to wait between closing the switch and the first frame",
        description="Search the range of firmware.first_frame_delay that boots at the first try, with the build's "
        "switch and gate_delay. Exit 0 when there is one and it overstresses no part, 1 otherwise, "
        "2 when the file is not right or has no switch.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file with a switch")
    add_picture(
        p, "--gate-map", metavar="OUT.png",
        help="also map the window over gate resistance and gate-drain capacitance, and write the picture",
    )  # fmt: skip
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer."""
    build = load_build(options.build)
    window = delay_window(build)
    gates = None if options.gate_map is None else gate_map(build, progress=tell_share)
    start = None if window.recommended is None else _rerun(build, window.recommended)
    print(to_json(to_dict(window, gates, start)) if options.json else page(build, window, start))
    if gates is not None:
        _save(gates, options.gate_map)
    return FOUND if start is not None and not start.after.overstressed else NONE


def _rerun(build: Build, delay: float) -> Rerun:
    return rerun(simulate(build).headline, with_delay(build, delay))


def _save(gates: GateMap, path: Path) -> None:
    from inrushlib.plots.map import draw_gate_map

    save_picture(path, 10.0, 6.0, lambda figure: draw_gate_map(gates, figure.add_subplot()))


def to_dict(window: DelayWindow, gates: GateMap | None = None, start: Rerun | None = None) -> dict[str, Any]:
    """Return the answer, and the gate map where there is one, by the names of its JSON."""
    found = asdict(window)
    found["start"] = None if start is None else {"before": start.before.to_dict(), "after": start.after.to_dict()}
    if gates is not None:
        found["gate_map"] = {key: getattr(gates, key) for key in ("resistance", "capacitance", "earliest", "latest")}
    return found


def _edge(value: float | None, verdict: object, end: str) -> str:
    outside = f"outside: {verdict}" if verdict is not None else end
    return f"{quantity(value, 's')} ({outside})"


def page(build: Build, window: DelayWindow, start: Rerun | None = None) -> str:
    """Return the answer as a readable page."""
    lines = [build.title, "", *(overstress_lines(start.after) if start is not None else [])]
    if window.earliest is None:
        return "\n".join([*lines, f"  NO WINDOW: {sentence(window.reason)}"])
    lines += [f"  WAIT {quantity(window.recommended, 's')} from the start of the program to the first frame.", ""]
    margins = f"{quantity(window.margin_early, 's')} and {quantity(window.margin_late, 's')}"
    table = [
        ("earliest", _edge(window.earliest, window.too_early, "from the start of the program on")),
        ("latest", _edge(window.latest, window.too_late, "a later frame would not end within the run")),
        ("first frame is not lost from", quantity(window.first_frame_takes_from, "s")),
        ("margins to earliest and latest", margins),
        ("gate is pulled low at", quantity(build.firmware.gate_delay, "s")),
        ("lit before data, at that delay", quantity(window.flash, "s")),
    ]
    if start is not None:
        table.append(("start", start.words))
    if window.too_hot_from is not None:
        every = window.too_hot_from <= window.earliest
        table.append(("switch too hot", "at every delay" if every else f"from {quantity(window.too_hot_from, 's')} on"))
    lines += rows(table)
    if len(window.islands) > 1:
        lines += ["", "  It boots only within these delays; the widest was taken:"]
        lines += [f"    {quantity(i.low, 's')} to {quantity(i.high, 's')}" for i in window.islands]
    return "\n".join([*lines, "", f"  From {window.runs} starts of the model."])
