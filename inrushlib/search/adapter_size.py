"""What the search for the smallest adapter comes to.

``AdapterSize``, ``NoAdapter``, ``WhyNoAdapter``
    the answer; why there is none
``StartNeed``, ``PictureNeed``, ``NoNeed``
    what the start and the running picture ask for; why one asks for nothing
``Decides``
    which of the two asks for more
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inrushlib.quantities import format_quantity
from inrushlib.search.islands import Island
from inrushlib.search.ratings import RATINGS, ROUNDING
from inrushlib.search.rerun import Rerun


class Decides(StrEnum):
    """What asks for the larger adapter; the value says it in words."""

    START = "start"
    RUNNING_PICTURE = "running picture"


class NoNeed(StrEnum):
    """Why start or running picture asks for no adapter in particular."""

    NEVER_BOOTS = "never-boots"
    NEVER_SHOWN = "never-shown"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return {NoNeed.NEVER_BOOTS: "it boots at none", NoNeed.NEVER_SHOWN: "it never comes to show it"}[self]


@dataclass(frozen=True)
class StartNeed:
    """The smallest adapter that boots at the first try.

    Attributes
    ----------
    limit_current : float
        Its limit current [A].
    rated_current : float
        The label that goes with it at the build's ratio of limit to label [A].
    """

    limit_current: float
    rated_current: float


@dataclass(frozen=True)
class PictureNeed:
    """What the running picture takes.

    Attributes
    ----------
    current : float
        Lead current [A].
    rating : float
        Of which that current is the share that a lasting load may take [A].
    """

    current: float
    rating: float

    def carried_by(self, rating: float) -> bool:
        """Whether an adapter with the label ``rating`` [A] carries it without end."""
        return rating >= self.rating * (1 - ROUNDING)


class WhyNoAdapter(StrEnum):
    """Why no standard rating is an answer."""

    PICTURE_TOO_LARGE = "picture-too-large"
    OVERSTRESSES = "overstresses"
    NONE_STARTS = "none-starts"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return f"no standard rating up to {RATINGS[-1]:g} A {_MEANINGS[self]}"


_MEANINGS = {
    WhyNoAdapter.PICTURE_TOO_LARGE: "carries its picture",
    WhyNoAdapter.OVERSTRESSES: "starts it without overstressing a part",
    WhyNoAdapter.NONE_STARTS: "starts it and carries its picture",
}


@dataclass(frozen=True, kw_only=True)
class AdapterSize:
    """The smallest adapter, SI.

    Attributes
    ----------
    standard_rating : float
        Next standard rating that starts the display, carries the picture and overstresses nothing [A].
    starting : StartNeed
        What the start asks for.
    running : PictureNeed or NoNeed
        What the running picture asks for.
    picture : str
        The running picture that was taken, in words.
    islands : tuple of Island
        All stretches of limit current that boot.
    start : Rerun
        How it starts as it is, and with the standard rating.
    runs : int
        Starts run [1].
    """

    standard_rating: float
    starting: StartNeed
    running: PictureNeed | NoNeed
    picture: str
    islands: tuple[Island, ...]
    start: Rerun
    runs: int

    @property
    def decided_by(self) -> Decides:
        """Start or running picture, whichever asks for more."""
        return _decides(self.starting, self.running)

    def to_dict(self) -> dict[str, Any]:
        """Return it as one flat table, ready for JSON."""
        return _flat(self) | {"standard_rating": self.standard_rating}


@dataclass(frozen=True, kw_only=True)
class NoAdapter:
    """No standard rating is an answer, SI.

    Attributes
    ----------
    why : WhyNoAdapter
        What stands against it.
    starting : StartNeed or NoNeed
        What the start asks for.
    running : PictureNeed or NoNeed
        What the running picture asks for.
    picture : str
        The running picture that was taken, in words.
    islands : tuple of Island
        All stretches of limit current that boot.
    shown_at : float
        The first rating that starts it but overstresses a part, or else the largest [A].
    start : Rerun
        How it starts as it is, and with that rating.
    runs : int
        Starts run [1].
    """

    why: WhyNoAdapter
    starting: StartNeed | NoNeed
    running: PictureNeed | NoNeed
    picture: str
    islands: tuple[Island, ...]
    shown_at: float
    start: Rerun
    runs: int

    @property
    def decided_by(self) -> Decides:
        """Start or running picture, whichever asks for more."""
        return _decides(self.starting, self.running)

    @property
    def reason(self) -> str:
        """Why there is none, in a sentence with its numbers."""
        shown, at = self.start.after, f"at {self.shown_at:g} A"
        if self.why is WhyNoAdapter.OVERSTRESSES:
            return f"{self.why.meaning}; {at} {shown.damage}; {'; '.join(shown.advice)}"
        asks = ""
        if self.why is WhyNoAdapter.PICTURE_TOO_LARGE and isinstance(self.running, PictureNeed):
            asks = f", which asks for {format_quantity(self.running.rating, 'A', digits=3)}"
        return f"{self.why.meaning}{asks}; {at}: {shown.words}, {shown.reason}"

    def to_dict(self) -> dict[str, Any]:
        """Return it as one flat table, ready for JSON: the same names, null where there is nothing."""
        return _flat(self) | {"reason": self.reason}


def _flat(size: AdapterSize | NoAdapter) -> dict[str, Any]:
    starting = size.starting if isinstance(size.starting, StartNeed) else None
    running = size.running if isinstance(size.running, PictureNeed) else None
    return {
        "smallest_limit_current": starting and starting.limit_current,
        "smallest_rated_current": starting and starting.rated_current,
        "running_current": running and running.current,
        "running_rating": running and running.rating,
        "picture": size.picture,
        "standard_rating": None,
        "decided_by": size.decided_by,
        "islands": size.islands,
        "reason": "",
        "start": size.start,
        "runs": size.runs,
    }


def _decides(starting: StartNeed | NoNeed, running: PictureNeed | NoNeed) -> Decides:
    """Return which of the two asks for the larger label."""
    if isinstance(starting, NoNeed) or isinstance(running, NoNeed) or running.rating <= starting.rated_current:
        return Decides.START
    return Decides.RUNNING_PICTURE
