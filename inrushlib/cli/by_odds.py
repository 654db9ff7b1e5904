"""What commands that ask the odds share: whether to, how many runs, and what JSON says of them."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.odds import SEED, WANTED, Decision, check_wanted


def add_odds(parser: argparse.ArgumentParser, *, share: bool = True) -> None:
    """Add the options.

    Parameters
    ----------
    parser : ArgumentParser
        Of the subcommand.
    share : bool
        Whether a share of the runs can be asked for.
    """
    group = parser.add_mutually_exclusive_group()
    if share:
        group.add_argument(
            "--odds", type=float, default=WANTED, metavar="SHARE",
            help=f"share of the runs, over the ranges of all values, that has to boot (default {WANTED:g})",
        )  # fmt: skip
    group.add_argument(
        "--no-odds", action="store_true", help="the values as they stand alone: faster by several seconds"
    )  # fmt: skip


def add_runs(parser: argparse.ArgumentParser, runs: int) -> None:
    """Add the options for how many runs and which.

    Parameters
    ----------
    parser : ArgumentParser
        Of the subcommand.
    runs : int
        How many where nothing is said [1].
    """
    parser.add_argument(
        "--runs", type=int, default=runs, metavar="N", help=f"runs at least, 64 or more (default {runs})"
    )  # fmt: skip
    parser.add_argument("--seed", type=int, default=SEED, metavar="S", help=f"same seed, same answer (default {SEED})")


def asked(options: argparse.Namespace) -> bool:
    """Say whether the odds are wanted; a share that cannot be is refused before anything is run.

    Parameters
    ----------
    options : Namespace
        What was read from the command line.

    Raises
    ------
    UsageError
        For a share that is not above 0 and below 1.
    """
    if options.no_odds:
        return False
    if "odds" in options:
        check_wanted(options.odds)
    return True


def odds_dict(decision: Decision | None, value: float | None) -> dict[str, Any]:
    """Return what JSON says of the odds: all that was tried, and the value to take.

    Parameters
    ----------
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    value : float or None
        The recommended value [A], [F] or [s]; None where there is none.
    """
    return {"odds": decision, "take": value}
