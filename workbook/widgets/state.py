"""What every page knows: a build, its start, what is not accepted, what was before, what its file has."""

from __future__ import annotations

import asyncio
import atexit
import contextlib
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

import traitlets as tl

from inrushlib.build import Build, build_keys
from inrushlib.errors import InrushError
from inrushlib.measurements import MeasurementLog
from inrushlib.startup import hold_lumps, simulate
from widgets.build_files import load_measured, save_measured
from widgets.history import History
from widgets.keeper import Keeper
from widgets.worker import COMPUTE, KEEP, Latest, Underway
from widgets.working_copy import Kept, WorkingCopy

NOTHING = MeasurementLog()
SOON = 0.1  # [s] after a change, in which its picture goes first


class BuildState(tl.HasTraits):
    """State of a page; no widgets in here.

    Parameters
    ----------
    build : Build
        What to begin with.
    threaded : bool
        False computes in the caller's thread, for tests.
    copy : WorkingCopy or None
        Where every change is kept; what it holds wins over ``build``. None: nowhere.
    """

    build = tl.Any()
    shown = tl.Any()
    """The build as fields, chain and rail show it: it follows ``build`` a moment later, the picture goes first."""
    start = tl.Any(allow_none=True)
    refused = tl.Dict()
    """Values that were entered and are not accepted, by key; they are tried again with every change."""
    refusals = tl.Dict()
    """Why each of them is not accepted."""
    problem = tl.Unicode("")
    message = tl.Unicode("")
    path = tl.Any(allow_none=True)
    """The build's file; None where it has none of its own yet."""
    saved = tl.Any(allow_none=True)
    """The build as its file has it; None where there is none."""
    begun = tl.Int(0)
    """How often the page went on with another build altogether."""

    def __init__(self, build: Build, threaded: bool = True, copy: WorkingCopy | None = None) -> None:
        super().__init__()
        self.worker = Latest(threaded, self._failed)
        self.answers = Underway()
        """Questions that are being answered for the page to show."""
        self.history = History()
        self.copy = copy
        self.keeper = Keeper(self._write, threaded)
        if copy is not None and threaded:
            atexit.register(self.keeper.last)
        self._moving: frozenset[str] = frozenset()
        self.build = build
        kept = copy.read() if copy is not None else None
        if kept is not None:
            self._take(kept)
        self._following: asyncio.TimerHandle | None = None
        self.shown = self.build
        self.compute()

    def change(self, values: Mapping[str, Any], learned: MeasurementLog = NOTHING) -> bool:
        """Change keys of the build; a value that is not accepted is kept apart, and ``problem`` says why.

        Values that were refused before are tried again together with these: two that only fit each other can be
        entered one after the other.

        Parameters
        ----------
        values : mapping of str to object
            Dotted key to value, as a file would give it.
        learned : MeasurementLog
            What was measured of them, kept with the build.
        """
        wanted = {**self.refused, **values}
        self.message = ""
        self._hold_lumps(frozenset(values))
        try:
            changed = self.build.with_values(wanted)
        except InrushError as error:
            return self._change_alone(values, learned, str(error))
        self._accept(_knowing(changed, learned), {}, "", _one_move(values, learned))
        return True

    def _hold_lumps(self, keys: frozenset[str]) -> None:
        """Keep the lumps as they were when these keys began to move, so that the curves do not jump under a slider."""
        if keys != self._moving:
            self._moving = keys
            self.build = hold_lumps(self.build.with_lumps_held(None))

    def _change_alone(self, values: Mapping[str, Any], learned: MeasurementLog, problem: str) -> bool:
        """Take the new values without those refused before; where they fail too, all are refused."""
        rest = {key: value for key, value in self.refused.items() if key not in values}
        try:
            changed = self.build.with_values(values) if rest else None
        except InrushError:
            changed = None
        if changed is None:
            reasons = {**self._why(rest), **dict.fromkeys(values, problem)}
            self.refused = {**rest, **values}
            self.refusals = reasons
            self.problem = problem
            return False
        self._accept(_knowing(changed, learned), rest, problem, _one_move(values, learned))
        return True

    def _accept(self, build: Build, refused: dict[str, Any], problem: str, keys: frozenset[str]) -> None:
        self.refused = refused
        self.refusals = self._why(refused)
        self.problem = problem
        if not build.is_known_as(self.build):
            self.history.record(self.build, keys)
            self._show(build)

    def _why(self, keys: Mapping[str, Any]) -> dict[str, str]:
        """Reasons of those that are still refused."""
        return {key: why for key, why in self.refusals.items() if key in keys}

    def _show(self, build: Build) -> None:
        """Go on with another build: run it, show it, keep it."""
        self._put(build)
        self.compute()
        self._follow_soon()
        self.keep()

    def _put(self, build: Build) -> None:
        """Take a build; whoever looks hears of it also where its values are the same, and only better known."""
        before, self.build = self.build, build
        if build == before and not build.is_known_as(before):
            self._tell("build", before, build)

    def _follow_soon(self) -> None:
        """Let fields, chain and rail follow: in the page's own thread, once the picture had time to be drawn."""
        try:
            loop = asyncio.get_running_loop() if self.worker.threaded else None
        except RuntimeError:
            loop = None
        if loop is None:
            self._follow_build()
        elif self._following is None:
            self._following = loop.call_later(SOON, self._follow_build)

    def _follow_build(self) -> None:
        self._following = None
        before, self.shown = self.shown, self.build
        if self.shown == before:
            self._tell("shown", before, self.shown)  # a field may show what has been taken back since

    def _tell(self, name: str, before: Build, build: Build) -> None:
        self.notify_change(tl.Bunch(name=name, old=before, new=build, owner=self, type="change"))

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

    def undo(self) -> None:
        """Go back by one change."""
        self._step(self.history.undo(self.build), "Took back the last change.")

    def redo(self) -> None:
        """Do again what was taken back."""
        self._step(self.history.redo(self.build), "Did it again.")

    def _step(self, build: Build, message: str) -> None:
        if build is self.build:
            return
        self._moving = frozenset()
        self.refused, self.problem, self.message = {}, "", message
        self._show(build)

    def reset(self, keys: Collection[str]) -> bool:
        """Take values back to their defaults, those that a build cannot do without aside.

        Parameters
        ----------
        keys : collection of str
            Dotted keys.
        """
        self.refused = {key: value for key, value in self.refused.items() if key not in keys}
        given = [key for key in keys if key in self.build.given and not build_keys()[key].required]
        return self.change(dict.fromkeys(given))

    @property
    def differences(self) -> dict[str, tuple[Any, Any]]:
        """What differs from the file: key to the value there and the value here; empty where there is no file."""
        if self.saved is None or self.path is None:  # the path goes first where an example takes a file's place
            return {}
        return dict(self.saved.differences(self.build))

    @property
    def changed(self) -> bool:
        """Whether there is something that no file has."""
        return self.saved is None or bool(self.saved != self.build) or bool(self.measured_since)

    @property
    def measured_since(self) -> tuple[str, ...]:
        """Keys that were measured since the build was opened or saved, each once."""
        known = NOTHING if self.saved is None or self.path is None else self.saved.measured
        return tuple(self.build.measured.beyond(known).newest())

    def load(self, path: str | Path, example: bool = False) -> bool:
        """Load a build; a file that is not right leaves everything as it was and says why.

        Parameters
        ----------
        path : str or Path
            The file.
        example : bool
            Whether it only is a point to start from: no file of the builder's own, whose comments are left behind.
        """
        try:
            build, problem = load_measured(path)
        except InrushError as error:
            self.problem = str(error)
            return False
        if example:
            build = build.without_comments()
        self.begin(build, None if example else Path(path), f"Opened {Path(path).name}.")
        self.problem = problem
        return True

    def begin(self, build: Build, path: Path | None, message: str) -> None:
        """Go on with another build altogether.

        Parameters
        ----------
        build : Build
            The build.
        path : Path or None
            The file that holds it; None for none.
        message : str
            What to say of it.
        """
        self._moving = frozenset()
        self.path, self.saved = path, build if path is not None else None
        self.message = message
        self.refused, self.problem = {}, ""
        self.begun += 1
        if not build.is_known_as(self.build):
            self.history.record(self.build, frozenset())
        self._show(build)

    def save(self, path: str | Path) -> bool:
        """Save the build as it stands; a save that fails leaves the old file and says why."""
        if self.refused:
            self.problem = f"{self.problem}\nnot saved: mend this first"
            return False
        build = self.build
        try:
            save_measured(build, path)
        except InrushError as error:
            self.problem = str(error)
            return False
        self.problem = ""
        self.message = f"Saved {path}."
        self.path, self.saved = Path(path), build
        self.keep()
        return True

    def keep(self) -> None:
        """Keep the build for the folder's other pages, once its picture is drawn."""
        if self.copy is not None:
            self.keeper.note()
            self.worker.submit(KEEP, self.keeper.begin)

    def _write(self) -> None:
        if self.copy is None:
            return
        try:
            self.copy.write(Kept(self.build, self.path))
        except InrushError as error:
            self.problem = f"changes live only as long as this page: {error}"

    def follow(self) -> bool:
        """Take up what another page of the folder changed; the newer change wins, and the page says so."""
        if self.copy is None or not self.copy.newer:
            return False
        kept = self.copy.read()
        if kept is None or (kept.build.is_known_as(self.build) and kept.file == self.path):
            return False
        before = self.build
        self._moving = frozenset()
        self.refused, self.problem = {}, ""
        self.message = "Changed on another page; that is what stands here now. Undo brings back what was here."
        self._take(kept)
        self.history.record(before, frozenset())
        self.compute()
        self._follow_soon()
        return True

    def _take(self, kept: Kept) -> None:
        self.path, self.saved = kept.file, None
        if kept.file is not None:
            with contextlib.suppress(InrushError):  # a file that has gone or is broken: then nothing is saved
                self.saved, self.problem = load_measured(kept.file)
        self._put(kept.build)

    def _failed(self, error: Exception) -> None:
        self.problem = f"the page hit an error of its own ({type(error).__name__}: {error}); load the page anew"


def _knowing(build: Build, learned: MeasurementLog) -> Build:
    """The build, with what was just measured of it."""
    return build.with_measured(build.measured.extended(learned)) if learned.rows else build


def _one_move(values: Mapping[str, Any], learned: MeasurementLog) -> frozenset[str]:
    """Keys by which a change belongs to the one before; none for a measurement, which is a step of its own."""
    return frozenset() if learned.rows else frozenset(values)
