"""What the search for the brightness cap comes to.

``BrightnessCaps``, ``BrightnessCap``
    the caps of full white and of the build's picture; those of one picture
``Cap``, ``NoCap``, ``OtherLimit``
    the largest level within one set of limits; that there is none; what decides it beside them
``Level``
    a row of the table of levels
``NotShown``
    why a picture was not tried in a start
``limit_in_words``
    what a cap is held against at a place
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inrushlib.parts.place import Place, PlaceKind
from inrushlib.search.pulses import Pulses
from inrushlib.search.rerun import Rerun
from inrushlib.search.running import Colour
from inrushlib.startup import Headline

FULL = 255


class OtherLimit(StrEnum):
    """What decides a cap beside the ratings; the value says it in words."""

    NOTHING = ""  # 255 is within all limits
    START = "start"  # the build does not start and stay up with a brighter picture


class NotShown(StrEnum):
    """Why a picture was not tried in a start."""

    PROGRAM_NEVER_RUNS = "program-never-runs"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return "the program never runs, so no start shows it"


def limit_in_words(place: Place) -> str:
    """Return what a cap is held against at a place, with its article.

    Parameters
    ----------
    place : Place
        Adapter, load switch or conductor.

    Examples
    --------
    >>> limit_in_words(Place(PlaceKind.LOAD_SWITCH)), limit_in_words(Place(PlaceKind.LEAD))
    ("the load switch's own current limit", 'the lead')
    """
    if place.kind is PlaceKind.LOAD_SWITCH:
        return "the load switch's own current limit"
    return f"the {place}"


@dataclass(frozen=True, kw_only=True)
class Level:
    """One row of the table.

    Attributes
    ----------
    level : int
        0 to 255 [1].
    adapter_current : float
        Average current of the adapter, the controller's included [A].
    share_of_rating : float
        Of the adapter's label [1].
    largest_feed_current, largest_hop_current : float
        [A].
    lowest_voltage : float
        At the worst pixel [V].
    """

    level: int
    adapter_current: float
    share_of_rating: float
    largest_feed_current: float
    largest_hop_current: float
    lowest_voltage: float


@dataclass(frozen=True, kw_only=True)
class Cap:
    """The largest level within one set of limits.

    Attributes
    ----------
    share : float
        Of every rating that is used: 1, or 0.8 for a lasting load [1].
    level : int
        0 to 255 [1].
    adapter_current : float
        At that level [A].
    limited_by : Place or OtherLimit
        What the next level would overload: adapter, load switch, lead, a feed, a hop; ``OtherLimit.START`` where it
        would make the start end worse; ``OtherLimit.NOTHING`` where 255 is within all limits.
    """

    share: float
    level: int
    adapter_current: float
    limited_by: Place | OtherLimit

    @property
    def shown_level(self) -> int:
        """The level that is tried in a start and listed [1]."""
        return self.level


@dataclass(frozen=True, kw_only=True)
class NoCap:
    """Even level 0 is too much.

    Attributes
    ----------
    share : float
        Of every rating that is used: 1, or 0.8 for a lasting load [1].
    adapter_current : float
        At level 0 [A].
    limited_by : Place or OtherLimit
        What it overloads; ``OtherLimit.START`` where the start ends worse with it.
    """

    share: float
    adapter_current: float
    limited_by: Place | OtherLimit

    @property
    def shown_level(self) -> int:
        """The level that is tried in a start and listed all the same [1]."""
        return 0

    @property
    def reason(self) -> str:
        """Why there is none, in a sentence."""
        if isinstance(self.limited_by, Place):
            return f"even level 0 is too much for {limit_in_words(self.limited_by)}"
        return "even with level 0 the start ends worse"


@dataclass(frozen=True, kw_only=True)
class BrightnessCap:
    """The caps of one picture.

    Attributes
    ----------
    picture : str
        ``"full white"``, ``"running picture"`` or ``"first frame's colour"``.
    colour : tuple of float
        Duty of red, green and blue at level 255 [1].
    rating : Cap or NoCap
        Against the full ratings of adapter and conductors.
    continuous : Cap or NoCap
        Against 80 % of them: a load that lasts three hours or more. This is the one to carry over.
    levels : tuple of Level
        Every sixteenth level, 255 and both caps.
    start : Rerun or NotShown
        The start as it is, and with this picture shown at the level for a lasting load; or why it is never shown.
    """

    picture: str
    colour: Colour
    rating: Cap | NoCap
    continuous: Cap | NoCap
    levels: tuple[Level, ...]
    start: Rerun | NotShown

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON."""
        start = None if isinstance(self.start, NotShown) else self.start
        return vars(self) | {"rating": _flat(self.rating), "continuous": _flat(self.continuous), "start": start}


@dataclass(frozen=True, kw_only=True)
class BrightnessCaps:
    """Caps of full white and of the build's picture, and what they were held against.

    Attributes
    ----------
    start : Headline
        How the build starts as it is. Where it does not, the caps are for a display that something else starts.
    running : str
        The build's picture in words, and why it is taken.
    white, picture : BrightnessCap
        The two.
    limits : dict of Place to float
        Full rating of the adapter, of every conductor whose gauge is known, and a load switch's limit [A].
    unchecked : tuple of Place
        Conductors whose gauge is not known.
    table : str
        The ampacity table.
    pulses : Pulses or None
        Of the build's picture at its cap for a lasting load; None where there is no such cap.
    """

    start: Headline
    running: str
    white: BrightnessCap
    picture: BrightnessCap
    limits: dict[Place, float]
    unchecked: tuple[Place, ...]
    table: str
    pulses: Pulses | None

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON."""
        caps = {"white": self.white.to_dict(), "picture": self.picture.to_dict()}
        return vars(self) | caps | {"start": self.start.to_dict()}


def _flat(cap: Cap | NoCap) -> dict[str, Any]:
    level = cap.level if isinstance(cap, Cap) else None
    return {
        "share": cap.share, "level": level, "adapter_current": cap.adapter_current, "limited_by": cap.limited_by,
    }  # fmt: skip
