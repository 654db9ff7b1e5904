"""How much work a remedy is, from least to most: by what has to be done, not by what it costs.

``Effort``     the classes
``effort_of``  of a remedy by its name and what changes
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum

from inrushlib.remedies.outcome import Change, RemedyName


class Effort(IntEnum):
    """How much work, from least to most.

    A bank of electrolytics is last: it takes a board of its own, stores enough to melt what shorts it, and costs more
    than a larger adapter.
    """

    NOTHING = 0
    FIRMWARE = 1
    PART = 2
    REWIRING = 3
    BUYING = 4
    BANK = 5

    @property
    def words(self) -> str:
        """In words."""
        return (
            "nothing",
            "firmware only, no soldering",
            "a part to solder in",
            "rewiring, with parts",
            "buying a supply or pixels",
            "a bank of capacitors to build",
        )[self]


_BOUGHT = (RemedyName.BIGGER_ADAPTER, RemedyName.DARK_PIXELS)
_BY_CHANGE = {
    Change.NOTHING: Effort.NOTHING,
    Change.FIRMWARE: Effort.FIRMWARE,
    Change.ONE_PART: Effort.PART,
    Change.REWIRING: Effort.REWIRING,
    Change.OTHER_PIXELS: Effort.BUYING,
}


def effort_of(name: RemedyName, change: Change, combined_with: Iterable[RemedyName] = ()) -> Effort:
    """Return the effort of a remedy.

    Parameters
    ----------
    name : RemedyName
        Which remedy.
    change : Change
        What changes.
    combined_with : iterable of RemedyName
        What comes with it.

    Examples
    --------
    >>> effort_of(RemedyName.BIGGER_ADAPTER, Change.ONE_PART).words
    'buying a supply or pixels'
    """
    if RemedyName.CAPACITOR_BANK in (name, *combined_with):
        return Effort.BANK
    return Effort.BUYING if name in _BOUGHT else _BY_CHANGE[change]
