"""Where the notebooks are, and a copy of them that may be edited."""

from __future__ import annotations

import sys
from pathlib import Path

from inrushlib.errors import BuildError
from inrushlib.files import reason_of, write_safely
from inrushlib.text import one_line

FIRST_NOTEBOOK = "1_will_it_boot.ipynb"
DEFAULT_BUILD = "tide_board_never_starts.toml"
COPY = "inrush-workbook"


def workbook_folder() -> Path:
    """Return the folder with the notebooks: beside the package in a checkout, inside it once installed.

    Raises
    ------
    BuildError
        Where the notebooks are neither in the package nor beside it.
    """
    here = Path(__file__).resolve().parent.parent
    for folder in (here / "_workbook", here.parent / "workbook"):
        if (folder / FIRST_NOTEBOOK).is_file():
            return folder
    raise BuildError(f"the workbook is not there: no {FIRST_NOTEBOOK} in or beside {here}; install the package anew")


def default_build() -> Path:
    """Return the file of the build that the first notebook begins with.

    Raises
    ------
    BuildError
        Where there are no notebooks.
    """
    return workbook_folder() / "builds" / DEFAULT_BUILD


def own_copy(work: Path) -> Path:
    """Return notebooks that may be edited: the checkout's own, or a copy in the folder of the start.

    A file that is there already stays as it is; where it is not the one that comes along, that is said.

    Parameters
    ----------
    work : Path
        Folder of the start; the copy is made in it.

    Raises
    ------
    BuildError
        Where a file or its folder cannot be written; what has been copied before stays.
    """
    folder = workbook_folder()
    if folder.name != "_workbook":
        return folder
    target = work / COPY
    for path in sorted(folder.rglob("*")):
        copy = target / path.relative_to(folder)
        if not path.is_file() or {"__pycache__", ".ipynb_checkpoints"} & set(path.parts):
            continue
        if not copy.exists():
            _make_folder(copy.parent)
            write_safely(path.read_bytes(), copy)
        elif copy.read_bytes() != path.read_bytes():
            print(
                f"{one_line(str(copy.relative_to(work)))} stays as it is; this version brings another one",
                file=sys.stderr,
            )
    return target


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        problem = f"cannot be made: {reason_of(error)}; accepted: a start in a folder that may be written"
        raise BuildError(problem, source=str(folder)) from None
