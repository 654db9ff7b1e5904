"""``inrush window``: how long to wait between closing the switch and the first frame."""

from __future__ import annotations

import argparse
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from inrushlib.answers.by_odds import recommended
from inrushlib.answers.delay import delay_answer
from inrushlib.build import Build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.by_odds import add_odds, asked, odds_dict
from inrushlib.cli.measured import load_with_log
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import print_answer, save_picture, tell_share
from inrushlib.odds import decide, delays_to_try
from inrushlib.search import DelayWindow, GateMap, NoWindow, Rerun, delay_window, gate_map, rerun, with_delay
from inrushlib.startup import simulate

FOUND, NONE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "window",
        description="Search the range of firmware.first_frame_delay that boots at the first try, with the build's "
        "switch and gate_delay, and the delay that boots in most of the runs over the ranges of all values; that one "
        "is recommended. Exit 0 when there is one and it overstresses no part, 1 otherwise, "
        "2 when the file is not right or has no switch.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file with a switch")
    add_picture(
        p, "--gate-map", metavar="OUT.png",
        help="also map the window over gate resistance and gate-drain capacitance, and write the picture",
    )  # fmt: skip
    add_odds(p, share=False)
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the answer for the ``options`` of the command line."""
    with_odds = asked(options)
    build = load_with_log(options.build)
    window = delay_window(build)
    gates = None if options.gate_map is None else gate_map(build, progress=tell_share)
    start = None if isinstance(window, NoWindow) else _rerun(build, window.recommended)
    decision, taken = None, None
    if isinstance(window, DelayWindow):
        decision = decide(delays_to_try(build, window), None) if with_odds else None
        taken = recommended(decision, window.recommended)
    answer = delay_answer(build, window, start, decision)
    print_answer(answer, to_dict(window, gates, start) | odds_dict(decision, taken), build, as_json=options.json)
    if not answer.good:
        tell_next(NextStep.REMEDIES, options.build, as_json=options.json)
    if gates is not None:
        _save(gates, options.gate_map)
    return FOUND if answer.good else NONE


def _rerun(build: Build, delay: float) -> Rerun:
    return rerun(simulate(build).headline, with_delay(build, delay))


def _save(gates: GateMap, path: Path) -> None:
    from inrushlib.plots import draw_gate_map

    save_picture(path, 10.0, 6.0, lambda figure: draw_gate_map(gates, figure.add_subplot()))


def to_dict(window: DelayWindow | NoWindow, gates: GateMap | None = None, start: Rerun | None = None) -> dict[str, Any]:
    """Return the answer, and the gate map where there is one, by the names of its JSON.

    Parameters
    ----------
    window : DelayWindow or NoWindow
        The window, or why there is none.
    gates : GateMap or None
        The window over the gate's parts; None where it was not asked for.
    start : Rerun or None
        The start with the recommended delay; None where there is none.
    """
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
