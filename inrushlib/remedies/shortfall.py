"""What stands in the way where no switch lets the adapter at hand do it often enough.

``shortfall_of``  that, with numbers
``Shortfall``     how often the best one with a switch boots, what fails in the other runs, what capacitors would give
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from inrushlib.build import Build
from inrushlib.laws.adapter import adapter_limit
from inrushlib.laws.arrays import pixel_current
from inrushlib.odds.draw import Draw
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import key_ranges
from inrushlib.quantities import format_quantity
from inrushlib.remedies.compare import Remedy
from inrushlib.remedies.measures import LARGEST_BANK
from inrushlib.remedies.trial import spread_points
from inrushlib.startup import Rule
from inrushlib.startup.pack import frame_time
from inrushlib.startup.slack import slack_columns
from inrushlib.startup.verdicts import run_columns

RUNS: Final = 128
"""Runs of which those that fail are looked at [1]."""
FRAMES: Final = 2
"""Frames from listening to shown at most [1]: the one that was under way, and the next."""
_LISTEN: Final = "pixel.listen_voltage"


@dataclass(frozen=True, kw_only=True)
class Shortfall:
    """Why no switch does it; SI.

    Attributes
    ----------
    odds : Estimate
        How often the best one with a switch, on the build's own adapter, boots [1].
    rule : Rule
        What turns out wrong first in most of the runs that fail.
    failed, by_rule : int
        Runs that failed, of :data:`RUNS`, and in how many of these it was that rule [1].
    listen_voltage : float
        The highest at which pixels may begin to listen, within the range [V].
    drawn, given : float
        By the lit display at that voltage, and by the adapter [A].
    lasts : float
        From there until it is dark at the latest [s].
    capacitance : float
        What carries the difference that long, charged to the adapter's voltage [F]; 0 where there is none.
    """

    odds: Estimate
    rule: Rule
    failed: int
    by_rule: int
    listen_voltage: float
    drawn: float
    given: float
    lasts: float
    capacitance: float

    @property
    def words(self) -> str:
        """In sentences."""
        text = (
            f"No switch does it often enough on this adapter: the best boots in {100 * self.odds.value:.0f} % of the "
            f"runs. What fails in {self.by_rule} of {self.failed} of the others: {self.rule.sentence}."
        )
        if self.capacitance <= 0:
            return text
        level, drawn, given, lasts, capacitance = (
            format_quantity(value, unit, digits=2)
            for value, unit in (
                (self.listen_voltage, "V"), (self.drawn, "A"), (self.given, "A"), (self.lasts, "s"),
                (self.capacitance, "F"),
            )
        )  # fmt: skip
        return (
            f"{text} At {level}, the top of the range of {_LISTEN}, the lit display draws {drawn} and the adapter "
            f"gives {given}; until {FRAMES} frames are over, {lasts}, capacitors have to give the rest: some "
            f"{capacitance} with all other values as they are, more where they scatter. Up to "
            f"{format_quantity(LARGEST_BANK, 'F')} were tried. A switch and its gate only choose the moment: they give "
            "no charge."
        )


def shortfall_of(build: Build, ranked: Sequence[Remedy], wanted: float) -> Shortfall | None:
    """Return why no switch does it on a build's own adapter; None where one does, or none helps at all.

    Parameters
    ----------
    build : Build
        The build as it is.
    ranked : sequence of Remedy
        Those that help, with odds.
    wanted : float
        The share of runs that has to boot [1].
    """
    own = build.adapter.rated_current
    switched = [each for each in ranked if each.build.switch is not None and each.build.adapter.rated_current == own]
    odds = {id(each): each.odds for each in switched if each.odds is not None}
    best = max((each for each in switched if id(each) in odds), key=lambda each: odds[id(each)].value, default=None)
    if best is None or odds[id(best)].value >= wanted:
        return None
    failures = _failures(best.build)
    if not failures:
        return None
    rule, by_rule = failures.most_common(1)[0]
    level = next((each.high for each in key_ranges(build) if each.key == _LISTEN), build.pixel.listen_voltage)
    drawn, given = _lit_current(best.build, level), _limit_at(build, level)
    lasts = build.pixel.listen_delay + FRAMES * frame_time(best.build)
    room = build.adapter.rated_voltage - level
    capacitance = max(0.0, drawn - given) * lasts / room if room > 0 else 0.0
    return Shortfall(
        odds=odds[id(best)], rule=rule, failed=failures.total(), by_rule=by_rule, listen_voltage=level, drawn=drawn,
        given=given, lasts=lasts, capacitance=capacitance,
    )  # fmt: skip


def _failures(build: Build) -> Counter[Rule]:
    """Return which rule turned out wrong first, over the runs that do not boot."""
    draw = Draw(build, key_ranges(build))
    points = spread_points(len(draw.dimensions), RUNS)
    boots = np.concatenate([run_columns(packed)[0] for packed in draw.pack(points)]) == 0
    if boots.all():
        return Counter()
    slacks = slack_columns(draw.pack(points[~boots]))
    when = np.where(slacks.values < 0, slacks.instants, np.inf)
    first = np.argmin(when, axis=1)[np.isfinite(when).any(axis=1)]
    rules = list(Rule)
    return Counter(rules[place] for place in first.tolist())


def _lit_current(build: Build, voltage: float) -> float:
    pixel = build.pixel
    one, _ = pixel_current(np.array([voltage]), np.array(pixel.power_on)[:, None], pixel)
    return float(one[0]) * sum(build.wiring.pixels_per_section)


def _limit_at(build: Build, voltage: float) -> float:
    a = build.adapter
    if a.limit_style != "foldback":
        return a.limit_current
    return float(adapter_limit(voltage, a.limit_current, True, a.foldback_current, a.foldback_knee)[0])
