"""One safety finding: what, how bad, the number, its limit, where the limit comes from, what to do.

``Finding``, ``Severity``
    the finding
``grouped``
    alike ones together, for a page
``DEFERS``
    what every list of findings says about its own limits
``CONTINUOUS_SHARE``
    of a rating that a lasting load may use
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

DEFERS = (
    "These are cautions from a calculation, not an approval. Local codes decide, and mains and building wiring"
    " belong to a licensed person."
)


CONTINUOUS_SHARE = 0.8
"""Continuous load as a share of a rating: 1 / 1.25 (NEC 210.20(A), 215.3)."""

HOTTEST = "above 250"  # [C] what an infinite wire temperature stands for


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
        number = "" if self.value is None else f": {_text(self.value)} {self.unit}"
        word = "at least" if self.minimum else "limit"
        limit = "" if self.limit is None else f" ({word} {_text(self.limit)} {self.unit})"
        remedy = f". {self.remedy[:1].upper()}{self.remedy[1:]}" if self.remedy else ""
        return f"{self.severity.value.upper()} {self.what}{number}{limit}{remedy}"

    @property
    def subject(self) -> str:
        """The thing: "lead", "hop 0-1"."""
        return self.what.partition(": ")[0]

    @property
    def question(self) -> str:
        """What was looked at: "current against the wire's rating"."""
        return self.what.partition(": ")[2]

    @property
    def use(self) -> float:
        """How much of the limit is used up, for finding the worst of several [-]; the value where there is no limit."""
        if self.value is None:
            return 0.0
        if not self.limit:
            return self.value
        return self.limit / max(self.value, 1e-300) if self.minimum else self.value / self.limit


def _text(value: float) -> str:
    return HOTTEST if math.isinf(value) else f"{value:.3g}"


def grouped(findings: Iterable[Finding]) -> list[tuple[Finding, int]]:
    """Findings of one kind and severity together: the worst of each group, and how many more there are.

    Parameters
    ----------
    findings : iterable of Finding
        In the order of a list [-].

    Returns
    -------
    list of tuple of (Finding, int)
        In the order of each group's first finding. All hops are one kind, and so are all feeds and all data lines.

    Examples
    --------
    >>> two = [Finding(f"hop {k}-{k + 1}: current", Severity.NOTE, 1.0 + k, None, "A", "none") for k in range(2)]
    >>> [(finding.subject, more) for finding, more in grouped(two)]
    [('hop 1-2', 1)]
    """
    groups: dict[tuple[str, str, Severity], list[Finding]] = {}
    for finding in findings:
        kind = finding.subject.rstrip("0123456789-")
        # "gate drive at 2.76 V": numbers do not make another kind.
        groups.setdefault((kind, finding.question.rstrip("0123456789"), finding.severity), []).append(finding)
    return [(max(group, key=lambda each: each.use), len(group) - 1) for group in groups.values()]


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
