"""The first notebook's page."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

import ipywidgets as w

from widgets.boot_view import BootView
from widgets.captures import CaptureFiles
from widgets.frame import Frame, begin
from widgets.overlay import OverlayState
from widgets.time_state import TimeState

AROUND = 376  # [px], rail, reading, buttons, reading line, curves, states and foot: what else the first screen has
NARROW, LOW = 600, 330  # [px], on a page narrower than that the picture is so high
EXAMPLE = "tide_board_never_starts.toml"


class BootPage:
    """The frame with the start's picture in it, and a capture over that."""

    def __init__(self, path: str | Path | None = None, threaded: bool = True) -> None:
        self.state = begin(path, EXAMPLE, threaded)
        self.time = TimeState(self.state)
        self.overlay = OverlayState()
        self.frame = Frame(self.state, "Boot", "Will it boot?")
        self.view = BootView(self.state, self.frame.margin, self.time, self.overlay)
        self.lay = w.ToggleButton(description="Lay a capture over", tooltip="Compare with what the scope saw")
        self.lay.observe(self._laid, "value")
        self.view.times.bar.children = (*self.view.times.bar.children, self.lay)
        self.captured = w.VBox([])
        self.frame.stage.children = [self.view.times.bar, self.captured, *self.view.stage[1:]]
        self.frame.side.children = self.view.side
        self.frame.sent = [*self.view.widgets, self.captured]
        self.frame.access.observe(self._sized, ["width", "height", "ratio", "dark"])
        self.box = self.frame.box

    @cached_property
    def captures(self) -> CaptureFiles:
        """The fields of a capture; a third of the page's widgets, made when they are first asked for."""
        return CaptureFiles(self.state, self.overlay)

    def _sized(self, _: object) -> None:
        access = self.frame.access
        height = LOW if access.width < NARROW else access.height - AROUND
        self.view.resize(access.width, height, access.ratio, access.dark)

    def _laid(self, change: dict[str, bool]) -> None:
        self.captured.children = [self.captures.box] if change["new"] else []


def will_it_boot(path: str | Path | None = None) -> w.VBox:
    """Return the page of the first notebook.

    Parameters
    ----------
    path : str or Path or None
        Build to begin with; None for the folder's working copy, or where it has none, the tide board that never
        starts.
    """
    return BootPage(path).box
