"""What switched when, in words."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from inrushlib.model import layout as at


class Kind(StrEnum):
    """What kind of switching it was; the value says it in words, with the index where there is one."""

    OVER = "adapter reaches its limit"
    NOT_OVER = "adapter leaves its limit"
    ALLOWANCE_SPENT = "adapter's short-term allowance is spent"
    TRIP = "adapter trips"
    RETRY = "adapter tries again"
    MAINS_OFF = "mains goes away"
    MAINS_ON = "mains comes back"
    RAIL_UP = "rail reaches the level that ends reset"
    RAIL_DIP = "rail falls below that level again"
    RESET_RELEASE = "controller comes out of reset and boots"
    BROWN_OUT = "controller browns out and resets"
    RUN = "controller runs the program"
    GATE_LOW = "gate is pulled low"
    BOOT_PEAK_START = "peak of the boot starts"
    BOOT_PEAK_END = "peak of the boot ends"
    BURST_START = "radio burst starts"
    BURST_END = "radio burst ends"
    FRAME_START = "{frame} starts"
    FRAME_END = "{frame} ends"
    FRAME_LOST = "{frame} is lost"
    ABOVE = "section {section} reaches the supply for data"
    LISTENS = "section {section} is ready for data"
    DEAF = "section {section} falls below the supply for data"
    SHOWS = "section {section} shows data"
    FORGETS = "section {section} forgets its data"


_CODES = {
    at.E_OVER: Kind.OVER,
    at.E_NOT_OVER: Kind.NOT_OVER,
    at.E_ALLOWANCE_SPENT: Kind.ALLOWANCE_SPENT,
    at.E_TRIP: Kind.TRIP,
    at.E_RETRY: Kind.RETRY,
    at.E_MAINS_OFF: Kind.MAINS_OFF,
    at.E_MAINS_ON: Kind.MAINS_ON,
    at.E_RAIL_UP: Kind.RAIL_UP,
    at.E_RAIL_DIP: Kind.RAIL_DIP,
    at.E_BOOT_PEAK_START: Kind.BOOT_PEAK_START,
    at.E_BOOT_PEAK_END: Kind.BOOT_PEAK_END,
    at.E_RESET_RELEASE: Kind.RESET_RELEASE,
    at.E_BROWN_OUT: Kind.BROWN_OUT,
    at.E_RUN: Kind.RUN,
    at.E_GATE_LOW: Kind.GATE_LOW,
    at.E_BURST_START: Kind.BURST_START,
    at.E_BURST_END: Kind.BURST_END,
    at.E_FRAME_START: Kind.FRAME_START,
    at.E_FRAME_END: Kind.FRAME_END,
    at.E_FRAME_LOST: Kind.FRAME_LOST,
    at.E_ABOVE: Kind.ABOVE,
    at.E_LISTENS: Kind.LISTENS,
    at.E_DEAF: Kind.DEAF,
    at.E_SHOWS: Kind.SHOWS,
    at.E_FORGETS: Kind.FORGETS,
}
_OF_LUMPS = (Kind.ABOVE, Kind.LISTENS, Kind.DEAF, Kind.SHOWS, Kind.FORGETS)
_FRAMES = {at.SHOWS_FIRST: "first-frame colour", at.SHOWS_CONTENT: "content"}


@dataclass(frozen=True)
class Switching:
    """One switching.

    Attributes
    ----------
    time : float
        When [s].
    kind : Kind
        What kind.
    index : int or None
        The section, or for a frame 1 (first-frame colour) or 2 (content) [1].
    """

    time: float
    kind: Kind
    index: int | None = None

    @property
    def what(self) -> str:
        """The switching in words."""
        frame = f"frame with {_FRAMES.get(float(self.index or 0), '')}"
        return self.kind.value.format(section=self.index, frame=frame)


class _Sections:
    """Turns what lumps do into what their sections do: a section does what all its lumps do."""

    _GAINED: ClassVar = {Kind.ABOVE: Kind.DEAF, Kind.LISTENS: Kind.DEAF, Kind.SHOWS: Kind.FORGETS}

    def __init__(self, section_of: Sequence[int]) -> None:
        self.section_of = section_of
        self.size = Counter(section_of)
        self.lumps: dict[tuple[Kind, int], set[int]] = defaultdict(set)

    def take(self, time: float, kind: Kind, lump: int) -> Switching | None:
        """Return the section's switching, where the lump's makes one."""
        section = self.section_of[lump]
        if kind in self._GAINED:
            having = self.lumps[kind, section]
            complete = len(having) == self.size[section]
            having.add(lump)
            # A section that shows already shows the next picture once its last lump does.
            if len(having) < self.size[section] or (complete and lump != self._last(section)):
                return None
            return Switching(time, kind, section)
        complete = False
        for gained, lost in self._GAINED.items():
            if lost is kind:
                having = self.lumps[gained, section]
                complete |= len(having) == self.size[section]
                having.discard(lump)
        return Switching(time, kind, section) if complete else None

    def _last(self, section: int) -> int:
        return max(lump for lump, of in enumerate(self.section_of) if of == section)


def read_log(log: NDArray[np.float64], section_of: Sequence[int], *, gate: bool) -> tuple[Switching, ...]:
    """Return the compiled run's log as switchings; those of the gate only where there is one.

    Parameters
    ----------
    log : (n, 3) array
        Time [s], code, index.
    section_of : sequence of int
        Index of the section of each lump [1]: what all lumps of a section do is said of the section.
    gate : bool
        Whether there is a gate.
    """
    sections = _Sections(section_of)
    found: list[Switching] = []
    for t, code, index in log:
        kind = _CODES[int(code)]
        if kind in _OF_LUMPS:
            switching = sections.take(float(t), kind, int(index))
            if switching is not None:
                found.append(switching)
        elif gate or kind is not Kind.GATE_LOW:
            found.append(Switching(float(t), kind, None if index < 0 else int(index)))
    return tuple(found)
