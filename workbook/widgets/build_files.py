"""Builds with what has been measured of them, from their files and back.

``load_measured``  a build and the log beside it
``save_measured``  both
"""

from __future__ import annotations

import os
from pathlib import Path

from inrushlib.build import Build, load_build, to_toml
from inrushlib.errors import InrushError
from inrushlib.files import write_together
from inrushlib.measurements import MeasurementLog, log_beside, log_text, log_with, parse_log, read_log


def load_measured(path: str | Path) -> tuple[Build, str]:
    """Return the build of a file with what the log beside it says; why there is nothing of the log, where it is broken.

    Parameters
    ----------
    path : str or Path
        The build's file.

    Raises
    ------
    BuildError
        Where the build is not right.
    """
    build, beside = load_build(path), log_beside(path)
    if not os.path.lexists(beside):
        return build, ""
    try:
        return build.with_measured(read_log(beside)), ""
    except InrushError as error:
        return build, str(error)


def save_measured(build: Build, path: str | Path) -> None:
    """Write a build, and below what stands in the log beside it what is not there yet; both or neither.

    A log is only ever added to: what was measured stays there, also where the build went on to another value.

    Parameters
    ----------
    build : Build
        Any build.
    path : str or Path
        The build's file.

    Raises
    ------
    BuildError
        Where one cannot be written, or the log that is there cannot be read.
    """
    contents: dict[str | os.PathLike[str], str | bytes] = {}
    # As a file gives them back: its numbers have seven digits.
    log, beside = parse_log(log_text(build.measured)), log_beside(path)
    if log.rows:
        new = log.beyond(read_log(beside) if os.path.lexists(beside) else MeasurementLog())
        if new.rows:
            contents[beside] = log_with(beside, new.rows, new.together)
    # One without the other would tell a value that no one measured, or a reading that changed nothing.
    write_together({**contents, path: to_toml(build)})
