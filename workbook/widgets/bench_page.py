"""The seventh notebook's page: what to measure on the bench, and what the readings say."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.answers.blocks import Caution, Strong, Verdict, Words
from inrushlib.answers.by_odds import percent
from inrushlib.answers.guide import CARES, HOW, apart_words, log_table, moved_words, next_words
from inrushlib.answers.html import render_block
from inrushlib.answers.spread import is_sure
from inrushlib.guide import CardName, Dealt, bench_log
from inrushlib.quantities import in_percent
from inrushlib.text import for_html
from widgets.bench_cards import CardView
from widgets.bench_state import BenchState
from widgets.frame import Frame, begin
from widgets.problems import problem_html

EXAMPLE = "tide_board_boots.toml"
STALE = "Odds and cards below are for the build before it was changed."
UNSAVED = "Save puts what is not in the build's file yet into it, and into the log beside it."


class BenchPage:
    """The frame with the odds, the cards and the log in it."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        self.state = begin(path, EXAMPLE, threaded)
        self.frame = Frame(self.state, "Bench", "As it is: will it boot?")
        self.bench = BenchState(self.state)
        self.stale, self.head, self.working, self.note, self.log = (w.HTML() for _ in range(5))
        self.cancel = w.Button(description="Stop", tooltip="Stop computing the odds")
        self.again = w.Button(description="Compute the odds", tooltip="Compute the odds of the build as it is now")
        self.cards = w.VBox([])
        self.views = {name: CardView(self.bench, name) for name in CardName}
        beside = [w.HTML(render_block(Caution(CARES))), w.HTML(f'<div class="wb-small">{for_html(HOW)}</div>')]
        for each in beside:
            each.add_class("wb-card")
        self.run = w.HBox([self.working, self.cancel, self.again])
        self.run.add_class("wb-run")
        self.frame.stage.children = [self.stale, self.head, self.run, self.note, self.cards, self.log]
        self.frame.side.children = beside
        self.frame.sent = [
            self.stale, self.head, self.working, self.note, self.log, self.cards, self.run, self.cancel, self.again,
            *(each for view in self.views.values() for each in view.widgets),
        ]  # fmt: skip
        self._wire()
        self.box = self.frame.box

    def _wire(self) -> None:
        task = self.bench.task
        self.cancel.on_click(lambda _: task.cancel())
        self.again.on_click(lambda _: self.bench.ask())
        self.state.observe(self.tell, ["build", "path", "saved"])
        task.observe(self.draw, "result")
        task.observe(self.tell, ["running", "share", "problem", "message"])
        self.bench.ask()

    def draw(self, _: Any = None) -> None:
        """Show the odds and the cards in their order."""
        dealt: Dealt | None = self.bench.task.result
        if dealt is None:
            return
        self.head.value = _head(self.bench, dealt)
        shown = (*dealt.cards, *dealt.others)
        for place, card in enumerate(shown, 1):
            self.views[card.name].show(card, place)
        self.cards.children = [self.views[card.name].box for card in shown]
        self.tell()

    def tell(self, _: Any = None) -> None:
        """Show how far it has come, the log, and what is not right."""
        task = self.bench.task
        self.cancel.layout.display = "" if task.running else "none"
        self.again.layout.display = "" if task.message and not task.running else "none"
        self.run.layout.display = "" if task.running or task.message else "none"
        said = f"working, {in_percent(task.share)}" if task.running else task.message
        old = task.result is not None and not task.fresh
        self.stale.value = f'<div class="wb-stale">{STALE}</div>' if old else ""
        self.working.value = f'<span class="wb-small" role="status">{for_html(said)}</span>'
        self.note.value = problem_html(task.problem)
        build = self.state.build
        lines = bench_log(build, build.measured)
        kept = UNSAVED if self.state.changed else ""
        table = f'<div class="wb-scroll">{render_block(log_table(lines))}</div>'
        self.log.value = f'{table}<div class="wb-small">{kept}</div>' if lines else ""


def _head(bench: BenchState, dealt: Dealt) -> str:
    boots = dealt.odds.boots
    said: list[Words] = [
        f"at the first try, over the ranges of its values; {percent(boots.low)} to {percent(boots.high)} with what "
        f"{dealt.odds.runs} runs can tell"
    ]
    if bench.before is not None and bench.before is not dealt:
        said.append(moved_words(bench.before))
    said.append(next_words(dealt))
    verdict = Verdict(("boots in ", Strong(percent(boots.value))), tuple(said), is_sure(dealt.odds))
    beyond = () if bench.entered is None else apart_words([bench.entered])
    return render_block(verdict) + "".join(render_block(Caution(words)) for words in beyond)


def at_the_bench(path: str | Path | None = None) -> w.VBox:
    """Return the page of the seventh notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board on a larger
        adapter.
    """
    return BenchPage(path).box
