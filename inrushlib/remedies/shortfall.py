"""What stands in the way where no switch lets the adapter at hand do it, or none without a bank of capacitors.

``shortfall_of``  that, with numbers
``Shortfall``     the best way with a switch, what fails in its other runs, and the charge that is missing
``WhyNoSwitch``   what stands in the way
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final

import numpy as np

from inrushlib.build import Build
from inrushlib.odds.draw import Draw
from inrushlib.odds.key_ranges import key_ranges
from inrushlib.quantities import format_quantity
from inrushlib.remedies.charge import CHANNEL_CURRENT, FRAMES, LISTEN_VOLTAGE, Charge, charge_of
from inrushlib.remedies.compare import Remedy
from inrushlib.remedies.measures import LARGEST_BANK, LARGEST_PAIR, SINGLE
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.trial import spread_points
from inrushlib.startup import Rule
from inrushlib.startup.slack import slack_columns
from inrushlib.startup.verdicts import run_columns

RUNS: Final = 128
"""Runs of which those that fail are looked at [1]."""


class WhyNoSwitch(StrEnum):
    """Why no switch does it on a build's own adapter; the value is its code."""

    NEVER_BOOTS = "never-boots"
    TOO_LITTLE_CHARGE = "too-little-charge"
    TOO_SELDOM = "too-seldom"
    ONLY_WITH_BANK = "only-with-bank"

    @property
    def heading(self) -> str:
        """What it explains, in a few words."""
        return "Why a switch takes a bank" if self is WhyNoSwitch.ONLY_WITH_BANK else "Why no switch"

    @property
    def is_of_charge(self) -> bool:
        """Whether the charge until the display is dark says why."""
        return self is not WhyNoSwitch.TOO_SELDOM


_FAILURES = {
    Rule.RELEASE: "the controller's rail does not get high enough to end the reset",
    Rule.BROWN_OUT: "the controller browns out",
    Rule.LISTEN: "frames go out while some pixels are below the supply that they need for data",
    Rule.FORGET: "some pixels fall so low that they forget the frame",
    Rule.TRIP: "the adapter trips",
    Rule.ALLOWANCE: "the adapter's short-term allowance ends too early",
    Rule.FRAME_IN_TIME: "the controller's rail runs out before the first frame has ended",
}


