"""The sixth notebook's page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.answers.spread import spread_answer
from inrushlib.answers.sure import bands_answer, rating_answer, turning_answer
from inrushlib.build import Build
from inrushlib.margins import assumed_values, nearest_edges
from inrushlib.odds import CurveBands, Decision, SpreadFound, curve_bands, decide, ratings_to_try, spread
from inrushlib.startup import simulate
from widgets.question import Asked, Task, Told
from widgets.question_page import TaskPage
from widgets.question_view import TakeOver, TaskView

EXAMPLE = "tide_board_boots.toml"
RUNS = 1024
RUNS_OF_CURVES = 128


def ask_turning(build: Build, told: Told, asked: Asked) -> Any:
    """Find what would turn the verdict."""
    edges = nearest_edges(build, cancelled=asked)
    return turning_answer(simulate(build), edges, assumed_values(build, edges))


def ask_spread(build: Build, told: Told, asked: Asked) -> SpreadFound:
    """Run the build over the ranges of its values."""
    return spread(build, runs=RUNS, full=True, progress=told, cancelled=asked)


def ask_bands(build: Build, told: Told, asked: Asked) -> CurveBands:
    """Run the curves over the ranges of its values."""
    return curve_bands(build, runs=RUNS_OF_CURVES, progress=told, cancelled=asked)


def ask_rating(build: Build, told: Told, asked: Asked) -> tuple[str, Decision]:
    """Find the rating that boots often enough."""
    return build.title, decide(ratings_to_try(build), cancelled=asked)


def spread_html(found: SpreadFound, screen: Screen | None = None) -> str:
    """Return the odds, what to measure first, and the worst run."""
    return render(spread_answer(found), screen)


def bands_html(found: CurveBands, screen: Screen | None = None) -> str:
    """Return the bands of the curves, bus, rail and lead."""
    return render(bands_answer(found), screen)


def rating_html(found: tuple[str, Decision], screen: Screen | None = None) -> str:
    """Return how often each rating boots."""
    return render(rating_answer(*found), screen)


def rating_values(found: tuple[str, Decision]) -> Mapping[str, Any]:
    """Return the rating as a change of the build; nothing where none does it."""
    chosen = found[1].chosen
    return {} if chosen is None else {"adapter.rated_current": chosen.value}


class SurePage(TaskPage):
    """The sixth notebook: what turns it, the odds, the curves, the adapter by odds."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        super().__init__(path, EXAMPLE, "How sure", threaded)

    def make_questions(self) -> Mapping[str, TaskView]:
        """Return the questions by the words of their tabs."""
        return {
            "What turns it": TaskView(
                Task(self.state, ask_turning, live=True), "", render,
                "How close the start was, and how far each value may move before it turns, all others as they are.",
            ),
            "Odds": TaskView(
                Task(self.state, ask_spread), "Run the odds", spread_html,
                "How often it boots with every value anywhere in its range, what to measure first, and the worst run. "
                f"{RUNS} runs and those that say why; some ten seconds.",
            ),
            "Curves": TaskView(
                Task(self.state, ask_bands), "Run the curves", bands_html,
                "Between what bus, rail and lead are in nine of ten runs, with every value anywhere in its range. "
                f"{RUNS_OF_CURVES} runs; some seconds.",
            ),
            "Adapter by odds": TaskView(
                Task(self.state, ask_rating), "Try the ratings", rating_html,
                "How often each standard rating boots within the ranges of all other values.",
                take_over=TakeOver("Put this rating into the build", rating_values),
            ),
        }  # fmt: skip


def how_sure(path: str | Path | None = None) -> w.VBox:
    """Return the page of the sixth notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board on a larger
        adapter.
    """
    return SurePage(path).box
