"""What the search for the smallest reservoir comes to.

``ReservoirSize``, ``StandardValue``
    the answer; the next E6 value up
``NoReservoir``, ``WhyNoReservoir``
    why there is none
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inrushlib.quantities import format_quantity, in_percent
from inrushlib.search.by_hand import HandFormula, WhyNoFormula
from inrushlib.search.islands import Island
from inrushlib.search.rerun import Rerun

CAPACITOR_TOLERANCE = 0.2
"""Of an aluminium electrolytic, code M (data sheet of the KEMET ESL series)."""

LARGEST = 0.1  # [F] up to which is searched


class WhyNoReservoir(StrEnum):
    """Why there is no reservoir, or no standard value for it."""

    OWN_SUPPLY = "own-supply"
    NOTHING_BOOTS = "nothing-boots"
    LADDER_ENDS = "ladder-ends"
    TOLERANCE_TOO_WIDE = "tolerance-too-wide"

    @property
    def meaning(self) -> str:
        """The reason in words."""
        return _MEANINGS[self]


_MEANINGS = {
    WhyNoReservoir.OWN_SUPPLY: "the controller has a supply of its own, which a dip of the bus does not reach",
    WhyNoReservoir.NOTHING_BOOTS: f"no reservoir up to {format_quantity(LARGEST, 'F')} makes it boot",
    WhyNoReservoir.LADDER_ENDS: f"the ladder of E6 values ends at {format_quantity(LARGEST, 'F')}",
    WhyNoReservoir.TOLERANCE_TOO_WIDE: (
        f"no E6 value boots over the whole of its {in_percent(CAPACITOR_TOLERANCE)} tolerance"
    ),
}


@dataclass(frozen=True, kw_only=True)
class NoReservoir:
    """There is no reservoir, or no standard value, that makes it boot.

    Attributes
    ----------
    why : WhyNoReservoir
        What stands against it.
    detail : str
        What happens instead, in words; empty where there is nothing to add.
    runs : int
        Starts run [1].
    """

    why: WhyNoReservoir
    detail: str = ""
    runs: int

    @property
    def reason(self) -> str:
        """Why there is none, in one sentence."""
        return f"{self.why.meaning}; {self.detail}" if self.detail else self.why.meaning

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON: the fields of a size, none of them there."""
        return _flat(reason=self.reason, runs=self.runs)


@dataclass(frozen=True, kw_only=True)
class StandardValue:
    """The next E6 value up that boots at its nominal value and at both ends of its tolerance, SI.

    Attributes
    ----------
    value, least : float
        Nominal, and less its tolerance of 20 % [F].
    lowest_rail_voltage : float
        With it, after reset [V].
    highest_reservoir_voltage, peak_feed_current : float
        With it: on the reservoir [V], and through the diode [A].
    start : Rerun
        How it starts as it is, and with it.
    """

    value: float
    least: float
    lowest_rail_voltage: float
    highest_reservoir_voltage: float
    peak_feed_current: float
    start: Rerun

    @property
    def good(self) -> bool:
        """Whether it overstresses nothing and does not make the start end worse."""
        return not self.start.worsens and not self.start.after.overstressed


@dataclass(frozen=True, kw_only=True)
class ReservoirSize:
    """The smallest reservoir behind a diode, SI.

    Attributes
    ----------
    smallest : float
        Smallest capacitance that boots at the first try [F]; the smallest searched where that boots already.
    needed : bool
        True if a smaller value was tried and failed; False where the diode alone does it.
    standard : StandardValue or NoReservoir
        The standard value, or why there is none.
    by_hand : HandFormula or WhyNoFormula
        The hand formula beside it, or why there is nothing to reckon.
    islands : tuple of Island
        All stretches of capacitance that boot.
    runs : int
        Starts run [1].
    """

    smallest: float
    needed: bool
    standard: StandardValue | NoReservoir
    by_hand: HandFormula | WhyNoFormula
    islands: tuple[Island, ...]
    runs: int

    def to_dict(self) -> dict[str, Any]:
        """Return it as one flat table, ready for JSON."""
        by_hand = self.by_hand if isinstance(self.by_hand, HandFormula) else None
        found: dict[str, Any] = {"smallest": self.smallest, "needed": self.needed, "by_hand": by_hand}
        found |= {"islands": self.islands, "runs": self.runs}
        if isinstance(self.standard, NoReservoir):
            return _flat(**found, reason=self.standard.reason)
        s = self.standard
        return _flat(
            **found, next_value=s.value, least_of_next=s.least, lowest_rail_voltage=s.lowest_rail_voltage,
            highest_reservoir_voltage=s.highest_reservoir_voltage, peak_feed_current=s.peak_feed_current, start=s.start,
        )  # fmt: skip


def _flat(**told: Any) -> dict[str, Any]:
    """Return the table that is printed as JSON, null where there is nothing."""
    empty = {
        "smallest": None, "needed": False, "next_value": None, "least_of_next": None, "by_hand": None,
        "lowest_rail_voltage": None, "highest_reservoir_voltage": None, "peak_feed_current": None, "islands": (),
        "reason": "", "runs": 0, "start": None,
    }  # fmt: skip
    return empty | told
