"""What went wrong, in the words of the page."""

from __future__ import annotations

from inrushlib.errors import InrushError
from inrushlib.trace import CaptureRefused


def words_of(error: InrushError) -> str:
    """Return what is wrong; a refused capture names the page's controls."""
    return error.for_page if isinstance(error, CaptureRefused) else str(error)
