"""What the first notebook knows: a build, its start, what is not accepted, which part is shown."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import traitlets as tl

from inrushlib.build import Build, load_build, save_build
from inrushlib.errors import InrushError
from inrushlib.plots import SHOWN
from inrushlib.startup import hold_lumps, simulate
from widgets.worker import COMPUTE, Latest

NARROWEST = 2e-6  # [s]


class BootState(tl.HasTraits):
    """State of the page; no widgets in here.

    Parameters
    ----------
    build : Build
        What to begin with.
    threaded : bool
        False computes in the caller's thread, for tests.
    """

    build = tl.Any()
    start = tl.Any(allow_none=True)
    refused = tl.Dict()
    """Values that were entered and are not accepted, by key; they are tried again with every change."""
    problem = tl.Unicode("")
    message = tl.Unicode("")
    path = tl.Any(allow_none=True)
    span: Any = tl.Tuple(allow_none=True, default_value=None)
    """Time shown [s]; None for the whole run."""
    cursor = tl.Float(0.0)
    """Instant that is read off [s]."""
    voltages = tl.Tuple(default_value=SHOWN)

    def __init__(self, build: Build, threaded: bool = True) -> None:
        super().__init__()
        self.worker = Latest(threaded, self._failed)
        self._moving: frozenset[str] = frozenset()
        self.build = build
        self.compute()

    def change(self, values: Mapping[str, Any]) -> bool:
        """Change keys of the build; a value that is not accepted is kept apart, and ``problem`` says why.

        Values that were refused before are tried again together with these: two that only fit each other can be
        entered one after the other.
        """
        wanted = {**self.refused, **values}
        self.message = ""
        self._hold_lumps(frozenset(values))
        try:
            changed = self.build.with_values(wanted)
        except InrushError as error:
            return self._change_alone(values, str(error))
        self._accept(changed, {}, "")
        return True

    def _hold_lumps(self, keys: frozenset[str]) -> None:
        """Keep the lumps as they were when these keys began to move, so that the curves do not jump under a slider."""
        if keys != self._moving:
            self._moving = keys
            self.build = hold_lumps(self.build.with_lumps_held(None))

    def _change_alone(self, values: Mapping[str, Any], problem: str) -> bool:
        """Take the new values without those refused before; where they fail too, all are refused."""
        rest = {key: value for key, value in self.refused.items() if key not in values}
        try:
            changed = self.build.with_values(values) if rest else None
        except InrushError:
            changed = None
        if changed is None:
            self.refused = {**rest, **values}
            self.problem = problem
            return False
        self._accept(changed, rest, problem)
        return True

    def _accept(self, build: Build, refused: dict[str, Any], problem: str) -> None:
        self.refused = refused
        self.problem = problem
        same = build == self.build
        self.build = build  # also where only the classes or what is given differ
        if not same:
            self.compute()

    def compute(self) -> None:
        """Run the newest build, and only that."""
        build = self.build

        def job() -> None:
            try:
                start = simulate(build)
            except InrushError as error:
                self.problem = str(error)
                return
            self.start = start

        self.worker.submit(COMPUTE, job)

    def load(self, path: str | Path) -> bool:
        """Load a build; a file that is not right leaves everything as it was and says why."""
        try:
            build = load_build(path)
        except InrushError as error:
            self.problem = str(error)
            return False
        self.message = f"Loaded {Path(path).name}."
        self._moving = frozenset()
        self.path = Path(path)
        self.span = None
        self._accept(build, {}, "")
        return True

    def save(self, path: str | Path) -> bool:
        """Save the build as it stands; a save that fails leaves the old file and says why."""
        if self.refused:
            self.problem = f"{self.problem}\nnot saved: mend this first"
            return False
        try:
            save_build(self.build, path)
        except InrushError as error:
            self.problem = str(error)
            return False
        self.problem = ""
        self.message = f"Saved {path}."
        self.path = Path(path)
        return True

    @property
    def shown_span(self) -> tuple[float, float]:
        """Time shown [s], within the run."""
        duration = self.build.run.duration
        low, high = self.span or (0.0, duration)
        low = min(max(0.0, low), duration - NARROWEST)
        return low, min(max(high, low + NARROWEST), duration)

    def zoom(self, low: float, high: float) -> None:
        """Show from ``low`` to ``high`` [s]; the whole run where that is all of it."""
        duration = self.build.run.duration
        whole = low <= 0.0 and high >= duration
        self.span = None if whole else (max(0.0, low), min(high, duration))

    def zoom_by(self, factor: float) -> None:
        """Show ``factor`` times as much time, around the cursor where that is in view."""
        low, high = self.shown_span
        centre = self.cursor if low <= self.cursor <= high else 0.5 * (low + high)
        half = max(0.5 * factor * (high - low), NARROWEST)
        duration = self.build.run.duration
        first = min(max(0.0, centre - half), max(0.0, duration - 2 * half))
        self.zoom(first, first + 2 * half)

    def _failed(self, error: Exception) -> None:
        self.problem = f"the page hit an error of its own ({type(error).__name__}: {error}); load the page anew"
