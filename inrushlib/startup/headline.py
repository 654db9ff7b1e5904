"""What is said first of a start: how it ends, and what it overstresses.

``Headline``  the one place from which every page, table and JSON takes it

A start that overstresses a part is never announced as one that boots, whatever its verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inrushlib.startup.overstress import Cause, Overstress
from inrushlib.startup.verdict import Verdict

_GRADES = {Verdict.BOOTS: 0, Verdict.BOOTS_AFTER_RESETS: 1}
_FAILS = 2


@dataclass(frozen=True)
class Headline:
    """How a start ends, in brief.

    Attributes
    ----------
    verdict : Verdict
        How it ends, whatever it does to its parts.
    reason : str
        Why, in one sentence.
    overstressed : tuple of Overstress
        Parts that saw more than they stand.
    """

    verdict: Verdict
    reason: str
    overstressed: tuple[Overstress, ...] = ()

    @property
    def good(self) -> bool:
        """Whether it starts and every part stands it."""
        return self.verdict.starts and not self.overstressed

    @property
    def boots(self) -> bool:
        """Whether it boots at the first try and every part stands it."""
        return self.verdict is Verdict.BOOTS and not self.overstressed

    @property
    def title(self) -> str:
        """How it ends, in a few words: ``boots``, ``overstressed``, ``stuck, and overstressed``."""
        if not self.overstressed:
            return self.verdict.value
        return "overstressed" if self.verdict.starts else f"{self.verdict.value}, and overstressed"

    @property
    def words(self) -> str:
        """The title as a page says it, without hyphens."""
        if not self.overstressed:
            return self.verdict.words
        return "overstressed" if self.verdict.starts else f"{self.verdict.words}, and overstressed"

    @property
    def meaning(self) -> str:
        """What the title means, in one or more sentences."""
        if not self.overstressed:
            return self.verdict.meaning
        seen = f"{self.damage[:1].upper()}{self.damage[1:]}."
        if self.verdict is Verdict.BOOTS:
            return f"{seen} It would start at the first try, if they survive that."
        return f"{seen} {self.verdict.meaning}"

    @property
    def damage(self) -> str:
        """What sees more than it stands, in words; empty where nothing does."""
        return ", and ".join(each.words for each in self.overstressed)

    @property
    def advice(self) -> tuple[str, ...]:
        """What to do about it, one sentence each; empty where nothing is overstressed."""
        causes = dict.fromkeys(each.cause for each in self.overstressed)
        if Cause.SUPPLY in causes:  # a supply that is too high has to go first, whatever else it does
            return (Cause.SUPPLY.advice,)
        return tuple(cause.advice for cause in causes)

    def worse_than(self, other: Headline) -> bool:
        """Whether a change from ``other`` to this one is for the worse: starts less well, or stresses more parts."""
        parts = {each.part for each in other.overstressed}
        return self.grade > other.grade or any(each.part not in parts for each in self.overstressed)

    @property
    def grade(self) -> int:
        """0 where it boots at the first try, 1 where only after resets, 2 where it does not [1]."""
        return _GRADES.get(self.verdict, _FAILS)

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI."""
        return {
            "headline": self.title,
            "verdict": self.verdict.value,
            "reason": self.reason,
            "overstressed": [
                {
                    "part": each.part.value, "seen": each.seen, "limit": each.limit, "unit": each.unit,
                    "at": each.at, "cause": each.cause.value,
                }
                for each in self.overstressed
            ],
        }  # fmt: skip
