"""Findings as a block."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import FindingRow, Findings, Rank, Temperature, Value, Words, sentence
from inrushlib.safety.finding import Finding


def findings_block(findings: Sequence[Finding], caption: str = "Findings, worst first") -> Findings:
    """Return findings as a block.

    Parameters
    ----------
    findings : sequence of Finding
        In the order in which they are read.
    caption : str
        What they are about.
    """
    return Findings(tuple(_row(each) for each in findings), caption)


def _row(finding: Finding) -> FindingRow:
    def shown(value: float | None) -> Words:
        return Temperature(value) if finding.unit == "C" else Value(value, finding.unit)

    return FindingRow(
        rank=Rank(finding.severity.value),
        what=finding.question.words(finding.detail),
        value=shown(finding.value),
        limit=("at least ", shown(finding.limit)) if finding.minimum else shown(finding.limit),
        remedy=sentence(finding.remedy),
        source=finding.source,
        sentence=finding.sentence,
    )
