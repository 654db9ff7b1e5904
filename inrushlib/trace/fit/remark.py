"""What a capture tells of a key that is fitted to it, as data; the sentence is made from it last.

``Outcome``   the seven things that it can tell
``Remark``    one of them, with the keys that it is about and, where there is one, the bound
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from inrushlib.build import build_keys
from inrushlib.quantities import format_quantity


class Outcome(StrEnum):
    """What a capture tells of a key."""

    DETERMINED = "determined"
    AT_LEAST = "at-least"
    AT_MOST = "at-most"
    ONLY_TOGETHER = "only-together"
    UNDETERMINED = "undetermined"
    MODEL_OFF = "model-off"
    AT_BOUND = "at-bound"

    @property
    def is_one_sided(self) -> bool:
        """Whether the key is only bounded, from one side."""
        return self in (Outcome.AT_LEAST, Outcome.AT_MOST)

    @property
    def has_error(self) -> bool:
        """Whether the value has a standard error."""
        return self in (Outcome.DETERMINED, Outcome.MODEL_OFF)


@dataclass(frozen=True)
class Remark:
    """What a capture tells of one key, or of several that only go together.

    Attributes
    ----------
    outcome : Outcome
        What it tells.
    keys : tuple of str
        The keys that it is about; more than one only where they are told together.
    bound : float or None
        The least or the most that the key is [unit of the key]; None where it is not one-sided.
    with_shift : bool
        Whether the key is only told together with the time shift.

    Examples
    --------
    >>> Remark(Outcome.AT_LEAST, ("adapter.limit_current",), bound=2.4).sentence
    'this capture only tells that adapter.limit_current is about 2.4 A or more'
    """

    outcome: Outcome
    keys: tuple[str, ...]
    bound: float | None = None
    with_shift: bool = False

    @property
    def sentence(self) -> str:
        """The remark in words; empty where there is nothing to remark."""
        if self.outcome is Outcome.ONLY_TOGETHER:
            return self._together()
        if self.bound is not None:
            (key,) = self.keys
            side = "more" if self.outcome is Outcome.AT_LEAST else "less"
            text = format_quantity(self.bound, build_keys()[key].unit, digits=3)
            return f"this capture only tells that {key} is about {text} or {side}"
        return _SENTENCES[self.outcome]

    def _together(self) -> str:
        if self.with_shift:
            (key,) = self.keys
            return f"this capture cannot tell {key} and the time shift apart: what it is counted from is not shown"
        *others, last = self.keys
        return f"this capture cannot tell {', '.join(others)} and {last} apart: only a combination is told"


_SENTENCES = {
    Outcome.DETERMINED: "",
    Outcome.UNDETERMINED: "this capture does not tell it",
    Outcome.MODEL_OFF: "the model does not lie on this capture: the error is too small",
    Outcome.AT_BOUND: "at its bound",
}
