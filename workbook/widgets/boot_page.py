"""The first notebook's page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as w

from inrushlib.build import load_build
from widgets.access import Access
from widgets.boot_view import BootView
from widgets.captures import CaptureFiles
from widgets.controls import Controls
from widgets.files import BuildFiles, shipped
from widgets.look import STYLE
from widgets.overlay import OverlayState
from widgets.state import BootState

DEFAULT = "tide_board_never_starts.toml"
BUILD, CAPTURE = "Build file", "Capture"
HELP = (
    "Point at a name, or step to its field, and this line says what it means and where to find the value. A field "
    "takes values such as 22u, 470 uF or 1.2; an emptied one goes back to its default."
)


class BootPage:
    """State, controls and view of the first notebook, put together."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        path = Path(path or shipped("builds") / DEFAULT)
        self.state = BootState(load_build(path), threaded)
        self.state.path = path
        self.overlay = OverlayState()
        self.controls = Controls(self.state)
        self.files = BuildFiles(self.state)
        self.captures = CaptureFiles(self.state, self.overlay)
        self.view = BootView(self.state, self.overlay)
        self.access = Access()
        self.access.observe(lambda _: self.view.resize(self.access.width, self.access.ratio), ["width", "ratio"])
        self.access.observe(lambda _: self.view.send_again(), "built")
        self.tabs = w.ToggleButtons(options=(BUILD, CAPTURE, *self.controls.names), value=self.controls.names[0])
        self.tabs.add_class("wb-tabs")
        self.tabs.observe(self.turned, "value")
        self.panel = w.VBox([])
        self.panel.add_class("wb-panel")
        self.help = w.HTML(f'<div class="wb-help">{HELP}</div>')
        self.box = self._lay_out()
        self.turned()

    def _lay_out(self) -> w.VBox:
        left = w.VBox([self.tabs, self.panel, self.view.problem, self.help])
        left.add_class("wb-left")
        right = w.VBox([self.view.box])
        right.add_class("wb-right")
        columns = w.Box([left, right])
        columns.add_class("wb-columns")
        page = w.VBox([w.HTML(STYLE), self.view.verdict, columns, self.access])
        page.add_class("wb-page")
        return page

    def turned(self, _: Any = None) -> None:
        """Another group was chosen."""
        name = self.tabs.value
        own = {BUILD: self.files.box, CAPTURE: self.captures.box}
        shown = own[name] if name in own else self.controls.open(name)
        # Says to whoever looks at the page from outside which group stands there.
        shown.add_class(f"wb-group-{name.lower().replace(' ', '-')}")
        self.panel.children = [shown]


def will_it_boot(path: str | Path | None = None) -> w.VBox:
    """Return the page of the first notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the tide board that never starts.
    """
    return BootPage(path).box
