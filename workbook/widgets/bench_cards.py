"""One card of the bench page: what to do, and the field for its readings."""

from __future__ import annotations

import ipywidgets as w

from inrushlib.answers.blocks import Facts
from inrushlib.answers.by_odds import percent
from inrushlib.answers.guide import card_rows, hint_words
from inrushlib.answers.html import html_of, render_block
from inrushlib.guide import LITTLE, Card, CardName
from inrushlib.text import for_html
from widgets.bench_state import BenchState
from widgets.files import pressed, row
from widgets.problems import problem_html


class CardView:
    """Widgets of one card; its place and its words change, its field stays.

    Parameters
    ----------
    bench : BenchState
        Takes the readings.
    name : CardName
        Which card.
    """

    def __init__(self, bench: BenchState, name: CardName) -> None:
        self.bench, self.name = bench, name
        self.about = w.HTML()
        self.field = w.Text()  # each letter is kept: cards change places while somebody types
        self.button = w.Button(description="Enter", tooltip=f"Enter the readings of {name.words}")
        self.problem = w.HTML()
        self.button.on_click(lambda _: self.entered())
        line = pressed(row("", self.field, self.button))
        self.label: w.HTML = line.children[0]
        line.add_class("wb-reading-row")
        self.box = w.VBox([self.about, line, self.problem])
        self.box.add_class("wb-bench-card")
        bench.observe(self.tell, "problems")

    def show(self, card: Card, place: int) -> None:
        """Show the card at its place in the order, the first one unfolded."""
        share = f"settles some {percent(card.settles)}" if card.settles >= LITTLE else "settles next to nothing now"
        body = render_block(Facts(card_rows(card)[1:-1]))
        opened = " open" if place == 1 else ""
        self.about.value = (
            f'<details{opened}><summary><b>{place}. {for_html(card.name.words)}</b> <span class="wb-small">{share}'
            f"</span></summary>{body}</details>"
        )
        # What to read, in the order in which it is typed; whoever hears it needs the card, too.
        asked = for_html(", ".join(each.name for each in card.readings))
        self.label.value = (
            f'<span class="wb-name"><span class="wb-heard">{for_html(card.name.words)}: </span>{asked}</span>'
        )
        self.field.placeholder = html_of(hint_words(card))

    def entered(self) -> None:
        """Take what stands in the field."""
        if self.bench.enter(self.name, self.field.value):
            self.field.value = ""

    def tell(self, _: object = None) -> None:
        """Say why the readings are not accepted."""
        self.problem.value = problem_html(self.bench.problems.get(self.name, ""))

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return self.about, self.label, self.field, self.problem
