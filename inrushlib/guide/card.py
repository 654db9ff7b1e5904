"""A card of the guide: one measurement on the bench, and the recipe that it is made from.

``Card``, ``Expected``
    what to connect, to light and to read, for one build
``CardName``, ``Care``, ``Load``
    which measurements there are, what has to be heeded, a load resistor
``Recipe``, ``Setup``
    how a card, what is expected and what is worked out follow from any build
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum, StrEnum

from inrushlib.build import Build
from inrushlib.guide.uncertainty import Formula, Instrument


class CardName(StrEnum):
    """The measurements."""

    TILE_WHITE = "tile-white"
    DIMMED_PICTURE = "dimmed-picture"
    SAGGING_TILE = "sagging-tile"
    LISTEN_LEVEL = "listen-level"
    ADAPTER_LOADS = "adapter-loads"
    ADAPTER_LIMIT = "adapter-limit"
    CONTROLLER_LEVELS = "controller-levels"
    REGULATOR_DROPOUT = "regulator-dropout"
    BOOT_SHUNT = "boot-shunt"
    RADIO_SHUNT = "radio-shunt"
    LEAD_DROP = "lead-drop"
    FEED_DROP = "feed-drop"
    HOP_DROP = "hop-drop"

    @property
    def words(self) -> str:
        """What is measured, in a few words."""
        return _WORDS[self]


_WORDS = {
    CardName.TILE_WHITE: "One tile, some of it white",
    CardName.DIMMED_PICTURE: "A dimmed picture: mean and peaks",
    CardName.SAGGING_TILE: "A tile on a falling supply",
    CardName.LISTEN_LEVEL: "Down to where the pixels take no data",
    CardName.ADAPTER_LOADS: "The adapter at two loads",
    CardName.ADAPTER_LIMIT: "The adapter up to its limit",
    CardName.CONTROLLER_LEVELS: "The controller's reset levels",
    CardName.REGULATOR_DROPOUT: "The regulator on a low supply",
    CardName.BOOT_SHUNT: "The controller boots, on a shunt",
    CardName.RADIO_SHUNT: "The controller runs, on a shunt",
    CardName.LEAD_DROP: "Lead and plug, four-wire",
    CardName.FEED_DROP: "A feed wire, four-wire",
    CardName.HOP_DROP: "A jumper between sections, four-wire",
}


class Care(Enum):
    """What has to be heeded; common practice, no source."""

    HOT_LOAD = "hot load"
    ATTENDED = "attended"
    FUSE = "fuse"
    MAINS = "mains"
    METER_FUSE = "meter's fuse"
    SCOPE_GROUND = "scope ground"
    CURRENT_LIMIT = "current limit"

    @property
    def sentence(self) -> str:
        """It, in a sentence."""
        return _CARES[self]


_CARES = {
    Care.HOT_LOAD: "The load resistor gets hot enough to burn: one of twice the power or more, on something that does "
    "not burn, seconds at a time, and let it cool before you touch it.",
    Care.ATTENDED: "Never leave it on unattended.",
    Care.FUSE: "Put a fuse into the plus line that blows below what the wires stand.",
    Care.MAINS: "The mains side and the adapter's inside belong to a licensed person; local codes decide.",
    Care.METER_FUSE: "Current goes through the meter: the jack for it, the range first, then the power; take the leads "
    "back to the voltage jacks afterwards.",
    Care.SCOPE_GROUND: "The scope's ground clip is mains earth: the shunt goes into the return, the clip to the "
    "supply's side of it, and the bench supply's output must not be earthed elsewhere.",
    Care.CURRENT_LIMIT: "Set the bench supply's voltage and its current limit before you connect anything.",
}


@dataclass(frozen=True)
class Load:
    """A load resistor.

    Attributes
    ----------
    resistance : float
        [ohm]
    power : float
        What it turns into heat [W].
    """

    resistance: float
    power: float


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One reading that a measurement asks for.

    Attributes
    ----------
    name : str
        What is read.
    unit : str
        Of the reading.
    instrument : callable
        On what a reading [unit] is read.
    """

    name: str
    unit: str
    instrument: Callable[[float], Instrument]


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One reading, as the build lets expect it.

    Attributes
    ----------
    name : str
        What is read.
    unit : str
        Of the reading.
    instrument : Instrument
        On what.
    value, low, high : float
        By the build as it stands, and with one of its values at the ends of its range [unit].
    """

    name: str
    unit: str
    instrument: Instrument
    value: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Setup:
    """What to do for a measurement on one build, in words.

    Attributes
    ----------
    connect, light, read_off : str
        What to connect; what to light or run; how the values follow from the readings.
    cares : tuple of Care
        What has to be heeded.
    loads : tuple of Load
        Load resistors; empty for none.
    """

    connect: str
    light: str
    read_off: str
    cares: tuple[Care, ...]
    loads: tuple[Load, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One measurement, for any build.

    What is set up (pixels to light, load resistors) hangs on counts and labels alone: what another card changes in
    the build does not change a card that is already printed.

    Attributes
    ----------
    name : CardName
        Which.
    keys : callable
        Dotted keys that it settles on a build; none where it makes no sense there.
    asked : callable
        The readings that it asks for on a build.
    expect : callable
        What a build lets expect of them [SI].
    formula : callable
        From a build to the formula that takes readings and known values to the keys' values [SI].
    known : tuple of str
        Dotted keys of the build that the formula takes.
    method : float
        Share by which the method itself may be off [1].
    setup : callable
        What to do on a build.
    check : callable or None
        Takes a build and readings, and refuses with a UsageError what does not go together; None where all does.
    """

    name: CardName
    keys: Callable[[Build], tuple[str, ...]]
    asked: Callable[[Build], tuple[Asked, ...]]
    expect: Callable[[Build], Sequence[float]]
    formula: Callable[[Build], Formula]
    setup: Callable[[Build], Setup]
    known: tuple[str, ...] = ()
    method: float = 0.0
    check: Callable[[Build, Sequence[float]], None] | None = None


@dataclass(frozen=True, kw_only=True)
class Card:
    """One measurement for one build.

    Attributes
    ----------
    name : CardName
        Which.
    keys : tuple of str
        Dotted keys that it settles.
    setup : Setup
        What to do.
    readings : tuple of Expected
        What to read, in the order in which it is entered.
    uncertainties : tuple of float
        Standard uncertainty of each key's value where the readings are as expected [unit of the key, SI].
    settles : float
        Share of the doubt that the readings are expected to settle [1]; 0 where these runs cannot tell one.
    """

    name: CardName
    keys: tuple[str, ...]
    setup: Setup
    readings: tuple[Expected, ...]
    uncertainties: tuple[float, ...]
    settles: float
