"""Which adapter to buy: the ladder of ratings walked, with lead and plug that follow it.

``adapter_for``  the cheapest adapter that carries the picture too, and boots often enough
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Final

from inrushlib.remedies.designs import Space
from inrushlib.remedies.picture import carries_picture
from inrushlib.remedies.trial import Candidate, Trial, standing

POINTS: Final = 32
"""Points at which adapters are compared [1]."""
MANY: Final = 256
"""Points that confirm one [1]."""
WALKED: Final = 8
"""Adapters that are tried there at most [1]."""


def adapter_for(space: Space, trial: Trial, keep: float | None) -> list[Candidate]:
    """Return the cheapest adapter that carries the running picture and boots often enough, or the one that does best.

    Every rating is tried, with the program at its first values. Of many that did well at a few points the cheapest is
    one that was lucky, so that it is tried at many others before it is taken.

    Parameters
    ----------
    space : Space
        With the ladder of ratings among its levers.
    trial : Trial
        What tries them.
    keep : float or None
        How often it has to boot [1]; None where a nominal start is enough.

    Returns
    -------
    list of Candidate
        One; none where no adapter boots.
    """
    designs = list(product(*(range(len(lever.values) if lever.priced else 1) for lever in space.levers)))
    found = trial.candidates(space, designs, POINTS, len(designs))
    carrying = [each for each in found if carries_picture(each.build)] or found
    if keep is None:
        return standing(carrying, 1)
    tried: list[Candidate] = []
    for each in standing(carrying, WALKED):
        tried.append(replace(each, share=trial.share(each.build, MANY, keep)))
        if tried[-1].share >= keep:
            return tried[-1:]
    return sorted(tried, key=lambda each: each.rank, reverse=True)[:1]
