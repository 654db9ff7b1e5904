"""The head of every page: which build, whether it is saved, what can be done with it, where to go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import ipywidgets as w

from inrushlib.parts import keys_in_words
from inrushlib.text import for_html
from widgets.files import OpenFields, SaveFields
from widgets.new_build import NewFields
from widgets.problems import problem_html
from widgets.signs import signs
from widgets.state import BuildState
from widgets.titles import title_that_fits


@dataclass(frozen=True)
class Place:
    """One page of the workbook.

    Attributes
    ----------
    name : str
        In the rail.
    notebook : str
        Its file.
    """

    name: str
    notebook: str


PLACES = (
    Place("Start", "0_start_here.ipynb"),
    Place("Boot", "1_will_it_boot.ipynb"),
    Place("Supply", "2_which_supply.ipynb"),
    Place("First frame", "3_switch_delay.ipynb"),
    Place("Feed and wire", "4_feed_and_wire.ipynb"),
    Place("How sure", "6_how_sure.ipynb"),
    Place("Scope", "5_model_against_scope.ipynb"),
    Place("Bench", "7_at_the_bench.ipynb"),
)


class Rail:
    """Name of the build, buttons, links; the fields of the button that is pressed below it.

    Parameters
    ----------
    state : BuildState
        Has the build.
    here : str
        Name of this page's place.
    """

    def __init__(self, state: BuildState, here: str) -> None:
        self.state = state
        self.open, self.save, self.new = OpenFields(state), SaveFields(state), NewFields(state)
        self.title = w.HTML()
        self.toggles = {
            name: w.ToggleButton(description=name, tooltip=tip)
            for name, tip in (
                ("Open", "Open a build"), ("Save", "Name and save this build"), ("New", "Begin a build of your own"),
            )
        }  # fmt: skip
        self.undo = w.Button(description="Undo", tooltip="Take back the last change")
        self.redo = w.Button(description="Redo", tooltip="Do again what was taken back")
        self.retitle = w.Button()
        self.skip = w.HTML('<a href="#wb-stage">To the answer</a>')
        self.skip.add_class("wb-skip")
        self.nav = w.HTML(links(here))
        self.nav.add_class("wb-nav")
        self.drawer = w.VBox([])
        self.drawer.add_class("wb-drawer")
        self.told = w.HTML()
        self.told.add_class("wb-told")
        self._turning = False
        self._wire()
        self.top = w.Box([self.title, *self.toggles.values(), self.undo, self.redo, self.nav])
        self.top.add_class("wb-top")
        self.box = w.VBox([self.skip, self.top])
        self.box.add_class("wb-rail")
        self.refresh()

    def _wire(self) -> None:
        self.undo.on_click(lambda _: self.state.undo())
        self.redo.on_click(lambda _: self.state.redo())
        self.retitle.on_click(self._retitled)
        for button in self.toggles.values():
            button.observe(self._pressed, "value")
        self.save.saved = self.open.refresh
        self.new.begun = self.fold
        self.state.observe(self.refresh, ["shown", "path", "saved"])
        self.state.observe(self.tell, ["problem", "message"])

    def show(self, name: str | None) -> None:
        """Open the fields of a button, or none."""
        self._turning = True
        for each, button in self.toggles.items():
            button.value = each == name
        self._turning = False
        boxes = {"Open": self.open.box, "Save": self.save.box, "New": self.new.box}
        self.drawer.children = [] if name is None else [boxes[name]]
        self._lay()

    def fold(self) -> None:
        """A build was begun: its fields make room, and a keyboard goes on from the button that opened them."""
        self.show(None)
        self.toggles["New"].focus()

    def _pressed(self, change: Any) -> None:
        if not self._turning:
            self.show(change["owner"].description if change["new"] else None)

    def refresh(self, _: Any = None) -> None:
        """Show which build it is and whether it is saved."""
        state = self.state
        if state.path is None:
            words, look = "not saved yet", "wb-unsaved"
        elif state.changed:
            words, look = f"changed, not saved in {state.path.name}", "wb-unsaved"
        else:
            words, look = f"saved in {state.path.name}", ""
        title = for_html(state.build.title)
        self.title.value = (
            f'<div class="wb-title"><b title="{title}">{title}</b> <span class="{look}">{for_html(words)}</span></div>'
        )
        self.undo.disabled, self.redo.disabled = not state.history.before, not state.history.after
        self.tell()

    def tell(self, _: Any = None) -> None:
        """Show what is not right, or what was done; offer a title that fits the adapter."""
        state = self.state
        if state.problem:
            # What was entered is said in the page's words, what is wrong in a file in the file's.
            refused = f"Not accepted; the build is computed without it:\n{signs(keys_in_words(state.problem))}"
            words = refused if state.refused else state.problem
            self.told.value = problem_html(words, of_file=True)
        else:
            words = for_html(state.message)
            self.told.value = f'<div class="wb-message" role="status">{words}</div>' if words else ""
        better = title_that_fits(state.build)
        self.retitle.description = f"Change the title to “{better}”" if better else ""
        self._lay()

    def _retitled(self, _: Any) -> None:
        better = title_that_fits(self.state.build)
        if better:
            self.state.change({"title": better})

    def _lay(self) -> None:
        """Only what says something takes room."""
        rows: list[w.DOMWidget] = [self.skip, self.top]
        rows += [self.drawer] if self.drawer.children else []
        rows += [self.told] if self.told.value else []
        if self.retitle.description:
            line = w.HBox([self.retitle])
            line.add_class("wb-told")
            rows.append(line)
        if len(rows) != len(self.box.children) or any(a is not b for a, b in zip(rows, self.box.children, strict=True)):
            self.box.children = rows

    @property
    def widgets(self) -> tuple[w.DOMWidget, ...]:
        """All whose contents change by themselves."""
        return self.title, self.told, self.undo, self.redo, self.box


def links(here: str) -> str:
    """Return the links to all pages, as HTML; ``here`` is the name of the one that is open."""
    links = "".join(
        f'<a href="{place.notebook}"{" aria-current=page" if place.name == here else ""}>{place.name}</a>'
        for place in PLACES
    )
    return f'<nav aria-label="pages of the workbook">{links}</nav>'
