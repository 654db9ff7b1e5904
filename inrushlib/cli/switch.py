"""``inrush switch``: what the switch has to stand."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.output import celsius, columns, quantity, say, tell_unused, title, to_json
from inrushlib.cli.report import overstress_lines
from inrushlib.safety import DEFERS, Heating, OffState, Severity, SwitchStress, switch_stress

STANDS, DOES_NOT = 0, 1


def add(commands: Any) -> None:
    """Add the subcommand."""
    p = commands.add_parser(
        "switch",
        help="what the switch has to stand: heat, gate drive, plugging in, a bare pin as its driver",
        description="The switch's junction temperature in the build's start, with a display that stays lit and in the "
        "long run; its gate's drive; what it lets through while off. Exit 0 when no finding is a danger and no part "
        "sees more than it stands, 1 otherwise, 2 when the file is not right or has no switch.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file with a switch")
    p.add_argument("--json", action="store_true", help="SI numbers as an object, temperatures in degrees Celsius")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the findings and the figures behind them."""
    build = load_build(options.build)
    stress = switch_stress(build)
    say(to_json(stress) if options.json else page(build, stress))
    tell_unused([build], as_json=options.json)
    danger = any(f.severity is Severity.DANGER for f in stress.findings)
    return DOES_NOT if danger or stress.start.headline.overstressed else STANDS


def page(build: Build, stress: SwitchStress) -> str:
    """Return the answer as a readable page."""
    lines = [title(build.title), "", *overstress_lines(stress.start.headline), "  Findings, worst first:"]
    lines += [f"    {f.sentence}" for f in stress.findings]
    lines += [
        "",
        "  Heat:",
        *_indented([("", "this start", "display stays lit"), *_heat(stress.start, stress.stays_lit)]),
    ]
    states = (
        ("plugged in, its own driver", stress.plugged),
        ("open-drain transistor as driver", stress.transistor),
        ("bare controller pin as driver", stress.pin),
    )
    head = ("", "peak current", "panel reaches", "gate drive left", "settled current")
    table = [_off(words, state) for words, state in states if state is not None]
    return "\n".join([*lines, "", "  While it should be off:", *_indented([head, *table]), "", f"  {DEFERS}"])


def _indented(cells: list[tuple[str, ...]]) -> list[str]:
    return [f"    {line}" for line in columns(cells)]


def _heat(*starts: Heating) -> list[tuple[str, ...]]:
    return [
        ("ends as", *(h.headline.title for h in starts)),
        ("hottest junction", *(celsius(h.hottest_junction) for h in starts)),
        ("at", *(quantity(h.hottest_at, "s") for h in starts)),
        ("heat while closing", *(quantity(h.closing_energy, "J") for h in starts)),
        ("power at the end", *(quantity(h.steady_power, "W") for h in starts)),
        ("junction in the long run", *(celsius(h.steady_junction) for h in starts)),
    ]


def _off(words: str, state: OffState) -> tuple[str, ...]:
    return (
        words, quantity(state.peak_current, "A"), quantity(state.highest_panel_voltage, "V"),
        quantity(state.settled_drive, "V"), quantity(state.settled_current, "A"),
    )  # fmt: skip
