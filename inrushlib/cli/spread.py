"""``inrush spread``: the odds over the ranges of a build's values, and what to measure first."""

from __future__ import annotations

import argparse
from contextlib import AbstractContextManager, nullcontext
from typing import Any

from inrushlib.answers.measured import narrowed_answer
from inrushlib.answers.spread import spread_answer
from inrushlib.answers.terminal import render
from inrushlib.build import load_build, save_build
from inrushlib.cli.arguments import add_input, add_output
from inrushlib.cli.by_odds import add_runs
from inrushlib.cli.measured import measured_list
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import say, tell_share, to_json
from inrushlib.measurements import read_log
from inrushlib.odds import RUNS, Cluster, Narrowed, SlackSpread, SpreadFound, Which, Worst, spread, spread_after

SURE, NOT_SURE = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "spread",
        description="Run the build with its values anywhere in their ranges: those of [tolerance], else what is "
        "typical. Exit 0 when at least 95 % of the runs boot at the first try, 1 when fewer do, 2 when the file or "
        "a range is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_runs(p, RUNS)
    p.add_argument(
        "--ranges", choices=[each.value for each in Which], default=Which.ALL.value,
        help="all: every value that can matter; stated: only what [tolerance] names, all else fixed",
    )  # fmt: skip
    p.add_argument(
        "--quick", action="store_true",
        help="the odds and what settles them alone: no slacks, total indices and worst corner; three times as fast",
    )  # fmt: skip
    add_input(
        p, "--after", metavar="LOG.toml",
        help="what has been measured, as NAME.measured.toml beside a build holds it: the odds before and after",
    )  # fmt: skip
    over = p.add_mutually_exclusive_group()
    over.add_argument(
        "--workers", type=int, metavar="N", help="share the runs out to N processes; without it to threads of this one"
    )  # fmt: skip
    over.add_argument(
        "--cluster", metavar="ADDRESS",
        help="share them out to workers of dask.distributed whose scheduler is there; both need the extra cluster",
    )  # fmt: skip
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    add_output(p, "--save-worst", metavar="OUT.toml", help="write the worst run as a build")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the odds for the ``options`` of the command line."""
    build = load_build(options.build)
    log = None if options.after is None else read_log(options.after)
    with _crew(options) as workers:
        asked: dict[str, Any] = {
            "runs": options.runs, "seed": options.seed, "which": Which(options.ranges), "full": not options.quick,
            "progress": _progress, "workers": workers,
        }  # fmt: skip
        if log is None:
            found = spread(build, **asked)
            answer, flat = spread_answer(found), to_dict(found)
        else:
            narrowed = spread_after(build, log, **asked)
            found, answer, flat = narrowed.after, narrowed_answer(narrowed), narrowed_dict(narrowed)
    say(to_json(flat) if options.json else render(answer))
    tell_next(NextStep.SHEET if answer.good else NextStep.REMEDIES, options.build, as_json=options.json)
    if options.save_worst is not None:
        save_build(found.worst.build, options.save_worst)
    return SURE if answer.good else NOT_SURE


def _crew(options: argparse.Namespace) -> AbstractContextManager[Cluster | None]:
    """Who runs: processes here or elsewhere, None for threads of this one."""
    if options.workers is not None:
        return Cluster.here(options.workers)
    return nullcontext() if options.cluster is None else Cluster.at(options.cluster)


def _progress(share: float) -> None:
    tell_share(share, "of the runs")


def to_dict(found: SpreadFound) -> dict[str, Any]:
    """Return the answer by the names of its JSON.

    Parameters
    ----------
    found : SpreadFound
        The odds.
    """
    return {
        "title": found.build.title,
        "odds": {verdict.value: odds for verdict, odds in found.odds.items()},
        "runs": found.runs,
        "failed": found.failed,
        "more_runs": found.more_runs,
        "watched": found.watched,
        "slack": {each.rule.key: _slack(each) for each in found.slack},
        "influences": [
            {
                "name": each.name, "keys": each.keys, "settles": each.settles, "total": each.total,
                "pooled": each.pooled, "of_slack": each.of_slack,
            }
            for each in found.influences
        ],
        "worst": _worst(found.worst),
        "corner": None if found.corner is None else _worst(found.corner),
        "ranges": [
            {
                "key": each.key, "origin": each.origin, "stated": each.stated, "shape": each.shape,
                "group": each.group, "low": each.low, "high": each.high,
            }
            for each in found.ranges
        ],
    }  # fmt: skip


def narrowed_dict(found: Narrowed) -> dict[str, Any]:
    """Return the odds after having measured, those before, and what was measured, by the names of the JSON.

    Parameters
    ----------
    found : Narrowed
        The odds.
    """
    return to_dict(found.after) | {
        "before": {verdict.value: odds for verdict, odds in found.before.odds.items()},
        "settled": found.settled,
        "measured": measured_list(found.measured, found.build),
        "elsewhere": found.elsewhere,
    }


def _slack(each: SlackSpread) -> dict[str, Any]:
    return {
        "unit": each.rule.unit, "runs": each.runs, "kept": each.kept, "closest": each.closest, "least": each.least,
        "quantiles": {f"{share:g}": value for share, value in each.quantiles.items()},
    }  # fmt: skip


def _worst(worst: Worst) -> dict[str, Any]:
    return {
        "verdict": None if worst.verdict is None else worst.verdict.value,
        "rule": None if worst.rule is None else worst.rule.key,
        "slack": worst.slack,
        "values": worst.values,
    }
