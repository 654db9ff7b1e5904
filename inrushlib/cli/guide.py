"""``inrush guide``: what to measure on the bench, and what the readings say."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Any

from inrushlib.answers.guide import guide_answer, log_answer
from inrushlib.answers.terminal import render
from inrushlib.build import Build, load_build, to_toml
from inrushlib.cli.arguments import add_input
from inrushlib.cli.by_odds import add_runs
from inrushlib.cli.output import say, tell_share, to_json
from inrushlib.errors import UsageError
from inrushlib.files import write_together
from inrushlib.guide import RUNS, Card, Dealt, Entered, bench_log, deal, enter, joined, parse_entry
from inrushlib.measurements import MeasurementLog, log_beside, log_with, read_log

SURE, NOT_SURE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "guide",
        description="What to measure on the bench for this build, the reading that settles most of the doubt first: "
        "what to connect, to light and to read, what to expect, and what to heed. With --enter the values that follow "
        "go into the build, and into BUILD.measured.toml beside it with day and interval. Exit 0 when at least 95 % "
        "of the runs boot at the first try, 1 when fewer do, 2 when a file or a reading is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file; --enter changes it")
    p.add_argument(
        "--enter", nargs="+", action="extend", default=[], metavar="CARD=READINGS",
        help='readings of a card in its order, such as tile-white="154 mA, 510 mA"',
    )  # fmt: skip
    p.add_argument("--day", metavar="DATE", help="when they were read, such as 2026-03-01 (default today)")
    p.add_argument("--log", action="store_true", help="what has been measured against what the model had, line by line")
    p.add_argument("--all", action="store_true", help="also the cards that settle next to nothing")
    add_runs(p, RUNS)
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the cards for the ``options`` of the command line; keep what is entered.

    Raises
    ------
    UsageError
        For an argument that is not accepted.
    """
    if options.log and options.enter:
        raise UsageError("--log: shows what stands in the log; accepted: --log or --enter, one of them")
    build, beside = load_build(options.build), log_beside(options.build)
    log = read_log(beside) if beside.exists() else MeasurementLog()
    if options.log:
        lines = bench_log(build, log)
        say(to_json(log_dict(build, log)) if options.json else render(log_answer(build, lines)))
        return SURE
    changed, entered = _entered(build, log, options.enter, _day(options.day))
    shares = {"runs": options.runs, "seed": options.seed, "progress": _progress}
    before = deal(build, log, **shares) if entered else None
    dealt = deal(changed, joined(log, entered), **shares)
    answer = guide_answer(dealt, entered, before, every=options.all)
    say(to_json(to_dict(dealt, entered, before)) if options.json else render(answer))
    if entered:
        _keep(changed, options.build, beside, entered)
    return SURE if answer.good else NOT_SURE


def _entered(
    build: Build, log: MeasurementLog, texts: list[str], day: date
) -> tuple[Build, list[Entered]]:  # fmt: skip
    entered: list[Entered] = []
    problems: list[str] = []
    for text in texts:
        try:
            name, readings = parse_entry(text, build)
            entered.append(enter(build, name, readings, day, joined(log, entered)))
            build = entered[-1].build
        except UsageError as error:
            problems += str(error).splitlines()
    if problems:
        raise UsageError(problems)
    return build, entered


def _keep(build: Build, path: Path, beside: Path, entered: list[Entered]) -> None:
    log = joined(MeasurementLog(), entered)
    # One without the other would tell a value that no one measured, or a reading that changed nothing.
    write_together({beside: log_with(beside, log.rows, log.together), path: to_toml(build)})


def _day(text: str | None) -> date:
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"--day {text}; accepted: a date such as 2026-03-01") from None


def _progress(share: float) -> None:
    tell_share(share, "of the runs")


def to_dict(dealt: Dealt, entered: list[Entered], before: Dealt | None) -> dict[str, Any]:
    """Return the answer by the names of its JSON.

    Parameters
    ----------
    dealt : Dealt
        The odds and the cards.
    entered : list of Entered
        Readings that came in.
    before : Dealt or None
        As it stood before these.
    """
    return {
        "title": dealt.build.title,
        "boots": dealt.odds.boots,
        "before": None if before is None else before.odds.boots,
        "runs": dealt.odds.runs,
        "cards": [_card(card) for card in dealt.cards],
        "others": [_card(card) for card in dealt.others],
        "entered": [
            {"card": each.name.value, "measured": [_row(row) for row in each.log.rows],
             "apart": [asked.name for asked, _ in each.apart]}
            for each in entered
        ],
    }  # fmt: skip


def log_dict(build: Build, log: MeasurementLog) -> dict[str, Any]:
    """Return measured against modelled by the names of its JSON.

    Parameters
    ----------
    build : Build
        The build.
    log : MeasurementLog
        What has been measured of it.
    """
    lines = bench_log(build, log)
    return {
        "title": build.title,
        "measured": [
            {**_row(line.row), "holds": line.holds, "stands": line.stands, "inside": line.inside} for line in lines
        ],
    }  # fmt: skip


def _row(row: Any) -> dict[str, Any]:
    return {
        "key": row.key, "value": row.value, "low": row.low, "high": row.high, "level": row.level, "how": row.how,
        "source": row.source, "day": row.day.isoformat(), "modelled": row.modelled,
    }  # fmt: skip


def _card(card: Card) -> dict[str, Any]:
    setup = card.setup
    return {
        "card": card.name.value, "keys": card.keys, "settles": card.settles, "uncertainties": card.uncertainties,
        "readings": [
            {"name": each.name, "unit": each.unit, "instrument": each.instrument.value, "value": each.value,
             "low": each.low, "high": each.high}
            for each in card.readings
        ],
        "connect": setup.connect, "light": setup.light, "read_off": setup.read_off, "loads": setup.loads,
        "cares": [care.sentence for care in setup.cares],
    }  # fmt: skip
