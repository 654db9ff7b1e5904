"""``inrush panel``: the display in steady state, and what can get hot."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import columns, quantity, rows, save_picture, say, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.errors import UsageError
from inrushlib.panel import PanelState, solve_panel
from inrushlib.parts.place import PlaceKind
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import DEFERS, Finding, Severity, grouped
from inrushlib.safety.fuse import FUSE_FAMILIES
from inrushlib.safety.hardware import Hardware
from inrushlib.safety.pulse import watched_start
from inrushlib.search.feeds import Feeding, best_feeding, compare_feeds
from inrushlib.text import for_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

NONE, DANGERS = 0, 1
CHAIN_HEIGHT = 2.6  # [in] of the current along the chain


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "panel",
        help="the display in steady state: every pixel's voltage, every wire's current, what can get hot",
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


def parse_colour(text: str) -> tuple[float, float, float]:
    """Return three duties.

    Examples
    --------
    >>> parse_colour("1, 0.5, 0")
    (1.0, 0.5, 0.0)
    """
    try:
        red, green, blue = (float(part) for part in text.split(","))
    except ValueError:
        raise UsageError(f"--colour {text}; accepted: three duties 0 to 1, such as 1,1,1") from None
    if not all(0.0 <= duty <= 1.0 for duty in (red, green, blue)):
        raise UsageError(f"--colour {text}; accepted: three duties 0 to 1, such as 1,1,1")
    return red, green, blue


def run(options: argparse.Namespace) -> int:
    """Print the panel's state and the findings."""
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
        if startup is not None and startup.overstressed:
            say("\n".join([title(build.title), *overstress_lines(startup.headline)]))
        say(page(build, colour, state, findings))
        if options.feeds:
            say("\n".join(["", "  Where to feed, by the worst pixel:", *feed_lines(build, colour)]))
    tell_unused([build], as_json=options.json)
    if options.plot is not None:
        _save(build, colour, state, options.plot)
    stressed = startup is not None and startup.overstressed
    return DANGERS if stressed or any(f.severity is Severity.DANGER for f in findings) else NONE


def duties_of(colour: tuple[float, float, float]) -> str:
    """Return the duties as they are typed."""
    return ", ".join(f"{duty:g}" for duty in colour)


def _save(build: Build, colour: tuple[float, float, float], state: PanelState, path: Path) -> None:
    from inrushlib.panel.arrangement import Arrangement
    from inrushlib.plots.panel import draw_brightness, draw_chain_current, draw_voltage

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


def feed_lines(build: Build, colour: tuple[float, float, float]) -> list[str]:
    """Return the table of feed arrangements, each with its start, and which to take."""
    ways = compare_feeds(build, colour)
    table = [("", "worst pixel", "start")]
    for way in ways:
        worst = f"{quantity(way.lowest_voltage, 'V')}, {way.lowest_brightness:.0%} as bright as the best"
        table.append((f"{way.name} ({_places(way)})", worst, _start(way, ways[0])))
    lines = [f"    {line}" for line in columns(table)]
    best = best_feeding(ways)
    if best is ways[0]:
        return [*lines, "    Leave the feeds as they are: none of these is better without starting worse."]
    started = (
        "" if best.start is None else f" (start as it is: {best.start.before.title}; fed so: {best.start.after.title})"
    )
    return [*lines, f"    Feed {_places(best)}{started}."]


def _places(way: Feeding) -> str:
    return ("section " if len(way.feeds) == 1 else "sections ") + ", ".join(str(k) for k in way.feeds)


def _start(way: Feeding, own: Feeding) -> str:
    """How it starts when fed so; what starts worse than as built is marked."""
    if way.start is None:
        return "cannot be computed"
    return way.start.after.title + (" (worse: not recommended)" if way is not own and way.worsens else "")


def _given(state: PanelState) -> float:
    return state.adapter_voltage * state.adapter_current


def _lost(state: PanelState) -> float:
    return _given(state) - state.losses[PlaceKind.PIXELS] - state.losses[PlaceKind.CONTROLLER]


def _line(finding: Finding, more: int) -> str:
    return finding.sentence + (f" (the worst of {more + 1} like it)" if more else "")


def page(build: Build, colour: tuple[float, float, float], state: PanelState, findings: tuple[Finding, ...]) -> str:
    """Return the readable page."""
    feeds = ", ".join(quantity(float(i), "A") for i in state.feed_currents)
    table = [
        (
            "adapter gives",
            f"{quantity(state.adapter_current, 'A')} (limit {quantity(build.adapter.limit_current, 'A')})",
        ),
        ("bus, root of the panel", f"{quantity(state.bus_voltage, 'V')}, {quantity(state.root_voltage, 'V')}"),
        ("best-fed pixel", f"{quantity(state.highest_voltage, 'V')}, number {state.best_pixel}"),
        ("worst pixel", f"{quantity(state.lowest_voltage, 'V')}, number {state.worst_pixel}"),
        ("dimmest pixel", f"{float(state.brightness.min()):.0%} of the best-fed one"),
        ("largest colour shift", f"{float(state.colour_shift.max()):.1%} of a pixel's light in another channel"),
        ("lost on the way to the pixels", f"{quantity(_lost(state), 'W')} of {quantity(_given(state), 'W')}"),
        ("feeds carry", feeds),
        ("largest current between sections", quantity(state.largest_hop_current, "A")),
    ]
    lines = [
        title(build.title),
        f"  every pixel at {duties_of(colour)}",
        "",
        *rows(table),
        "",
        "  What can get hot or misread, worst first:",
    ]
    shown = [f for f in findings if f.severity is not Severity.FINE]
    lines += [f"    {_line(f, more)}" for f, more in grouped(shown)] or ["    nothing past a recommendation"]
    fine = len(findings) - len(shown)
    return "\n".join([*lines, f"    {fine} more are within their limits (all of them with --json)", "", f"  {DEFERS}"])
