"""Findings as blocks.

``findings_block``  findings as they are
``safety_blocks``   findings on a display: how bad it is in a word, alike ones together
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Block,
    FindingRow,
    Findings,
    Note,
    Temperature,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.safety.finding import DEFERS, HOTTEST, Finding, grouped
from inrushlib.severity import Severity

_ARTICLES = {Severity.FINE: "", Severity.NOTE: "a ", Severity.CAUTION: "a ", Severity.DANGER: "a "}
WORST_FIRST = "Findings, worst first"


def findings_block(findings: Sequence[Finding], caption: str = WORST_FIRST) -> Findings:
    """Return findings as a block.

    Parameters
    ----------
    findings : sequence of Finding
        In the order in which they are read.
    caption : str
        What they are about.
    """
    return Findings(tuple(_row(each, 0) for each in findings), caption)


def counted(findings: Sequence[Finding]) -> str:
    """Return how many findings there are of each severity, in a sentence, worst first.

    Parameters
    ----------
    findings : sequence of Finding
        At least one.
    """
    counts = Counter(each.severity for each in findings)
    told = ", ".join(
        f"{counts[level]} {level.value}{'s' if counts[level] > 1 and level is not Severity.FINE else ''}"
        for level in reversed(Severity)
        if counts[level]
    )
    return f"Of {len(findings)} findings: {told}." if len(findings) > 1 else f"One finding: {told}."


def safety_blocks(findings: Sequence[Finding], *, fine: bool) -> tuple[Block, ...]:
    """Return findings on a display: the worst in a word, then alike ones together, worst first.

    Parameters
    ----------
    findings : sequence of Finding
        Worst first, at least one.
    fine : bool
        Whether those within their limits are listed too; else they are counted.
    """
    worst = findings[0].severity
    verdict = Verdict(
        f"the worst finding is {_ARTICLES[worst]}{worst.value}",
        (f"{worst.sentence}.", counted(findings)),
        worst is not Severity.DANGER,
    )  # fmt: skip
    shown = [each for each in findings if fine or each.severity is not Severity.FINE]
    rows = tuple(_row(each, more) for each, more in grouped(shown))
    left = len(findings) - len(shown)
    blocks: list[Block] = [verdict, Findings(rows, "What can get hot or misread, worst first")]
    if left:
        blocks.append(Note(f"{left} more are within their limits (all of them with --json)."))
    words = "; ".join(f"{level.value}: {level.sentence}" for level in reversed(Severity))
    return (*blocks, Note(sentence(words)), Note(DEFERS))


def _row(finding: Finding, more: int) -> FindingRow:
    alike = f" (the worst of {more + 1} like it)" if more else ""
    return FindingRow(
        severity=finding.severity,
        what=finding.what + alike,
        value=_shown(finding.value, finding.unit),
        limit=("at least ", _shown(finding.limit, finding.unit)) if finding.minimum else _limit(finding),
        remedy=sentence(finding.remedy),
        source=finding.source,
        sentence=finding.sentence + alike,
    )


def _limit(finding: Finding) -> Words:
    return _shown(finding.limit, finding.unit)


def _shown(value: float | None, unit: str) -> Words:
    if value is not None and math.isinf(value):
        return f"{HOTTEST} {unit}"
    if unit == "C":
        return Temperature(value)
    if value is not None and not unit:
        return f"{value:.3g}"
    return Value(value, unit)
