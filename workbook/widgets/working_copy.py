"""The build that a folder's pages work on, kept on the disk.

One working copy belongs to a folder. Every page of that folder takes it up, writes its changes into it and follows
what another page wrote; so a change outlives a reload, a way back and a kernel that ended.
"""

from __future__ import annotations

import json
import os
import threading
from dataclasses import dataclass
from pathlib import Path

from inrushlib.build import Build, parse_build, to_toml
from inrushlib.errors import InrushError
from inrushlib.files import read_bytes, write_safely
from inrushlib.measurements import log_text, parse_log

NAME = ".inrush-working-copy.json"


@dataclass(frozen=True)
class Kept:
    """What a working copy holds.

    Attributes
    ----------
    build : Build
        The build as it stands, with what has been measured of it.
    file : Path or None
        The file it was opened from or saved to; None where it has none of its own yet.
    """

    build: Build
    file: Path | None


class WorkingCopy:
    """The working copy of one folder.

    Parameters
    ----------
    folder : Path
        Where it is kept.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self._seen: tuple[int, int] | None = None
        # Asked between a writing and the note of it, a page would take its own last build for another page's newer one.
        self._busy = threading.RLock()

    def read(self) -> Kept | None:
        """Return what is kept; None where there is nothing, or nothing that can be read as a build."""
        with self._busy:
            return self._read()

    def _read(self) -> Kept | None:
        seen = self._stamp()
        try:
            held = json.loads(read_bytes(self.path, accepted="a working copy"))
            file, text = held["file"], str(held["build"])
            log = parse_log(str(held.get("measured", "")), self.path.name)
            build = parse_build(text, source=self.path.name).with_measured(log)
            kept = Kept(build, None if file is None else Path(file))
        except (InrushError, ValueError, KeyError, TypeError):
            return None  # lost or damaged: the page begins with its example, and says nothing wrong
        self._seen = seen
        return kept

    def write(self, kept: Kept) -> None:
        """Keep a build.

        Parameters
        ----------
        kept : Kept
            What to keep.

        Raises
        ------
        BuildError
            Where it cannot be written; what was kept before is left.
        """
        file = None if kept.file is None else os.fspath(kept.file)
        held = {"file": file, "build": to_toml(kept.build), "measured": log_text(kept.build.measured)}
        text = json.dumps(held, indent=1)
        with self._busy:
            write_safely(text, self.path)
            seen = self._stamp()
            # Another page, perhaps of another server, may have written since: then its copy stands there, unseen.
            self._seen = seen if self._holds(text) else None

    @property
    def newer(self) -> bool:
        """Whether another page has written since this one read or wrote."""
        with self._busy:
            stamp = self._stamp()
            return stamp is not None and stamp != self._seen

    def _holds(self, text: str) -> bool:
        try:
            return read_bytes(self.path, accepted="a working copy") == text.encode()
        except InrushError:
            return False

    def _stamp(self) -> tuple[int, int] | None:
        """What tells one writing from the next: each makes a new file."""
        try:
            status = self.path.stat()
        except OSError:
            return None
        return status.st_mtime_ns, status.st_ino