@dataclass(frozen=True, kw_only=True)
class Shortfall:
    """Why no switch does it; SI.

    Attributes
    ----------
    why : WhyNoSwitch
        What stands in the way.
    best : Remedy or None
        The best one with a switch, on the build's own adapter; None where none boots.
    rule : Rule or None
        What turns out wrong first in most of its runs that fail; None where none was looked at.
    failed, by_rule : int
        Runs that failed, of :data:`RUNS`, and in how many of these it was that rule [1].
    charge : Charge
        What carries the lit display until it is dark.
    sections : int
        Of the display [1].
    """

    why: WhyNoSwitch
    best: Remedy | None
    rule: Rule | None
    failed: int
    by_rule: int
    charge: Charge
    sections: int

    @property
    def sentences(self) -> tuple[str, ...]:
        """In words, a sentence or two each."""
        lacks = self.why.is_of_charge and self.charge.capacitance > 0
        found = (self._best(), *(() if self.rule is None else (self._failing(),)))
        return (*found, *((self._charge(), *self._what_asks_for_less()) if lacks else ()))

    def _best(self) -> str:
        if self.best is None:
            return "Nothing that was tried with a switch boots on this adapter, even with the values as they are."
        if self.why is WhyNoSwitch.ONLY_WITH_BANK:
            bulk = _millifarads(self.best.build.bus.bulk)
            return (
                f"With a switch on this adapter it takes {bulk} at the bus; nothing smaller that was tried is enough."
            )
        often = "" if self.best.odds is None else f": the best boots in {100 * self.best.odds.value:.0f} % of the runs"
        return f"No switch does it often enough on this adapter{often}."

    def _failing(self) -> str:
        assert self.rule is not None
        often = "each" if self.by_rule == self.failed else f"{self.by_rule}"
        return f"Of {RUNS} of its runs {self.failed} fail: in {often} of them {_FAILURES[self.rule]}."

    def _charge(self) -> str:
        c = self.charge
        level, drawn, given, lasts = (
            format_quantity(value, unit, digits=2)
            for value, unit in ((c.listen_voltage, "V"), (c.drawn, "A"), (c.given, "A"), (c.lasts, "s"))
        )
        return (
            f"At {level}, where pixels may begin to listen (the top of the range of {LISTEN_VOLTAGE}), the lit display "
            f"draws {drawn} and the adapter gives {given}. For {lasts}, until {FRAMES} frames are over, capacitors "
            f"have to give the rest: some {_millifarads(c.capacitance)} by this sum, more where values scatter; "
            f"{_millifarads(LARGEST_BANK)} at most were tried. A switch and its gate choose the moment, they give no "
            "charge."
        )

    def _what_asks_for_less(self) -> tuple[str, ...]:
        found, c = [], self.charge
        if c.pair_up_to is not None and c.pair_up_to < c.listen_voltage:
            level = format_quantity(c.pair_up_to, "V", digits=2)
            found.append(
                f"By the same sum {_millifarads(LARGEST_PAIR)}, two electrolytics, carry pixels that listen at {level} "
                f"or below and are otherwise as they are: measure {LISTEN_VOLTAGE} and {CHANNEL_CURRENT} before you "
                "build it (inrush guide says how)."
            )
        if 0 < c.sections_at_once < self.sections:
            lit = "one section" if c.sections_at_once == 1 else f"{c.sections_at_once} sections"
            found.append(
                f"By itself the adapter carries {lit} lit at a time: with a switch to each section, closed one after "
                "another, it needs no such charge. The model has one switch; a build of these sections alone shows it."
            )
        return tuple(found)

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI: ``code`` is the value of :class:`WhyNoSwitch`, ``rule`` that of its rule."""
        best = self.best
        return {
            "code": self.why.value,
            "sentence": " ".join(self.sentences),
            "best": None if best is None else best.name,
            "odds": None if best is None else best.odds,
            "rule": None if self.rule is None else self.rule.key,
            "runs": RUNS if self.rule is not None else 0,
            "failed": self.failed,
            "failed_by_rule": self.by_rule,
            **asdict(self.charge),
            "largest_tried": LARGEST_BANK,
        }


def shortfall_of(build: Build, ranked: Sequence[Remedy], wanted: float | None) -> Shortfall | None:
    """Return why no switch does it on a build's own adapter without a bank of capacitors; None where one does.

    Parameters
    ----------
    build : Build
        The build as it is, which needs a remedy.
    ranked : sequence of Remedy
        Those that help, best first.
    wanted : float or None
        The share of runs that has to boot [1]; None where a nominal start is enough.
    """
    switched = [each for each in ranked if each.build.switch is not None and not _is_bought(each)]
    enough = [each for each in switched if wanted is None or (each.odds is not None and each.odds.value >= wanted)]
    if any(not _has_bank(each) for each in enough):
        return None
    best = enough[0] if enough else max(switched, key=_share, default=None)
    # Where none boots, the sum is that of what was tried last: a data line to each section.
    charge = charge_of(build.with_values({"wiring.lanes": build.wiring.sections}) if best is None else best.build)
    failures = Counter[Rule]() if best is None or wanted is None else _failures(best.build)
    rule, by_rule = failures.most_common(1)[0] if failures else (None, 0)
    return Shortfall(
        why=_why(best, bool(enough), rule, charge), best=best, rule=rule, failed=failures.total(), by_rule=by_rule,
        charge=charge, sections=build.wiring.sections,
    )  # fmt: skip


def _has_bank(remedy: Remedy) -> bool:
    return RemedyName.CAPACITOR_BANK in (remedy.name, *remedy.combined_with)


def _is_bought(remedy: Remedy) -> bool:
    """Whether another adapter or other pixels do it, whatever switch the build has besides."""
    return bool(SINGLE & {remedy.name, *remedy.combined_with})


def _share(remedy: Remedy) -> float:
    return remedy.odds.value if remedy.odds is not None else 0.0


def _why(best: Remedy | None, often: bool, rule: Rule | None, charge: Charge) -> WhyNoSwitch:
    if best is None:
        return WhyNoSwitch.NEVER_BOOTS
    if often:
        return WhyNoSwitch.ONLY_WITH_BANK
    if charge.capacitance > 0 and rule in (Rule.LISTEN, Rule.FORGET):
        return WhyNoSwitch.TOO_LITTLE_CHARGE
    return WhyNoSwitch.TOO_SELDOM


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


def _millifarads(capacitance: float) -> str:
    return f"{float(f'{1e3 * capacitance:.2g}'):g} mF"
