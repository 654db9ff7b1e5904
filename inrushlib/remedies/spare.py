"""From all that helps at once, take away what is not needed.

``kits``         what can be had together: a switch, a feed of the controller, capacitors, data lines, feeds
``at_its_most``  designs of a kit with the dearest value of everything
``spared``       a design with fewer measures and cheaper values that boots as often as asked

Where no one or two measures do it, three or four may, and there are too many of them to try. With everything at
once it is soon known whether anything helps, and what can go again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from inrushlib.remedies.designs import Rungs, Space, first_rungs
from inrushlib.remedies.measures import BULKS, Measure
from inrushlib.remedies.outcome import RemedyName

_SWITCHES: Final = (RemedyName.HIGH_SIDE_SWITCH, RemedyName.LOAD_SWITCH, RemedyName.SLOWER_GATE)
_FEEDS: Final = (RemedyName.OWN_SUPPLY, RemedyName.RESERVOIR_BEHIND_DIODE)
_ALWAYS: Final = (RemedyName.MORE_FEEDS, RemedyName.MORE_DATA_LINES, RemedyName.RAIL_CAPACITOR)

Shares = Callable[[Space, Rungs], float]


def kits(measures: Sequence[Measure], bulk: RemedyName, *, slowly: bool = False) -> list[tuple[Measure, ...]]:
    """Return what can be had together, one kit for each switch and each feed of the controller.

    Parameters
    ----------
    measures : sequence of Measure
        That a build can have.
    bulk : RemedyName
        Which capacitors.
    slowly : bool
        Whether they have to fill slowly, through an inrush limiter: an adapter that switches off at its limit does not
        fill them else.
    """
    have = {measure.name for measure in measures}
    switches, feeds = ([{name} for name in some if name in have] or [set()] for some in (_SWITCHES, _FEEDS))
    through = {RemedyName.INRUSH_LIMITER} if slowly else set()
    wanted = [switch | feed | through | {bulk, *_ALWAYS} for switch in switches for feed in feeds]
    return [tuple(measure for measure in measures if measure.name in names) for names in wanted]


def at_its_most(space: Space, count: int, seed: int) -> list[Rungs]:
    """Return designs with the dearest value of all that has a price, the rest spread evenly.

    Parameters
    ----------
    space : Space
        Of a kit.
    count : int
        Designs at most [1], a power of two.
    seed : int
        Of the spread [1].
    """
    free = tuple(lever for lever in space.levers if not lever.priced)
    found = []
    for rungs in first_rungs(free, count, seed):
        left = iter(rungs)
        found.append(tuple(len(lever.values) - 1 if lever.priced else next(left) for lever in space.levers))
    return found


def spared(space: Space, rungs: Rungs, share_of: Shares, keep: float) -> tuple[Space, Rungs, float]:
    """Return a design with fewer measures and cheaper values, and how often it boots [1].

    First the capacitors are made smaller, as far as they can be; then each measure is left out once, the one with most
    parts first; then each other priced ladder is gone down.

    Parameters
    ----------
    space : Space
        Of the design.
    rungs : tuple of int
        Its places on the ladders [1].
    share_of : callable
        From a space and a design to how often it boots [1].
    keep : float
        How often it has to go on booting [1].
    """
    at = _Design(space, rungs, share_of(space, rungs))
    for lever in space.levers:
        if lever.key in BULKS:
            at = _down(at, lever.key, share_of, keep)
    for measure in sorted(space.measures, key=lambda each: (each.change, each.pieces), reverse=True):
        fewer = at.without(measure)
        share = share_of(fewer.space, fewer.rungs)
        if share >= keep:
            at = replace(fewer, share=share)
    for lever in at.space.levers:
        if lever.priced and lever.key not in BULKS:
            at = _down(at, lever.key, share_of, keep)
    return at.space, at.rungs, at.share


@dataclass(frozen=True)
class _Design:
    space: Space
    rungs: Rungs
    share: float

    def without(self, measure: Measure) -> _Design:
        """Return it without a measure."""
        chosen = dict(zip((lever.key for lever in self.space.levers), self.rungs, strict=True))
        left = tuple(each for each in self.space.measures if each is not measure)
        space = Space(self.space.build, left, self.space.picture)
        return _Design(space, tuple(chosen.get(lever.key, 0) for lever in space.levers), 0.0)


def _down(at: _Design, key: str, share_of: Shares, keep: float) -> _Design:
    """Return a design with the cheapest value of one ladder that still boots often enough: by halving."""
    place = [lever.key for lever in at.space.levers].index(key)
    low, high = -1, at.rungs[place]
    while high - low > 1:
        middle = (low + high) // 2
        cheaper = (*at.rungs[:place], middle, *at.rungs[place + 1 :])
        share = share_of(at.space, cheaper)
        if share >= keep:
            high, at = middle, _Design(at.space, cheaper, share)
        else:
            low = middle
    return at
