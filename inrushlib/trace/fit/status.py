"""What a capture tells of each key, as data; sentences are made from it last.

``Status``        the seven things that it can tell
``FittedKey``     one key: value, interval, status
``Combination``   what is told of keys that cannot be told apart
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inrushlib.build import build_keys
from inrushlib.quantities import format_quantity, format_uncertain


class Status(StrEnum):
    """What a capture tells of a key."""

    INTERVAL = "interval"
    AT_LEAST = "at-least"
    AT_MOST = "at-most"
    UNDETERMINED = "undetermined"
    ONLY_TOGETHER = "only-together"
    AT_BOUND = "at-bound"
    WITHHELD = "withheld"


@dataclass(frozen=True)
class Combination:
    """What a capture tells of keys that it cannot tell apart.

    Attributes
    ----------
    keys : tuple of str
        The keys; one alone goes with the time shift.
    factors : tuple of float
        Of a sum where the keys have one unit, else exponents of a product; the first is 1 [1].
    value, error : float
        Of the sum [unit of the keys], or 1 and the relative error of the product.
    summed : bool
        Whether it is a sum.
    """

    keys: tuple[str, ...]
    factors: tuple[float, ...] = (1.0,)
    value: float = 1.0
    error: float = 0.0
    summed: bool = False

    @property
    def sentence(self) -> str:
        """It in words."""
        if len(self.keys) == 1:
            what = f"this capture cannot tell {self.keys[0]} and the time shift apart"
            return f"{what}: what it is counted from is not shown"
        head = f"this capture cannot tell {', '.join(self.keys[:-1])} and {self.keys[-1]} apart"
        terms = list(zip(self.keys, self.factors, strict=True))
        if not self.summed:
            product = " * ".join(key if power == 1.0 else f"{key}^{power:.3g}" for key, power in terms)
            return f"{head}: only {product} is determined, to {100 * self.error:.2g} %"
        total = " + ".join(key if factor == 1.0 else f"{factor:.3g} * {key}" for key, factor in terms)
        unit = build_keys()[self.keys[0]].unit
        value, error = format_uncertain(self.value, self.error, unit)
        return f"{head}: only {total} = {value} +- {error} is determined"


@dataclass(frozen=True, kw_only=True)
class FittedKey:
    """One fitted key, SI.

    Attributes
    ----------
    key : str
        Its dotted name.
    value, start : float
        Fitted value, and where it started [unit of the key].
    interval : tuple of float or None
        Where the true value is with 95 % confidence, if the model holds [unit of the key]; None for an open side, and
        altogether where the capture tells nothing, or where it is withheld.
    status : Status
        What the capture tells of it.
    combination : Combination or None
        What is told of it together with others.
    """

    key: str
    value: float
    start: float
    interval: tuple[float | None, float | None] | None
    status: Status
    combination: Combination | None = None

    @property
    def error(self) -> float | None:
        """Standard error: half the interval over 1.96; None where a side is open."""
        if self.status is not Status.INTERVAL or self.interval is None:
            return None
        low, high = self.interval
        return None if low is None or high is None else (high - low) / (2 * 1.96)

    @property
    def stays(self) -> bool:
        """Whether it stayed where it started."""
        return self.value == self.start

    @property
    def told_together(self) -> bool:
        """Whether it is told only together with another key or with the time shift."""
        return self.status is Status.ONLY_TOGETHER

    @property
    def note(self) -> str:
        """The status in words; empty where there is nothing to remark."""
        if self.combination is not None:
            return self.combination.sentence
        if self.status in (Status.AT_LEAST, Status.AT_MOST) and self.interval is not None:
            least = self.status is Status.AT_LEAST
            bound = self.interval[0] if least else self.interval[1]
            text = format_quantity(bound or 0.0, build_keys()[self.key].unit, digits=3)
            note = f"this capture only tells that {self.key} is {text} or {'more' if least else 'less'}"
        else:
            note = _NOTES[self.status]
        stays = self.stays and self.status in (Status.UNDETERMINED, Status.AT_LEAST, Status.AT_MOST)
        return f"{note}; it stays at its start" if stays else note

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI."""
        return {
            "value": self.value,
            "error": self.error,
            "interval": self.interval,
            "status": self.status.value,
            "note": self.note,
            "start": self.start,
        }


_NOTES = {
    Status.INTERVAL: "",
    Status.AT_LEAST: "",
    Status.AT_MOST: "",
    Status.ONLY_TOGETHER: "",
    Status.UNDETERMINED: "this capture does not tell it",
    Status.AT_BOUND: "at its bound",
    Status.WITHHELD: "no interval, since the model does not lie on this capture",
}
