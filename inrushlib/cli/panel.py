"""``inrush panel``: the display in steady state, and what can get hot."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inrushlib.answers.blocks import Answer, Note
from inrushlib.answers.findings import safety_blocks
from inrushlib.answers.panel import feeding_blocks, state_blocks
from inrushlib.answers.start import overstress
from inrushlib.answers.terminal import render
from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.lengths import missing_lengths, option_of
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import save_picture, say, tell_unused, to_json
from inrushlib.cli.typed import duties_of, parse_colour
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.panel import PanelState, solve_panel
from inrushlib.safety import FUSE_FAMILIES, Finding, Hardware, Severity, safety_findings, watched_start
from inrushlib.search import best_feeding, compare_feeds
from inrushlib.startup import Startup
from inrushlib.text import for_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

NONE, DANGERS = 0, 1
CHAIN_HEIGHT = 2.6  # [in] of the current along the chain


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "panel",
        description="Solve the panel at pixel resolution with every pixel in one colour, and list what can get hot. "
        "Exit 0, 1 on a danger or where the start overstresses a part, 2 when the file or the colour is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument("--colour", default="1,1,1", metavar="R,G,B", help="duty of red, green, blue, 0 to 1; default white")
    p.add_argument("--feeds", action="store_true", help="also compare where to feed")
    add_picture(p, "--plot", metavar="OUT.png", help="write the panel's voltages and brightness as a picture")
    p.add_argument(
        "--ampacity", default="chassis wiring", metavar="TABLE", choices=list(AMPACITY_TABLES),
        help=f"handbook table for the wires: {', '.join(AMPACITY_TABLES)}; default chassis wiring",
    )  # fmt: skip
    p.add_argument("--air", type=float, default=25.0, metavar="CELSIUS", help="around the wires; default 25")
    p.add_argument(
        "--fuses", choices=list(FUSE_FAMILIES), help="family of fuses; default the first that has one that fits"
    )
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the panel's state and the findings for the ``options`` of the command line."""
    build = load_build(options.build)
    colour = parse_colour(options.colour)
    state = solve_panel(build, colour)
    given = Hardware(table=options.ampacity, fuse_family=options.fuses, ambient=options.air)
    startup = watched_start(build)
    findings = safety_findings(build, state, startup, given)
    if startup is None:
        left_out = "The start of this build cannot be computed; what its pulse does to wires and fuses is left out."
        say(left_out, to_stderr=True)
    if options.json:
        flat = {"title": build.title, "colour": list(colour)} | state.figures()
        flat["start"] = None if startup is None else startup.headline.to_dict()
        flat["findings"] = findings
        if options.feeds:
            flat["feeds"] = compare_feeds(build, colour)
        say(to_json(flat))
    else:
        say(render(_answer(build, colour, state, startup, findings, options.feeds)))
    tell_unused([build], as_json=options.json)
    lengths = tuple(map(option_of, missing_lengths(build)))
    tell_next(NextStep.WIRES, options.build, *lengths, as_json=options.json)
    if options.plot is not None:
        _save(build, colour, state, options.plot)
    stressed = startup is not None and startup.overstressed
    return DANGERS if stressed or any(f.severity is Severity.DANGER for f in findings) else NONE


def _answer(
    build: Build,
    colour: tuple[float, float, float],
    state: PanelState,
    startup: Startup | None,
    findings: tuple[Finding, ...],
    feeds: bool,
) -> Answer:
    blocks = [*overstress(None if startup is None else startup.headline), Note(f"Every pixel at {duties_of(colour)}.")]
    blocks += [*state_blocks(build, state), *safety_blocks(findings, fine=False)]
    if feeds:
        ways = compare_feeds(build, colour)
        best = best_feeding(ways)
        blocks += feeding_blocks(ways, best, best is ways[0])
    return Answer(build.title, True, tuple(blocks))


def _save(build: Build, colour: tuple[float, float, float], state: PanelState, path: Path) -> None:
    from inrushlib.panel import Arrangement
    from inrushlib.plots import draw_brightness, draw_chain_current, draw_voltage

    arrangement = Arrangement.of_build(build)
    arrangement.places(build.wiring.pixels_per_section)
    rows, columns = arrangement.shape
    height = min(max(10.0 * rows / columns + 1.3, 1.9), 7.0)

    def draw(figure: Figure) -> None:
        upper, middle, lower = figure.subplots(3, 1, height_ratios=[height, height, CHAIN_HEIGHT])
        draw_voltage(state, upper, arrangement)
        draw_brightness(state, middle, arrangement)
        draw_chain_current(state, lower)
        words = f"{for_picture(build.title)}; every pixel at {duties_of(colour)}"
        figure.suptitle(words, fontsize=11, x=0.02, ha="left")

    save_picture(path, 10.0, 2 * height + CHAIN_HEIGHT, draw)
