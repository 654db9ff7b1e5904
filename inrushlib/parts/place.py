"""Where in a build something is: what code tells places apart by; their names are for pages only.

``PlaceKind``
    the kinds of places
``Place``
    one of them, with its number where there are several
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class PlaceKind(Enum):
    """A kind of place; its value is its name on a page."""

    ADAPTER = "adapter"
    ADAPTER_BLEED = "adapter bleed"
    BUS = "bus"
    BULK_RESISTANCE = "bulk series resistance"  # of the bulk capacitors of bus and panel
    BUS_BULK = "bus bulk capacitor"
    LEAD = "lead"
    LIMITER = "inrush limiter"
    CONTROLLER = "controller"
    CONTROLLER_FEED = "controller feed"
    RESERVOIR = "reservoir"
    REGULATOR = "regulator"
    CONTROLLER_RAIL = "controller rail"
    JOINT = "joint"  # between bus and panel where there is no switch
    SWITCH = "switch"  # P-channel or load switch
    LOAD_SWITCH = "load switch"
    GATE = "gate network"
    PANEL = "panel"  # its root, where the feeds start
    PANEL_BULK = "panel bulk capacitor"
    SECTION = "section"
    FEED = "feed"
    HOP = "jumper"
    RAIL = "rail"
    LINK = "link"
    PIXELS = "pixels"
    DATA_LINE = "data line"
    CHANNEL = "switch channel"  # of a P-channel switch
    BODY_DIODE = "body diode"
    PULL_UP = "gate pull-up"
    GATE_DRIVER = "gate driver"  # what pulls the gate low
    PIN_CLAMP = "pin clamp"  # of a bare pin that drives the gate, into its rail

    @property
    def together(self) -> str:
        """Name of all places of the kind taken together: "feeds"."""
        several = (PlaceKind.FEED, PlaceKind.HOP, PlaceKind.LINK, PlaceKind.DATA_LINE)
        return f"{self.value}s" if self in several else self.value


@dataclass(frozen=True)
class Place:
    """One place.

    Attributes
    ----------
    kind : PlaceKind
        What it is.
    index : int or None
        Section that a feed goes to, section before a hop, number of a data line [1]; None where there is one only.

    Examples
    --------
    >>> Place(PlaceKind.FEED, 2).name, Place(PlaceKind.HOP, 0).name, Place(PlaceKind.LEAD).name
    ('feed to section 2', 'jumper 0-1', 'lead')
    """

    kind: PlaceKind
    index: int | None = None

    @property
    def name(self) -> str:
        """Name on a page."""
        if self.index is None:
            return self.kind.value
        if self.kind is PlaceKind.FEED:
            return f"feed to section {self.index}"
        if self.kind is PlaceKind.HOP:
            return f"jumper {self.index}-{self.index + 1}"
        return f"{self.kind.value} {self.index}"

    def __str__(self) -> str:
        return self.name


ADAPTER = Place(PlaceKind.ADAPTER)
LEAD = Place(PlaceKind.LEAD)
CONTROLLER = Place(PlaceKind.CONTROLLER)
JOINT = Place(PlaceKind.JOINT)
SWITCH = Place(PlaceKind.SWITCH)
CHANNEL = Place(PlaceKind.CHANNEL)
BODY_DIODE = Place(PlaceKind.BODY_DIODE)
PULL_UP = Place(PlaceKind.PULL_UP)
GATE_DRIVER = Place(PlaceKind.GATE_DRIVER)
PIN_CLAMP = Place(PlaceKind.PIN_CLAMP)


def feed(section: int) -> Place:
    """The feed wire to ``section`` [1].

    Examples
    --------
    >>> str(feed(3))
    'feed to section 3'
    """
    return Place(PlaceKind.FEED, section)


def hop(section: int) -> Place:
    """The joint between ``section`` [1] and the next.

    Examples
    --------
    >>> str(hop(3))
    'jumper 3-4'
    """
    return Place(PlaceKind.HOP, section)
