"""``inrush wires``: every wire of a build, what is there, what is needed, and what to buy."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.wires import wire_list_answer
from inrushlib.build import Build, load_build
from inrushlib.cli.arguments import add_input
from inrushlib.cli.lengths import missing_lengths, option_of
from inrushlib.cli.output import print_answer
from inrushlib.cli.typed import parse_colour, quantity_of
from inrushlib.copper import AMPACITY_TABLES, BUNDLED, FREE_AIR
from inrushlib.errors import UsageError
from inrushlib.search import Rerun, WireList, WireRun, lengths_of, rerun, wire_list
from inrushlib.startup import simulate

DO, DO_NOT = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "wires",
        description="List every wire of a build for what the largest adapter under consideration can push. Exit 0, 1 "
        "where a wire or connector that is there does not do or the start would end worse, 2 when the file or an "
        "argument is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    p.add_argument(
        "--adapter", metavar="CURRENT", help='label of the largest adapter, such as "10 A"; default that of the build'
    )
    p.add_argument("--colour", default="1,1,1", metavar="R,G,B", help="brightest picture, duties; default white")
    p.add_argument(
        "--feed-length", metavar="LENGTH", help="of the feeds, one or one each with commas; else the build's"
    )
    p.add_argument("--hop-length", metavar="LENGTH", help="of the jumpers, alike; else the build's")
    for name, drop in (("lead", "0.25 V"), ("feed", "0.1 V"), ("hop", "50 mV")):
        p.add_argument(f"--{name}-drop", default=drop, metavar="VOLTAGE", help=f"highest drop, loop; default {drop}")
    tables = p.add_mutually_exclusive_group()
    tables.add_argument("--free-air", action="store_true", help="rate single wires in free air, not a bundle in a case")
    tables.add_argument("--ampacity", metavar="TABLE", choices=list(AMPACITY_TABLES), help=", ".join(AMPACITY_TABLES))
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the wires for the ``options`` of the command line."""
    build = load_build(options.build)
    found = chosen(build, options)
    start = rerun(simulate(build).headline, build.with_values(found.changes))
    answer = wire_list_answer(build.title, found, start)
    print_answer(answer, _described(build, found, start), build, as_json=options.json)
    return DO if found.enough and not start.worsens else DO_NOT


def chosen(build: Build, options: argparse.Namespace) -> WireList:
    """Return the wires for the options.

    Parameters
    ----------
    build : Build
        The build [SI].
    options : Namespace
        Of the command line [as typed].
    """
    feeds, hops = lengths_of(build)
    _refuse_missing(build, options)
    a = build.adapter
    limit = None
    if options.adapter is not None:
        limit = quantity_of("--adapter", options.adapter, "A") * a.limit_current / a.rated_current
    return wire_list(
        build,
        _lengths("feed", options.feed_length, feeds, len(build.wiring.feeds)),
        _lengths("hop", options.hop_length, hops, build.wiring.sections - 1),
        largest_adapter=limit,
        highest_lead_drop=quantity_of("--lead-drop", options.lead_drop, "V"),
        highest_feed_drop=quantity_of("--feed-drop", options.feed_drop, "V"),
        highest_hop_drop=quantity_of("--hop-drop", options.hop_drop, "V"),
        colour=parse_colour(options.colour),
        table=FREE_AIR if options.free_air else options.ampacity or BUNDLED,
    )


def _refuse_missing(build: Build, options: argparse.Namespace) -> None:
    typed = {"feed": options.feed_length, "hop": options.hop_length}
    missing = [name for name in missing_lengths(build) if typed[name] is None]
    if missing:
        keys = ", ".join(f"wiring.{name}_length" for name in missing)
        told, it = " ".join(map(option_of, missing)), "it" if len(missing) == 1 else "them"
        raise UsageError(
            f"{keys}: the build does not say {it}; accepted: a length in [wiring], or {told}; one for all or one each "
            "with commas"
        )


def _lengths(name: str, typed: str | None, own: tuple[float, ...] | None, count: int) -> tuple[float, ...]:
    option = f"--{name}-length"
    if typed is None:
        return own or ()
    found = tuple(quantity_of(option, each.strip(), "m") for each in typed.split(","))
    if len(found) not in (1, count):
        raise UsageError(f"{option}: {len(found)} lengths; accepted: one for all, or {count} with commas between")
    return found * count if len(found) == 1 else found


def _described(build: Build, found: WireList, start: Rerun) -> dict[str, Any]:
    plan = found.plan
    return {
        "title": build.title, "enough": found.enough, "largest_adapter": plan.largest_adapter,
        "most_current": plan.most_current, "limited": plan.limited,
        "lead_drop_kept": found.lead_drop_kept, "table": found.runs[0].wire.table,
        "pulses": found.pulses,
        "runs": [_run(run) for run in found.runs],
        "metres": [{"gauge": gauge, "metres": metres} for gauge, metres in found.metres.items()],
        "start": {"before": start.before.to_dict(), "after": start.after.to_dict(), "worsens": start.worsens},
    }  # fmt: skip


def _run(run: WireRun) -> dict[str, Any]:
    wire, fuse = run.wire, run.fuse
    return {
        "wire": run.place, "length": wire.length, "area_now": run.area, "ampacity_now": run.ampacity,
        "drop_now": run.drop, "enough": run.enough, "gauge": wire.gauge, "carried": wire.carried,
        "carried_in": wire.carried_in, "ampacity": wire.ampacity, "drop": wire.drop, "decided_by": wire.decided_by,
        "connector_now": run.connector, "connector_enough": run.connector_enough, "connector": run.wanted_connector,
        "fuse": None if fuse is None else fuse.rating, "fuse_outcome": None if fuse is None else fuse.outcome.name,
    }  # fmt: skip
