"""The adapter against the limited-power classes of the safety standards.

``limited_power_findings``
    whether its output can be counted as one that cannot start a fire easily
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.parts.place import ADAPTER
from inrushlib.safety.finding import Finding, Question
from inrushlib.severity import Severity

LARGEST_CURRENT = 8.0
LARGEST_POWER = 100.0
"""Output limits up to 30 V: 8 A and 100 VA (IEC 62368-1 annex Q, table Q.1, from memory)."""
OLDER_VOLTAGE_FACTOR = 5.0
"""Up to 20 V the older IEC 60950-1 section 2.5 table 2B prints 5 x the open-circuit voltage, in VA."""


def limited_power_findings(build: Build) -> list[Finding]:
    """The adapter's largest output against limited-power classes.

    Its current limit at rated voltage stands for the largest output; what a faulty one gives is not known here.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    list of Finding
        Current and power, and the older, stricter form.

    Notes
    -----
    The editions disagree for 5 V; both are shown. Only the adapter's own marking says that it is one.
    """
    adapter = build.adapter
    current = max(adapter.limit_current, adapter.peak_current or 0.0)
    power = current * adapter.rated_voltage
    inside = current <= LARGEST_CURRENT and power <= LARGEST_POWER
    findings = [
        Finding(
            ADAPTER,
            Question.SOURCE_CLASS,
            Severity.FINE if inside else Severity.CAUTION,
            current,
            LARGEST_CURRENT,
            "A",
            "IEC 62368-1 annex Q table Q.1 (from memory); NEC class 2: 100 VA up to 30 V",
            ""
            if inside
            else "fuse what carries less than that, close to the adapter, and use an enclosure that does not burn",
        )
    ]
    older = OLDER_VOLTAGE_FACTOR * adapter.rated_voltage
    if inside and power > older:
        findings.append(
            Finding(
                ADAPTER,
                Question.OLDER_SOURCE_CLASS,
                Severity.NOTE,
                power,
                older,
                "VA",
                "IEC 60950-1 section 2.5 table 2B: 5 x open-circuit voltage up to 20 V",
                "the current edition should decide; look for LPS or class 2 on the label",
            )
        )
    return findings
