"""How much work a remedy is, from least to most: by what has to be done, not by what it costs.

``Effort``     the classes
``effort_of``  of a remedy by its name and what changes
"""

from __future__ import annotations

from enum import IntEnum

from inrushlib.remedies.outcome import Change, RemedyName


class Effort(IntEnum):
    """How much work, from least to most."""

    NOTHING = 0
    FIRMWARE = 1
    PART = 2
    REWIRING = 3
    BUYING = 4

    @property
    def words(self) -> str:
        """In words."""
        return (
            "nothing",
            "firmware only, no soldering",
            "a part to solder in",
            "rewiring, with parts",
            "buying a supply or pixels",
        )[self]


_BOUGHT = (RemedyName.BIGGER_ADAPTER, RemedyName.DARK_PIXELS)
_BY_CHANGE = {
    Change.NOTHING: Effort.NOTHING,
    Change.FIRMWARE: Effort.FIRMWARE,
    Change.ONE_PART: Effort.PART,
    Change.REWIRING: Effort.REWIRING,
    Change.OTHER_PIXELS: Effort.BUYING,
}


def effort_of(name: RemedyName, change: Change) -> Effort:
    """Return the effort of a remedy.

    Parameters
    ----------
    name : RemedyName
        Which remedy.
    change : Change
        What changes.

    Examples
    --------
    >>> effort_of(RemedyName.BIGGER_ADAPTER, Change.ONE_PART).words
    'buying a supply or pixels'
    """
    return Effort.BUYING if name in _BOUGHT else _BY_CHANGE[change]
