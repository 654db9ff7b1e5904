"""``inrush window``: how long to wait between closing the switch and the first frame."""

from __future__ import annotations

import argparse
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import quantity, rows, save_picture, say, sentence, tell_share, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.search import (
    DelayWindow,
    GateMap,
    Island,
    NoWindow,
    Rerun,
    delay_window,
    gate_map,
    is_open,
    rerun,
    with_delay,
)
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
    start = None if isinstance(window, NoWindow) else _rerun(build, window.recommended)
    say(to_json(to_dict(window, gates, start)) if options.json else page(build, window, start))
    tell_unused([build], as_json=options.json)
    if gates is not None:
        _save(gates, options.gate_map)
    return FOUND if start is not None and not start.after.overstressed else NONE


def _rerun(build: Build, delay: float) -> Rerun:
    return rerun(simulate(build).headline, with_delay(build, delay))


def _save(gates: GateMap, path: Path) -> None:
    from inrushlib.plots import draw_gate_map

    save_picture(path, 10.0, 6.0, lambda figure: draw_gate_map(gates, figure.add_subplot()))


def to_dict(window: DelayWindow | NoWindow, gates: GateMap | None = None, start: Rerun | None = None) -> dict[str, Any]:
    """Return the answer, and the gate map where there is one, by the names of its JSON."""
    found: dict[str, Any] = {field.name: None for field in fields(DelayWindow)} | {"why": None, "reason": ""}
    if isinstance(window, NoWindow):
        found |= {"why": window.why, "reason": window.reason, "scanned_to": window.scanned_to, "runs": window.runs}
        found["islands"] = []
    else:
        found |= asdict(window)
    found["start"] = None if start is None else {"before": start.before.to_dict(), "after": start.after.to_dict()}
    if gates is not None:
        found["gate_map"] = {key: getattr(gates, key) for key in ("resistance", "capacitance", "earliest", "latest")}
    return found


def _late(window: DelayWindow) -> str:
    if window.latest is None:
        return "no upper edge: however late the first frame, it boots"
    return f"{quantity(window.latest, 's')} (outside: {window.too_late})"


def _early(window: DelayWindow) -> str:
    outside = f"outside: {window.too_early}" if window.too_early is not None else "from the start of the program on"
    return f"{quantity(window.earliest, 's')} ({outside})"


def _margins(window: DelayWindow) -> list[tuple[str, str]]:
    early = ("from the earliest to that delay", quantity(window.margin_early, "s"))
    if window.margin_late is None:
        return [early]
    hot = window.too_hot_from is not None and window.too_hot_from > window.earliest
    return [early, (f"from that delay to {'too hot' if hot else 'the latest'}", quantity(window.margin_late, "s"))]


def _spare(window: DelayWindow) -> list[tuple[str, str]]:
    """Return what the recommended delay leaves to spare."""
    spare = window.spare
    table = [
        ("rail above its reset level", quantity(spare.rail, "V")),
        ("pixels above their listen level", f"{quantity(spare.listening, 'V')} while the frame comes"),
    ]
    if spare.heat is not None:
        table.append(("switch below what it stands", f"{spare.heat:.0f} K"))
    return table


def _flat(window: DelayWindow) -> str:
    """Return why it is this delay, in one sentence."""
    low, high = window.flat
    if high is None:
        return f"From {quantity(low, 's')} on all leave as much to spare; a later one keeps the display lit for longer."
    return f"From {quantity(low, 's')} to {quantity(high, 's')} the most is to spare."


def page(build: Build, window: DelayWindow | NoWindow, start: Rerun | None = None) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), "", *(overstress_lines(start.after) if start is not None else [])]
    if isinstance(window, NoWindow):
        return "\n".join([*lines, f"  NO WINDOW: {sentence(window.reason)}"])
    lines += [f"  WAIT {quantity(window.recommended, 's')} from the start of the program to the first frame."]
    lines += [f"  {_flat(window)}", ""]
    table = [
        ("earliest", _early(window)),
        ("latest", _late(window)),
        ("first frame is not lost from", quantity(window.first_frame_takes_from, "s")),
        *_margins(window),
        ("gate is pulled low at", quantity(build.firmware.gate_delay, "s")),
        ("lit before data, at that delay", quantity(window.flash, "s")),
    ]
    if start is not None:
        table.append(("start", start.words))
    if window.too_hot_from is not None:
        every = window.too_hot_from <= window.earliest
        table.append(("switch too hot", "at every delay" if every else f"from {quantity(window.too_hot_from, 's')} on"))
    lines += [*rows(table), "", "  To spare, at that delay:", *(f"  {row}" for row in rows(_spare(window)))]
    if window.ready_at > build.run.duration:
        lines += ["", f"  The build's run of {quantity(build.run.duration, 's')} ends before that can be seen: with "
                  f"this delay the display is ready at {quantity(window.ready_at, 's')}."]  # fmt: skip
    if len(window.islands) > 1:
        lines += ["", "  It boots only within these delays; the widest was taken:"]
        lines += [f"    {quantity(i.low, 's')} {_until(i)}" for i in window.islands]
    return "\n".join([*lines, "", f"  From {window.runs} starts of the model."])


def _until(island: Island) -> str:
    return "on" if is_open(island) else f"to {quantity(island.high, 's')}"
