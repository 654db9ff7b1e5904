"""The paper that a sheet is for."""

from __future__ import annotations

from enum import StrEnum


class Paper(StrEnum):
    """A size of paper: ISO 216, and the one of North America (ANSI/ASME Y14.1, size A)."""

    A4 = "A4"
    LETTER = "letter"
