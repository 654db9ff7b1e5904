"""One safety finding: what, how bad, the number, its limit, where the limit comes from, what to do.

``Finding``, ``Severity``
    the finding
``DEFERS``
    what every list of findings says about its own limits
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

DEFERS = (
    "These are cautions from a calculation, not an approval. Local codes decide, and mains and building wiring"
    " belong to a licensed person."
)


class Severity(Enum):
    """How bad a finding is, worst last."""

    FINE = "fine"
    NOTE = "note"
    CAUTION = "caution"
    DANGER = "danger"

    @property
    def sentence(self) -> str:
        """What the word stands for."""
        return {
            Severity.FINE: "within its limit",
            Severity.NOTE: "something to know or to fill in",
            Severity.CAUTION: "past a recommendation: it may fail or misbehave",
            Severity.DANGER: "past a limit: it can get hot enough to hurt or to burn",
        }[self]

    @property
    def rank(self) -> int:
        """0 for fine to 3 for danger, for sorting."""
        return list(Severity).index(self)


@dataclass(frozen=True)
class Finding:
    """One finding.

    Attributes
    ----------
    what : str
        The thing and what was looked at: "lead: current against the wire's rating".
    severity : Severity
        How bad.
    value, limit : float or None
        The number and what it is held against [unit]; None where there is none.
    unit : str
        Of both.
    source : str
        Where the limit comes from.
    remedy : str
        What to do; empty where nothing has to be done.
    minimum : bool
        Whether the limit is the least that is wanted, not the most.
    """

    what: str
    severity: Severity
    value: float | None
    limit: float | None
    unit: str
    source: str
    remedy: str = ""
    minimum: bool = False

    @property
    def sentence(self) -> str:
        """The finding on one line."""
        number = "" if self.value is None else f": {self.value:.3g} {self.unit}"
        word = "at least" if self.minimum else "limit"
        limit = "" if self.limit is None else f" ({word} {self.limit:.3g} {self.unit})"
        remedy = f". {self.remedy[:1].upper()}{self.remedy[1:]}" if self.remedy else ""
        return f"{self.severity.value.upper()} {self.what}{number}{limit}{remedy}"


def judge(value: float, recommended: float, limit: float) -> Severity:
    """Fine up to what is recommended, a caution up to the limit, a danger above.

    Parameters
    ----------
    value : float
        The number [any unit].
    recommended, limit : float
        What it is held against [unit of value].

    Returns
    -------
    Severity
        How bad.

    Examples
    --------
    >>> judge(9.0, 8.0, 10.0).value
    'caution'
    """
    if value <= recommended:
        return Severity.FINE
    return Severity.CAUTION if value <= limit else Severity.DANGER
