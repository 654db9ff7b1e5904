"""Load and save a build."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.text import for_html, one_line
from widgets.state import BootState

HERE = Path(__file__).resolve().parent.parent
WIDE = w.Layout(width="auto", flex="1 1 0", min_width="0")
NAME = w.Layout(width="64px", flex="0 0 64px")
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
            if path.is_file() and path.name != "pyproject.toml":
                found.setdefault(str(path.resolve()), words + one_line(path.name))
    return [(FIRST, ""), *((name, path) for path, name in found.items())]


def row(name: str, *widgets: w.DOMWidget) -> w.HBox:
    """Return a name with what belongs to it, in one line."""
    box = w.HBox([w.HTML(name, layout=NAME), *widgets])
    box.add_class("wb-key")
    return box


class BuildFiles:
    """Load a build from the list or a path, name it, save it under a path."""

    def __init__(self, state: BootState) -> None:
        self.state = state
        self._moving = False
        self._asked: Path | None = None
        self.pick = w.Dropdown(layout=WIDE)
        self.path = w.Text(value="my_build.toml", layout=WIDE)
        self.title = w.Text(continuous_update=False, layout=WIDE)
        self.load_button = w.Button(description="Load", icon="folder-open", tooltip="Load the file named here")
        self.save_button = w.Button(description="Save", icon="save", tooltip="Save the build as it stands now")
        self.refresh()
        self.entitle()
        self.pick.observe(self.picked, "value")
        self.title.observe(self.titled, "value")
        self.load_button.on_click(lambda _: self.load())
        self.save_button.on_click(lambda _: self.save())
        state.observe(self.entitle, "build")
        note = w.HTML(f"Files are looked for and saved in<br><code>{for_html(str(work_folder()))}</code>")
        note.add_class("wb-note")
        buttons = w.HBox([self.load_button, self.save_button])
        buttons.add_class("wb-buttons")
        self.box = w.VBox(
            [row("build", self.pick), row("title", self.title), row("file", self.path), buttons, note]
        )  # fmt: skip

    def refresh(self) -> None:
        """List the builds anew."""
        self._moving = True
        self.pick.options = listing("", "builds", "*.toml")
        self._moving = False

    def entitle(self, _: Any = None) -> None:
        """Show the build's title."""
        self._moving = True
        self.title.value = self.state.build.title
        self._moving = False

    def titled(self, change: Any) -> None:
        """Another title was typed."""
        if not self._moving:
            self.state.change({"title": change["new"].strip() or self.state.build.title})

    def picked(self, change: Any) -> None:
        """A build was chosen from the list."""
        if not self._moving and change["new"] and self.state.load(change["new"]):
            self.path.value = Path(change["new"]).name

    def load(self) -> None:
        """Load the file in the field."""
        self.state.load(work_folder() / self.path.value.strip())

    def save(self) -> None:
        """Save to the file in the field; a file of another build is replaced only when asked twice."""
        name = self.path.value.strip()
        if not name:
            self.state.problem = "file: no name; accepted: a path such as my_build.toml"
            return
        target = work_folder() / (name if Path(name).suffix else f"{name}.toml")
        if self._is_another(target) and self._asked != target:
            self._asked = target
            self.state.problem = f"{target.name} is there already; press Save once more to replace it"
            return
        self._asked = None
        if self.state.save(target):
            self.refresh()

    def _is_another(self, target: Path) -> bool:
        """Whether a file is there that is not the one this build was loaded from or saved to."""
        try:
            return target.exists() and (self.state.path is None or not target.samefile(self.state.path))
        except (OSError, ValueError):
            return False  # saving says what is wrong with the path
