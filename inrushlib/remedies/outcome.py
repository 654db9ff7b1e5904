"""What looking for a remedy comes to: the part values that it takes, or why there are none.

``RemedyName``  which remedy
``Change``      how much has to change
``Found``       what it takes: ``Needed`` part values, and what has to come with it
``Nothing``     why there is nothing to take, by ``WhyNot``
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Any


class RemedyName(StrEnum):
    """A remedy, or what had to come with one; the value names it on a page."""

    AS_IT_IS = "as it is"
    FASTER_FIRST_FRAME = "faster first frame"
    FIRST_FRAME_AT_ITS_TIME = "first frame at its time"
    MORE_DATA_LINES = "more data lines"  # only beside another
    BIGGER_ADAPTER = "bigger adapter"
    SLOWER_GATE = "slower gate"
    RESERVOIR_BEHIND_DIODE = "reservoir behind a diode"
    OWN_SUPPLY = "own supply for the controller"
    HIGH_SIDE_SWITCH = "high-side switch"
    DARK_PIXELS = "pixels that wake dark"
    REPEATED_FRAME = "dark frame repeated"
    BUS_CAPACITOR = "capacitor at the bus"
    CAPACITOR_BANK = "capacitor bank at the bus"
    PANEL_CAPACITOR = "capacitor at the panel"
    RAIL_CAPACITOR = "capacitor at the controller's rail"
    LOAD_SWITCH = "load switch"
    MORE_FEEDS = "a feed to each section"
    INRUSH_LIMITER = "inrush limiter"

    @property
    def effect(self) -> str:
        """What it does about the start, in one sentence."""
        return _EFFECTS[self]


_EFFECTS = {
    RemedyName.AS_IT_IS: "the build as it stands",
    RemedyName.FASTER_FIRST_FRAME: "the display goes dark sooner, so the bus is low for a shorter time",
    RemedyName.FIRST_FRAME_AT_ITS_TIME: "the program waits until the pixels listen before it sends the first frame",
    RemedyName.MORE_DATA_LINES: "each section has its own data line, so that a frame takes less time",
    RemedyName.BIGGER_ADAPTER: "the next standard rating up, with the same kind of protection",
    RemedyName.SLOWER_GATE: "the display comes on gradually, so the bus dips less",
    RemedyName.RESERVOIR_BEHIND_DIODE: "the controller lives on its own capacitor while the bus is low",
    RemedyName.OWN_SUPPLY: "the bus may sag as it likes; both supplies share their ground",
    RemedyName.HIGH_SIDE_SWITCH: "the controller boots first, on a dark display, and then lets the display come on",
    RemedyName.DARK_PIXELS: "a type that powers on with all colours off",
    RemedyName.REPEATED_FRAME: "the program sends the dark frame again and again until the picture: a section that "
    "missed one hears the next",
    RemedyName.BUS_CAPACITOR: "its charge carries the lit display while the first frame goes out",
    RemedyName.CAPACITOR_BANK: "several electrolytics carry the lit display while the first frame goes out",
    RemedyName.PANEL_CAPACITOR: "its charge carries the pixels over short dips",
    RemedyName.RAIL_CAPACITOR: "its charge carries the radio's bursts",
    RemedyName.LOAD_SWITCH: "the controller boots first, then the display comes on at a set slew and current",
    RemedyName.MORE_FEEDS: "less is lost between the sections, so that all of them listen",
    RemedyName.INRUSH_LIMITER: "it is cold and high at first, so that capacitors fill slowly",
}


class Change(IntEnum):
    """How much has to change, from least to most."""

    NOTHING = 0
    FIRMWARE = 1
    ONE_PART = 2
    REWIRING = 3
    OTHER_PIXELS = 4

    @property
    def words(self) -> str:
        """In words."""
        return ("nothing", "firmware only", "one part", "rewiring", "other pixels")[self]


class WhyNot(StrEnum):
    """Why there are no part values: the remedy does not apply to the build, or the search found none."""

    LABEL_IS_ENOUGH = "label-is-enough"
    NO_GATE_TO_SLOW = "no-gate-to-slow"
    BOOTS_WITH_ITS_GATE = "boots-with-its-gate"
    GATE_IS_NOT_TO_BLAME = "gate-is-not-to-blame"
    RESERVOIR_IS_ENOUGH = "reservoir-is-enough"
    HAS_OWN_SUPPLY = "has-own-supply"
    HAS_SWITCH = "has-switch"
    WAKES_DARK = "wakes-dark"
    NO_RATING = "no-rating"
    NO_BOOT_TIME = "no-boot-time"
    NO_SLOWER_GATE = "no-slower-gate"
    NO_RESERVOIR = "no-reservoir"
    LOST_WITH_SWITCH = "lost-with-switch"
    NO_DELAY_WITH_SWITCH = "no-delay-with-switch"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return _MEANINGS[self]


_MEANINGS = {
    WhyNot.LABEL_IS_ENOUGH: "the adapter's label is enough",
    WhyNot.NO_GATE_TO_SLOW: "there is no P-channel switch to slow down",
    WhyNot.BOOTS_WITH_ITS_GATE: "it boots with the gate as it is",
    WhyNot.GATE_IS_NOT_TO_BLAME: "the gate is not what fails: it boots once the first frame waits for the pixels",
    WhyNot.RESERVOIR_IS_ENOUGH: "the diode is there, and the reservoir behind it is enough",
    WhyNot.HAS_OWN_SUPPLY: "the controller has a supply of its own already",
    WhyNot.HAS_SWITCH: "the build has a switch already",
    WhyNot.WAKES_DARK: "these pixels wake dark already",
    WhyNot.NO_RATING: "no standard rating starts it and carries its picture",
    WhyNot.NO_BOOT_TIME: "no shorter boot makes it boot, nor does a data line to each section",
    WhyNot.NO_SLOWER_GATE: "no slower gate makes it boot",
    WhyNot.NO_RESERVOIR: "no reservoir makes it boot",
    WhyNot.LOST_WITH_SWITCH: "a switch alone does not help",
    WhyNot.NO_DELAY_WITH_SWITCH: "no first frame delay makes it boot, nor does a reservoir beside the switch",
}  # fmt: skip


@dataclass(frozen=True)
class Needed:
    """A part value that a remedy takes.

    Attributes
    ----------
    key : str
        Dotted key of the build; empty for a part that is not in it.
    value : float, tuple of float or str
        What to take [unit], SI; the class of a connector.
    unit : str
        SI unit.
    words : str
        The value in words, with what the search found.
    """

    key: str
    value: Any
    unit: str
    words: str


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a remedy takes.

    Attributes
    ----------
    needed : tuple of Needed
        Part values; empty where it takes none.
    combined_with : tuple of RemedyName
        What had to come with it, since it did not do it alone.
    window : tuple of float or None
        Range of first frame delay that boots [s], where one was looked for.
    """

    needed: tuple[Needed, ...] = ()
    combined_with: tuple[RemedyName, ...] = ()
    window: tuple[float, float] | None = None


@dataclass(frozen=True)
class Nothing:
    """There are no part values for a remedy.

    Attributes
    ----------
    why : WhyNot
        What stands against it.
    detail : str
        The numbers that go with it, in words; empty where there are none.

    Examples
    --------
    >>> Nothing(WhyNot.NO_RESERVOIR, "tried up to 100 mF").reason
    'no reservoir makes it boot: tried up to 100 mF'
    """

    why: WhyNot
    detail: str = ""

    @property
    def reason(self) -> str:
        """Why there are none, in one sentence."""
        return f"{self.why.meaning}: {self.detail}" if self.detail else self.why.meaning
