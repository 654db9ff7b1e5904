"""``inrush window``: how long to wait between closing the switch and the first frame."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.output import quantity, rows, save_picture, say, sentence, tell_share, title, to_json
from inrushlib.sizing.gate_map import GateMap, gate_map
from inrushlib.sizing.window import DelayWindow, delay_window

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "window",
        help="how long to wait between closing the switch and the first frame",
        description="Search the range of firmware.first_frame_delay that boots at the first try, with the build's "
        "switch and gate_delay. Exit 0 when there is one, 1 when there is none, 2 when the file is not right or has "
        "no switch.",
    )
    p.add_argument("build", type=Path, metavar="BUILD.toml", help="a build file with a switch")
    p.add_argument(
        "--gate-map", type=Path, metavar="OUT.png",
        help="also map the window over gate resistance and gate-drain capacitance, and write the picture",
    )  # fmt: skip
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer."""
    build = load_build(options.build)
    window = delay_window(build)
    gates = None if options.gate_map is None else _map(build, options.gate_map)
    say(to_json(to_dict(window, gates)) if options.json else page(build, window))
    return NONE if window.earliest is None else FOUND


def _map(build: Build, path: Path) -> GateMap:
    from inrushlib.plots.map import draw_gate_map

    found = gate_map(build, progress=tell_share)
    save_picture(path, 10.0, 6.0, lambda figure: draw_gate_map(found, figure.add_subplot()))
    return found


def to_dict(window: DelayWindow, gates: GateMap | None = None) -> dict[str, Any]:
    """Return the answer, and the gate map where there is one, by the names of its JSON."""
    found = asdict(window)
    if gates is not None:
        found["gate_map"] = {key: getattr(gates, key) for key in ("resistance", "capacitance", "earliest", "latest")}
    return found


def _edge(value: float | None, verdict: object, end: str) -> str:
    outside = f"outside: {verdict}" if verdict is not None else end
    return f"{quantity(value, 's')} ({outside})"


def page(build: Build, window: DelayWindow) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), ""]
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
    if window.too_hot_from is not None:
        every = window.too_hot_from <= window.earliest
        table.append(("switch too hot", "at every delay" if every else f"from {quantity(window.too_hot_from, 's')} on"))
    lines += rows(table)
    if len(window.islands) > 1:
        lines += ["", "  It boots only within these delays; the widest was taken:"]
        lines += [f"    {quantity(i.low, 's')} to {quantity(i.high, 's')}" for i in window.islands]
    return "\n".join([*lines, "", f"  From {window.runs} starts of the model."])
