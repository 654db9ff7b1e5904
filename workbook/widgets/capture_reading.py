"""What a page can be told about a capture's file: a control for each setting of the reader, the file's first lines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from inrushlib.text import for_html
from inrushlib.trace import SETTINGS, Setting, SettingSpec
from widgets.files import WIDE, row
from widgets.overlay import OverlayState

ELSEWHERE = (Setting.TIME_UNIT,)  # with a control of its own beside the channels
OPEN, SHUT = "How the file is read ▾", "How the file is read ▸"


class ReadingFields:
    """A fold with a field for each setting; it opens by itself for a file that was refused."""

    def __init__(self, overlay: OverlayState, after: Callable[[], None]) -> None:
        self.overlay, self.after = overlay, after
        self._moving = False
        self.fields = {setting: _field(spec) for setting, spec in SETTINGS.items() if setting not in ELSEWHERE}
        self.fold = w.ToggleButton(description=SHUT, tooltip="Say what the file does not say itself")
        self.fold.add_class("wb-fold")
        self.lines = w.HTML()
        rows = [row(SETTINGS[setting].control, field, _about(setting)) for setting, field in self.fields.items()]
        self.rows = w.VBox([self.lines, *rows])
        self.rows.layout.display = "none"
        self.box = w.VBox([self.fold, self.rows])
        self.fold.observe(self._folded, "value")
        for setting, field in self.fields.items():
            field.observe(lambda change, setting=setting: self.tell(setting, change["new"]), "value")
        overlay.observe(self.show, ["told", "refused"])

    def tell(self, setting: Setting, text: str) -> None:
        """Say something about the file that is open."""
        if not self._moving:
            self.overlay.tell(setting, text)
            self.after()

    def show(self, _: Any = None) -> None:
        """Show what was told, and the first lines of a file that was refused."""
        self._moving = True
        for setting, field in self.fields.items():
            field.value = self.overlay.told.get(setting, "")
        self._moving = False
        text = "\n".join(f"{at:>3}  {line}" for at, line in enumerate(self.overlay.refused, 1))
        about = '<div class="wb-note">The file\'s first lines:</div>' if text else ""
        self.lines.value = f'{about}<pre class="wb-lines">{for_html(text)}</pre>' if text else ""
        if self.overlay.refused:
            self.fold.value = True

    def _folded(self, change: Any) -> None:
        self.rows.layout.display = "" if change["new"] else "none"
        self.fold.description = OPEN if change["new"] else SHUT


def _field(spec: SettingSpec) -> w.Text | w.Dropdown:
    if spec.values:
        return w.Dropdown(options=[("as the file says", ""), *((text, text) for text in spec.values)], layout=WIDE)
    shape = f"NAME={spec.shape}" if spec.by_channel else ""
    return w.Text(placeholder=shape, continuous_update=False, layout=WIDE)


def _about(setting: Setting) -> w.HTML:
    spec = SETTINGS[setting]
    several = ", several with commas between" if spec.many else ""
    about = w.HTML(for_html(f"{spec.about}{several}"))
    about.add_class("wb-note")
    return about
