"""Which files there are, and the fields to open and to save a build."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.answers.blocks import Table, Words
from inrushlib.answers.html import render_block
from inrushlib.build import build_keys
from inrushlib.measurements import ENDING
from inrushlib.parts import key_words
from inrushlib.text import for_html, one_line
from widgets.state import BuildState
from widgets.values import full_label_of, value_text

HERE = Path(__file__).resolve().parent.parent
WIDE = w.Layout(width="auto", flex="1 1 0", min_width="0")
FIRST = "choose …"


def work_folder() -> Path:
    """Folder where builds are saved: where the workbook was started."""
    return Path(os.environ.get("INRUSH_FOLDER") or Path.cwd())


def shipped(folder: str) -> Path:
    """A folder that comes with the workbook, beside the notebooks or one level up."""
    return next((p for p in (HERE / folder, HERE.parent / folder) if p.is_dir()), HERE / folder)


def listing(own: str, folder: str, pattern: str) -> list[tuple[str, str]]:
    """Return (name, path) of the files in the folder of the start, then of those that come along."""
    found: dict[str, str] = {}
    for place, words in ((work_folder(), own), (shipped(folder), "example: ")):
        for path in sorted(place.glob(pattern)):
            if path.is_file() and path.name != "pyproject.toml" and not path.name.endswith(ENDING):
                found.setdefault(str(path.resolve()), words + one_line(path.name))
    return [(FIRST, ""), *((name, path) for path, name in found.items())]


def row(name: str, *widgets: w.DOMWidget) -> w.HBox:
    """Return a name with what belongs to it, in one line."""
    box = w.HBox([w.HTML(f'<span class="wb-name">{for_html(name)}</span>'), *widgets])
    box.add_class("wb-row")
    return box


def pressed(line: w.HBox) -> w.HBox:
    """Return a line whose button the enter key presses in its field."""
    line.add_class("wb-enter")
    return line


def fields(*rows: w.DOMWidget) -> w.Box:
    """Return lines of fields, side by side where there is room."""
    box = w.Box(rows)
    box.add_class("wb-fields")
    return box


def folder_note() -> w.HTML:
    """Return a line that says where files are looked for and saved."""
    note = w.HTML(f"Files are looked for and saved in <code>{for_html(str(work_folder()))}</code>")
    note.add_class("wb-note")
    return note


class OpenFields:
    """Open a build from the list or by its name."""

    def __init__(self, state: BuildState) -> None:
        self.state = state
        self._moving = False
        self.pick = w.Dropdown(layout=WIDE)
        self.path = w.Text(placeholder="my_build.toml", layout=WIDE, continuous_update=False)
        self.button = w.Button(description="Open file", tooltip="Open the file named here")
        self.refresh()
        self.pick.observe(self.picked, "value")
        self.button.on_click(lambda _: self.load())
        file = pressed(row("or file", self.path, self.button))
        self.box = w.VBox([fields(row("build", self.pick), file), folder_note()])

    def refresh(self) -> None:
        """List the builds anew."""
        self._moving = True
        self.pick.options = listing("", "builds", "*.toml")
        self.pick.index = 0
        self._moving = False

    def picked(self, change: Any) -> None:
        """A build was chosen from the list, which then offers all of them again, this one too."""
        if not self._moving and change["new"]:
            path = Path(change["new"])
            self.state.load(path, example=path.parent == shipped("builds").resolve())
            self._moving = True
            self.pick.index = 0
            self._moving = False

    def load(self) -> None:
        """Open the file in the field."""
        name = self.path.value.strip()
        if not name:
            self.state.problem = "file: no name; accepted: a path such as my_build.toml"
        else:
            self.state.load(work_folder() / name)


class SaveFields:
    """Name a build, save it under a path, see what differs from its file."""

    def __init__(self, state: BuildState) -> None:
        self.state = state
        self._moving = False
        self._asked: Path | None = None
        self.path = w.Text(value="my_build.toml", layout=WIDE, continuous_update=False)
        self.title = w.Text(continuous_update=False, layout=WIDE)
        self.button = w.Button(description="Save file", tooltip="Save the build as it stands now")
        self.button.add_class("wb-main")
        self.saved: Callable[[], None] = lambda: None
        self.differences = w.HTML()
        self.refresh()
        self.title.observe(self.titled, "value")
        self.button.on_click(lambda _: self.save())
        state.observe(self.refresh, ["shown", "path", "saved"])
        file = pressed(row("file", self.path, self.button))
        self.box = w.VBox([fields(row("title", self.title), file), folder_note(), self.differences])

    def refresh(self, _: Any = None) -> None:
        """Show the build's title, its file, and what differs from that."""
        self._moving = True
        self.title.value = self.state.build.title
        if self.state.path is not None:
            self.path.value = self.state.path.name
        self.differences.value = differences_html(self.state)
        self._moving = False

    def titled(self, change: Any) -> None:
        """Another title was typed."""
        if not self._moving:
            self.state.change({"title": change["new"].strip() or self.state.build.title})

    def save(self) -> None:
        """Save to the file in the field; a file of another build is replaced only when asked twice."""
        name = self.path.value.strip()
        if not name:
            self.state.problem = "file: no name; accepted: a path such as my_build.toml"
            return
        target = work_folder() / (name if Path(name).suffix else f"{name}.toml")
        if self._is_another(target) and self._asked != target:
            self._asked = target
            self.state.problem = f"{target.name} is there already; press “Save file” once more to replace it"
            return
        self._asked = None
        if self.state.save(target):
            self.saved()

    def _is_another(self, target: Path) -> bool:
        """Whether a file is there that is not the one this build was opened from or saved to."""
        try:
            return target.exists() and (self.state.path is None or not target.samefile(self.state.path))
        except (OSError, ValueError):
            return False  # saving says what is wrong with the path


def differences_html(state: BuildState) -> str:
    """Return what differs from the build's file as a table, and what was measured since; empty where nothing does."""
    rows: list[tuple[Words, ...]] = [
        (_label(key), _written(key, there), _written(key, here)) for key, (there, here) in state.differences.items()
    ]
    table = ""
    if rows:
        caption = f"Not saved yet: what differs from {state.path.name}"
        table = render_block(Table(("value", "in the file", "now"), tuple(rows), caption, (1, 2)))
    new = ", ".join(key_words(key) for key in state.measured_since)
    said = f"Measured since it was saved, and kept beside it with Save: {new}." if new else ""
    return table + (f'<div class="wb-small">{for_html(said)}</div>' if said else "")


def _label(key: str) -> str:
    if key in build_keys():
        return full_label_of(key)
    _, _, ranged = key.partition(".")  # a key of the table of ranges, after the table's own name
    return f"range of the {key_words(ranged)}"


def _written(key: str, value: Any) -> str:
    if key not in build_keys():
        return "–" if value is None else str(value)
    return value_text(value, build_keys()[key]) or "–"
