"""``inrush remedies``: what to change so that it starts, which to take, and all of them side by side."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from inrushlib.answers.remedies import recommendation_answer
from inrushlib.build import save_build
from inrushlib.cli.arguments import add_input, add_output, add_picture
from inrushlib.cli.measured import load_with_log
from inrushlib.cli.next_step import NextStep, tell_next
from inrushlib.cli.output import print_answer, save_picture, tell_share, write_each
from inrushlib.errors import BuildError, UsageError
from inrushlib.files import reason_of
from inrushlib.remedies import FINALIST_RUNS, NoRemedy, Recommendation, Remedy, parts_of, reason_for, recommend_remedies

HELPS, NONE = 0, 1
PICTURE_WIDTH = 13.0  # [inch]


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "remedies",
        description="Search what to change, over all values at once, in standard values, and say which to take: by "
        "the odds within the ranges of the values, then by effort. Exit 0 when something boots at the first try and "
        "overstresses no part, 1 when nothing does, 2 when the file is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_picture(p, "--plot", metavar="OUT.png", help="write the table as a picture")
    add_output(p, "--save-all", metavar="FOLDER", help="write a build file for each remedy that helps, best first")
    p.add_argument("--no-odds", action="store_true", help="quicker: one start each, with the values as they are")
    p.add_argument(
        "--runs",
        type=int,
        default=FINALIST_RUNS,
        metavar="N",
        help=f"runs for the odds of each (default {FINALIST_RUNS})",
    )
    p.add_argument("--json", action="store_true", help="SI numbers as a list, the build as it is first")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the remedies for the ``options`` of the command line."""
    build = load_with_log(options.build)
    if options.save_all is not None:
        _check_folder(options.save_all, options.build)
    found = recommend_remedies(build, runs=0 if options.no_odds else options.runs, progress=_progress)
    files = {} if options.save_all is None else _files(found, options.save_all)
    answer = recommendation_answer(build.title, found)
    print_answer(answer, [to_dict(r, found, files) for r in found.remedies], build, as_json=options.json)
    if found.ranked and options.save_all is None:
        tell_next(NextStep.SAVE, options.build, as_json=options.json)
    drawing = [] if options.plot is None else [partial(_draw, found, options.plot)]
    write_each(*drawing, *_saves(found, files, build.title))
    return HELPS if answer.good else NONE


def _draw(found: Recommendation, path: Path) -> None:
    from inrushlib.plots import draw_remedies, height_for

    height, shown = height_for(found.remedies), found.remedies
    save_picture(path, PICTURE_WIDTH, height, lambda figure: draw_remedies(shown, figure.add_subplot()))


def _progress(share: float) -> None:
    tell_share(share, "of the remedies")


def _check_folder(folder: Path, source: Path) -> None:
    for each in (folder, *folder.parents):
        if each.exists() and not each.is_dir():
            raise UsageError(f"--save-all {folder}: {each} is a file; accepted: a folder")
    if folder.is_dir() and Path(source).resolve().parent == folder.resolve():
        raise UsageError(
            f"--save-all {folder}: the build file is in it; accepted: another folder, so that none is lost"
        )


def _files(found: Recommendation, folder: Path) -> dict[int, Path]:
    """Return where each ranked remedy goes, by its place from 0."""
    return {
        place: folder / f"{place + 1:02d}_{re.sub('[^a-z0-9]+', '_', remedy.name.value)}.toml"
        for place, remedy in enumerate(found.ranked)
    }


def _saves(found: Recommendation, files: dict[int, Path], title: str) -> list[Callable[[], None]]:
    """What writes each build; what says so where their folder cannot be made."""
    if files:
        folder = files[0].parent
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            problem = f"{folder}: cannot be made: {reason_of(error)}; accepted: a folder that is there or may be made"
            return [partial(_refuse, problem)]
    named = {p: f"{title}: remedy {p + 1}, {found.ranked[p].name.value}" for p in files}
    titled = {p: found.ranked[p].build.with_values({"title": named[p]}) for p in files}
    return [partial(save_build, titled[p], files[p]) for p in files]


def _refuse(problem: str) -> None:
    raise BuildError(problem)


def to_dict(r: Remedy | NoRemedy, found: Recommendation, files: dict[int, Path]) -> dict[str, Any]:
    """Return a remedy ready for JSON; what only one that was tried, or that helps, has is null.

    ``why_no_switch`` is told once, with the build as it is (the first of the list): null where a switch does it on the
    build's own adapter without a bank of capacitors, else its ``code`` (:class:`~inrushlib.remedies.WhyNoSwitch`),
    ``sentence`` and numbers (:class:`~inrushlib.remedies.Shortfall`, SI).

    Parameters
    ----------
    r : Remedy or NoRemedy
        The remedy, or why it does not apply.
    found : Recommendation
        What it is one of.
    files : dict of int to Path
        Where each ranked remedy was saved, by its place [1].
    """
    short = found.shortfall
    place = next((i for i, each in enumerate(found.ranked) if each is r), None)
    flat: dict[str, Any] = {
        "name": r.name,
        "change": r.change.words,
        "applicable": isinstance(r, Remedy),
        "why": r.why,
        "combined_with": [],
        "needed": [],
        "verdict": None,
        "helps": r.helps,
        "before": r.before.to_dict(),
        "after": None,
        "peak_lead_current": None,
        "lit_before_data": None,
        "lowest_rail_voltage": None,
        "highest_junction_temperature": None,
        "could_go_wrong": [],
        "effort": r.effort.words,
        "odds": None,
        "decided_by": None,
        "slack": None,
        "place": None if place is None else place + 1,
        "why_no_switch": None if r is not found.remedies[0] or short is None else short.to_dict(),
        "reason": None,
        "parts": [],
        "program": [],
        "file": None if place is None or place not in files else str(files[place]),
    }
    if isinstance(r, Remedy) and place is not None:
        hardware, program = parts_of(r)
        flat |= {"reason": reason_for(r), "parts": hardware, "program": program}
    return flat | (_tried(r) if isinstance(r, Remedy) else {})


def _tried(r: Remedy) -> dict[str, Any]:
    figures = r.start.figures
    return {
        "combined_with": r.combined_with,
        "needed": r.needed,
        "verdict": r.verdict,
        "after": r.start.headline.to_dict(),
        "peak_lead_current": figures.peak_lead_current,
        "lit_before_data": figures.lit_before_data,
        "lowest_rail_voltage": figures.lowest_rail_voltage,
        "highest_junction_temperature": r.hottest_junction,
        "could_go_wrong": r.could_go_wrong,
        "odds": r.odds,
        "decided_by": r.decided_by or None,
        "slack": None if r.slack is None else r.slack.to_dict(),
    }
