"""What has been measured of a build, for the commands: the log beside its file, and what JSON says of it.

``load_with_log``  a build, with what the log beside its file says
``measured_list``  rows by the names of JSON
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from inrushlib.build import Build, load_build
from inrushlib.measurements import Measurement, log_beside, read_log


def load_with_log(path: Path) -> Build:
    """Return the build of a file, with what the log beside it says has been measured; its values as the file has them.

    Parameters
    ----------
    path : Path
        The build's file.

    Raises
    ------
    BuildError
        Where the build or the log is not right.
    """
    build = load_build(path)
    log = log_beside(path)
    return build.with_measured(read_log(log)) if os.path.lexists(log) else build


def measured_list(rows: Iterable[Measurement], build: Build) -> list[dict[str, Any]]:
    """Return rows by the names of JSON.

    Parameters
    ----------
    rows : iterable of Measurement
        What was measured.
    build : Build
        As its file has it.
    """
    return [
        {
            "key": row.key, "value": row.value, "low": row.low, "high": row.high, "level": row.level,
            "how": row.how.value, "source": row.source, "day": row.day.isoformat(), "build": build.get(row.key),
        }
        for row in rows
        if build.get(row.key) is not None
    ]  # fmt: skip
