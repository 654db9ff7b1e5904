"""Units by their signs, and the small drawings that say how something turns out or where a value comes from."""

from __future__ import annotations

import re
from enum import Enum

from inrushlib.parts import Origin
from inrushlib.quantities import with_signs

OHM = re.compile(r"\bohm\b")


def signs(text: str) -> str:
    """Return a quantity, a unit alone, or a text that names some, with the signs of the units."""
    return OHM.sub("Ω", with_signs(text))


class Sign(Enum):
    """How an answer turns out; a shape each, so that it can be told without colour."""

    HOLDS = "holds"
    THIN = "thin"
    SHORT = "short"

    @property
    def drawing(self) -> str:
        """The sign as a drawing within HTML."""
        return f'<svg viewBox="0 0 30 30" aria-hidden="true">{_SHAPES[self]}</svg>'


_TICK = 'd="M8.5 15.5 l4.5 4.5 l8.5 -10" fill="none" stroke-width="2.8" stroke-linecap="round" stroke-linejoin="round"'
_SHAPES = {
    Sign.HOLDS: f'<circle cx="15" cy="15" r="14" fill="currentColor"/><path {_TICK} stroke="var(--wb-sheet)"/>',
    Sign.THIN: (
        '<circle cx="15" cy="15" r="12.6" fill="none" stroke="currentColor" stroke-width="2.8"/>'
        f'<path {_TICK} stroke="currentColor"/>'
    ),
    Sign.SHORT: (
        '<path d="M9.7 2.2 h10.6 l7.5 7.5 v10.6 l-7.5 7.5 h-10.6 l-7.5 -7.5 v-10.6 z" fill="none" '
        'stroke="currentColor" stroke-width="2.6" stroke-dasharray="4.5 3"/>'
        '<path d="M10 10 l10 10 M20 10 l-10 10" stroke="currentColor" stroke-width="2.8" stroke-linecap="round"/>'
    ),
}


_FILLS = {
    Origin.MEASURED: '<circle cx="5" cy="5" r="4" fill="currentColor"/>',
    Origin.GIVEN: '<path d="M5 1 a4 4 0 0 0 0 8 z" fill="currentColor"/>',
    Origin.CLASS: '<path d="M5 1 a4 4 0 0 0 0 8 z" fill="currentColor"/>',
    Origin.ASSUMED: "",
}


def mark_of(origin: Origin) -> str:
    """Return the mark before a value that says where it comes from: full, half, or an empty ring."""
    return (
        f'<svg width="10" height="10" viewBox="0 0 10 10" role="img" aria-label="{origin.sentence}">'
        f"<title>{origin.sentence}</title>"
        f'<circle cx="5" cy="5" r="4" fill="none" stroke="currentColor" stroke-width="1.4"/>{_FILLS[origin]}</svg>'
    )
