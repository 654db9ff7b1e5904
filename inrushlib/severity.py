"""How bad something is: for findings, and for the answers that show them.

``Severity``
    from fine to danger
"""

from __future__ import annotations

from enum import Enum


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
