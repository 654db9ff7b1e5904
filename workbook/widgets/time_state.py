"""Which part of a run is shown, and at which instant it is read off."""

from __future__ import annotations

from typing import Any

import traitlets as tl

from inrushlib.plots import SHOWN
from widgets.state import BuildState

NARROWEST = 2e-6  # [s]


class TimeState(tl.HasTraits):
    """Time shown, cursor, curves; no widgets in here.

    Parameters
    ----------
    state : BuildState
        Has the build.
    """

    span: Any = tl.Tuple(allow_none=True, default_value=None)
    """Time shown [s]; None for the whole run."""
    cursor = tl.Float(0.0)
    """Instant that is read off [s]."""
    voltages = tl.Tuple(default_value=SHOWN)

    def __init__(self, state: BuildState) -> None:
        super().__init__()
        self.state = state
        state.observe(self._opened, ["path", "begun"])

    def _opened(self, _: Any) -> None:
        self.span = None

    @property
    def duration(self) -> float:
        """Of the run [s]."""
        return float(self.state.build.run.duration)

    @property
    def shown_span(self) -> tuple[float, float]:
        """Time shown [s], within the run."""
        low, high = self.span or (0.0, self.duration)
        low = min(max(0.0, low), self.duration - NARROWEST)
        return low, min(max(high, low + NARROWEST), self.duration)

    def zoom(self, low: float, high: float) -> None:
        """Show from ``low`` to ``high`` [s]; the whole run where that is all of it."""
        whole = low <= 0.0 and high >= self.duration
        self.span = None if whole else (max(0.0, low), min(high, self.duration))

    def zoom_by(self, factor: float) -> None:
        """Show ``factor`` times as much time, around the cursor where that is in view."""
        low, high = self.shown_span
        centre = self.cursor if low <= self.cursor <= high else 0.5 * (low + high)
        half = max(0.5 * factor * (high - low), NARROWEST)
        first = min(max(0.0, centre - half), max(0.0, self.duration - 2 * half))
        self.zoom(first, first + 2 * half)
