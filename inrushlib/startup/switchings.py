"""What switched when, in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

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
    RESET_RELEASE = "controller comes out of reset and boots"
    BROWN_OUT = "controller browns out and resets"
    RUN = "controller runs the program"
    GATE_LOW = "gate is pulled low"
    BURST_START = "radio burst starts"
    BURST_END = "radio burst ends"
    FRAME_START = "{frame} starts"
    FRAME_END = "{frame} ends"
    FRAME_LOST = "{frame} is lost on the line"
    ABOVE = "section {section} rises to the listen level"
    LISTENS = "section {section} listens"
    DEAF = "section {section} falls below the listen level"
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
        The section, or for a frame 1 (first-frame colour) or 2 (content).
    """

    time: float
    kind: Kind
    index: int | None = None

    @property
    def what(self) -> str:
        """The switching in words."""
        frame = f"frame with {_FRAMES.get(float(self.index or 0), '')}"
        return self.kind.value.format(section=self.index, frame=frame)


def read_log(log: NDArray[np.float64], *, gate: bool) -> tuple[Switching, ...]:
    """Return the compiled run's log as switchings; those of the gate only where there is one."""
    rows = [(float(t), _CODES[int(code)], None if index < 0 else int(index)) for t, code, index in log]
    return tuple(Switching(*row) for row in rows if gate or row[1] is not Kind.GATE_LOW)
