"""Pick or upload a capture, say what each channel shows, shift it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.build import Build, load_build
from inrushlib.quantities import format_quantity
from inrushlib.text import for_html, one_line
from widgets.capture_reading import ReadingFields
from widgets.files import WIDE, listing, row, shipped, work_folder
from widgets.overlay import AS_FILE, TIME_UNITS, UNITS, OverlayState, choices_for
from widgets.problems import problem_html
from widgets.signs import signs
from widgets.state import BuildState
from widgets.time_view import instant

MOST_UPLOAD = 180  # [MB], from the server's largest message


class CaptureFiles:
    """Which capture, what its channels show, in which units, and the time added to its own."""

    def __init__(self, state: BuildState, overlay: OverlayState) -> None:
        self.state, self.overlay = state, overlay
        self._moving = False
        self.pick = w.Dropdown(options=listing("", "sample_traces", "*.csv"), layout=WIDE)
        self.path = w.Text(placeholder="scope.csv", continuous_update=False, layout=WIDE)
        self.upload = w.FileUpload(accept=".csv,.txt", description=f"Upload, up to {MOST_UPLOAD} MB", multiple=False)
        self.upload.layout.width = "auto"
        self.time_unit = w.Dropdown(options=[(_unit_words(u), u) for u in TIME_UNITS], layout=WIDE)
        self.shift = w.Text(value="0 s", continuous_update=False, layout=WIDE)
        self.line_up = w.Button(description="Line up", tooltip="Find the shift with which it lies best on the model")
        self.clear = w.Button(description="Take away", tooltip="Show the model alone")
        self.channels = w.VBox()
        self.reading = ReadingFields(overlay, self.offer)
        self.clock = row("time in", self.time_unit)
        self.opened = w.VBox([self.clock, self.reading.box])
        self.opened.layout.display = "none"
        self.note = w.HTML()
        self._wire()
        buttons = w.HBox([self.line_up, self.clear])
        buttons.add_class("wb-buttons")
        self.mapped = w.VBox([self.channels, row("shift", self.shift), buttons])
        self.mapped.layout.display = "none"
        self.box = w.VBox(
            [
                row("capture", self.pick), row("or file", self.path), self.upload, self.note, self.opened, self.mapped
            ]
        )  # fmt: skip

    def _wire(self) -> None:
        self.pick.observe(lambda change: self.read(change["new"]), "value")
        self.path.observe(lambda change: self.read(change["new"] and work_folder() / change["new"]), "value")
        self.upload.observe(self.uploaded, "value")
        self.time_unit.observe(lambda change: self.change_unit(time_unit=change["new"]), "value")
        self.shift.observe(lambda change: self.shifted(change["new"]), "value")
        self.line_up.on_click(lambda _: self.lined_up())
        self.clear.on_click(lambda _: self.cleared())
        self.overlay.observe(self.tell, ["problem", "trace", "refused", "mapping", "guesses"])

    def read(self, source: Any, name: str = "") -> None:
        """Read a capture, where one is named, and offer its channels; one that is refused stays open."""
        if source:
            self.overlay.read(source, self.state.build, name, shown_by_recipe(source))
            self.offer()

    def uploaded(self, change: Any) -> None:
        """A file came through the browser."""
        for item in change["new"]:
            self.read(bytes(item["content"]), item["name"])

    def offer(self) -> None:
        """Show what each channel may show, and in which unit."""
        self._moving = True
        self.time_unit.value = self.overlay.time_unit
        self.shift.value = signs(format_quantity(self.overlay.shift, "s", digits=6))
        self.channels.children = [self._channel(name) for name in self.overlay.mapping]
        self._visible()
        self._moving = False

    def _visible(self) -> None:
        """Channels of a capture that was read; what to say about a file, while one is open."""
        readable = self.overlay.trace is not None and not self.overlay.refused
        self.mapped.layout.display = "" if readable else "none"
        self.opened.layout.display = "" if self.overlay.is_open else "none"

    def show_shift(self) -> None:
        """Show the shift that was found; makes no widgets, so that a worker may call it at any time."""
        self._moving = True
        self.shift.value = signs(format_quantity(self.overlay.shift, "s", digits=6))
        self._moving = False

    def _channel(self, name: str) -> w.HBox:
        unit = self.overlay.trace.channels[name].unit or "none"
        shows = w.Dropdown(options=choices_for(self.state.build), value=self.overlay.mapping[name], layout=WIDE)
        inside = w.Dropdown(
            options=[(_unit_words(u, unit), u) for u in UNITS],
            value=self.overlay.units.get(name, AS_FILE),
            layout=WIDE,
        )
        shows.observe(lambda change: self.overlay.show(name, change["new"]), "value")
        inside.observe(lambda change: self.change_unit({name: change["new"]}), "value")
        line = row(one_line(name), shows, inside)
        line.add_class("wb-named")
        return line

    def change_unit(self, units: dict[str, str] | None = None, time_unit: str | None = None) -> None:
        """Take a channel, or the time, in another unit."""
        if not self._moving:
            self.overlay.read_again(units, time_unit)

    def shifted(self, text: str) -> None:
        """Another shift was typed; what cannot be read is put back."""
        found = None if self._moving else instant(text)
        if found is not None:
            self.overlay.move(found)
        if not self._moving and self.overlay.trace is not None:
            self.offer()

    def lined_up(self) -> None:
        """Line the capture up with the model."""
        if self.state.start is not None and self.overlay.line_up(self.state.start):
            self.offer()

    def cleared(self) -> None:
        """Take the capture away."""
        self.overlay.clear()
        self.offer()
        self.pick.value = ""
        self.path.value = ""

    def tell(self, _: Any = None) -> None:
        """Show why a capture could not be read, or what was inferred of it and could be told."""
        self._visible()
        if self.overlay.problem:
            self.note.value = problem_html(self.overlay.problem)
        elif self.overlay.trace is not None:
            trace = self.overlay.trace
            guessed = [guess.words for guess in self.overlay.guesses.values()]
            sentences = (*trace.inferred, *(hint.for_page for hint in trace.hints))
            told = "".join(
                f"<li>{for_html(signs(text))}</li>" for text in (*guessed, *_asked(self.overlay), *sentences)
            )
            self.note.value = f'<div role="status"><ul class="wb-note">{told}</ul></div>'
        else:
            self.note.value = ""


def _asked(overlay: OverlayState) -> tuple[str, ...]:
    """The question for channels of which nobody knows what they show."""
    names = overlay.unsaid
    if not names:
        return ()
    which = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return (f"What {'does' if len(names) == 1 else 'do'} {which} show? Choose it beside the name.",)


def made_capture(build: Build) -> Path | None:
    """Return the capture that was made of an example; None for a build of one's own, on which it would say nothing.

    Parameters
    ----------
    build : Build
        An example as it is or changed: the one with the same display from which it differs least.
    """
    found = []
    for path in sorted(shipped("builds").glob("*.toml")):
        capture = shipped("sample_traces") / f"{path.stem}.csv"
        if capture.is_file():
            example = load_build(path)
            if example.wiring == build.wiring:
                found.append((len(example.differences(build)), capture))
    return min(found)[1] if found else None


def shown_by_recipe(source: Any) -> dict[str, str]:
    """Return what the channels of an example's capture show, by the recipe that it was made from; else nothing.

    Parameters
    ----------
    source : path or bytes
        Of a capture.
    """
    found = shipped("sample_traces").resolve().glob("*.recipe.toml")
    recipes = {str(path.with_suffix("").with_suffix(".csv")): path for path in found}
    if isinstance(source, bytes) or str(source) not in recipes:
        return {}
    recipe = tomllib.loads(recipes[str(source)].read_text(encoding="utf-8"))
    return {channel: str(table["shows"]) for channel, table in recipe["channel"].items()}


def _unit_words(unit: str, own: str = "") -> str:
    """Return a unit as a choice shows it; ``own`` is the one of the file."""
    if unit == AS_FILE:
        return f"as the file says: {own}" if own else "as the file says"
    return unit
