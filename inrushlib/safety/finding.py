"""One safety finding: what, how bad, the number, its limit, where the limit comes from, what to do.

``Finding``, ``Question``
    the finding, and what was looked at; how bad it is: :mod:`inrushlib.severity`
``judge``, ``worse``
    how bad a number is; the worse of two
``grouped``
    alike ones together, for a page
``DEFERS``
    what every list of findings says about its own limits
``CONTINUOUS_SHARE``
    of a rating that a lasting load may use
``JUNCTION_RESERVE``
    by which a junction should stay below its highest temperature
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum

from inrushlib.parts.place import Place
from inrushlib.quantities import format_result
from inrushlib.severity import Severity

DEFERS = (
    "These are cautions from a calculation, not an approval. Local codes decide, and mains and building wiring"
    " belong to a licensed person."
)


CONTINUOUS_SHARE = 0.8
"""Continuous load as a share of a rating: 1 / 1.25 (NEC 210.20(A), 215.3)."""

JUNCTION_RESERVE = 25.0
"""Below its highest temperature, that a junction should stay [K]; more is no better (common practice, no source)."""

HOTTEST = "above 250"  # [C] what an infinite wire temperature stands for


class Question(Enum):
    """What a finding looked at."""

    LABEL = "label"
    LABEL_STALLED = "label-stalled"
    MINIMUM_LOAD = "minimum-load"
    SOURCE_CLASS = "source-class"
    OLDER_SOURCE_CLASS = "older-source-class"
    SUPPLY_VOLTAGE = "supply-voltage"
    WIRE_RATING = "wire-rating"
    WIRE_STALLED = "wire-stalled"
    WIRE_PULSE = "wire-pulse"
    CONNECTOR = "connector"
    FUSE = "fuse"
    FUSE_NONE_FITS = "fuse-none-fits"
    FUSE_NOT_NEEDED = "fuse-not-needed"
    FUSE_OF_NO_USE = "fuse-of-no-use"
    DATA_LEVEL = "data-level"
    JUNCTION = "junction"
    JUNCTION_STALLED = "junction-stalled"
    START_HOTTEST = "start-hottest"
    START_JUNCTION = "start-junction"
    LIT_HOTTEST = "lit-hottest"
    LIT_JUNCTION = "lit-junction"
    CLOSING = "closing"
    GATE_DRIVE = "gate-drive"
    PLUGGED_IN = "plugged-in"
    LEAK_TRANSISTOR = "leak-transistor"
    LEAK_PIN = "leak-pin"

    def words(self, detail: str = "") -> str:
        """How a page says it, the finding's ``detail`` in its gap."""
        return _WORDS[self].format(detail)


_WORDS = {
    Question.LABEL: "current against its label",
    Question.LABEL_STALLED: "current against its label while the display stays in its power-on colour",
    Question.MINIMUM_LOAD: "current while the display is dark, against the load below which it switches itself off",
    Question.SOURCE_CLASS: "largest output current against a limited power source",
    Question.OLDER_SOURCE_CLASS: "largest output power against the older form of a limited power source",
    Question.SUPPLY_VOLTAGE: "supply voltage without load",
    Question.WIRE_RATING: "current against the wire's rating",
    Question.WIRE_STALLED: "wire temperature while the display stays in its power-on colour",
    Question.WIRE_PULSE: "I2t of the start-up against what the insulation survives",
    Question.CONNECTOR: "current through its {} connector",
    Question.FUSE: "fuse rating",
    Question.FUSE_NONE_FITS: "no fuse fits, least rating",
    Question.FUSE_NOT_NEEDED: "no fuse needed, most current that can flow for long",
    Question.FUSE_OF_NO_USE: "no fuse would blow, most current that can flow for long",
    Question.DATA_LEVEL: "high level at its first pixel, in section {}",
    Question.JUNCTION: "junction in this picture, in the long run",
    Question.JUNCTION_STALLED: "junction while the display stays in its power-on colour",
    Question.START_HOTTEST: "hottest junction during the start",
    Question.START_JUNCTION: "junction in the long run, as the start ends",
    Question.LIT_HOTTEST: "hottest junction where the display stays lit",
    Question.LIT_JUNCTION: "junction in the long run where the display stays lit",
    Question.CLOSING: "told to close",
    Question.GATE_DRIVE: "gate drive at the lowest bus voltage while on, {}",
    Question.PLUGGED_IN: "current let through on plugging in, while it should be off",
    Question.LEAK_TRANSISTOR: "most let through before the program closes it, gate on an open-drain transistor",
    Question.LEAK_PIN: "most let through before the program closes it, gate on the controller's bare pin",
}


@dataclass(frozen=True)
class Finding:
    """One finding.

    Attributes
    ----------
    place : Place
        The thing.
    question : Question
        What was looked at.
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
    detail : str
        What fills the gap in the question's words; empty where it has none.
    what : str
        Thing and question in words, made from the others: "lead: current against the wire's rating".
    """

    place: Place
    question: Question
    severity: Severity
    value: float | None
    limit: float | None
    unit: str
    source: str
    remedy: str = ""
    minimum: bool = False
    detail: str = ""
    what: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "what", f"{self.place.name}: {self.question.words(self.detail)}")

    @property
    def sentence(self) -> str:
        """The finding on one line."""
        number = "" if self.value is None else f": {_text(self.value, self.unit)}"
        word = "at least" if self.minimum else "limit"
        limit = "" if self.limit is None else f" ({word} {_text(self.limit, self.unit)})"
        remedy = f". {self.remedy[:1].upper()}{self.remedy[1:]}" if self.remedy else ""
        return f"{self.severity.value.upper()} {self.what}{number}{limit}{remedy}"

    @property
    def use(self) -> float:
        """How much of the limit is used up, for finding the worst of several [1]; the value where there is no limit."""
        if self.value is None:
            return 0.0
        if not self.limit:
            return self.value
        return self.limit / max(self.value, 1e-300) if self.minimum else self.value / self.limit


def _text(value: float, unit: str) -> str:
    return f"{HOTTEST} {unit}" if math.isinf(value) else format_result(value, unit)


def grouped(findings: Iterable[Finding]) -> list[tuple[Finding, int]]:
    """Findings of one kind and severity together: the worst of each group, and how many more there are.

    Parameters
    ----------
    findings : iterable of Finding
        In the order of a list [1].

    Returns
    -------
    list of tuple of (Finding, int)
        In the order of each group's first finding. All hops are one kind, and so are all feeds and all data lines.

    Examples
    --------
    >>> from inrushlib.parts.place import hop
    >>> two = [
    ...     Finding(hop(k), Question.WIRE_RATING, Severity.NOTE, 1.0 + k, None, "A", "none") for k in range(2)
    ... ]
    >>> [(finding.place.name, more) for finding, more in grouped(two)]
    [('jumper 1-2', 1)]
    """
    groups: dict[object, list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.place.kind, finding.question, finding.severity), []).append(finding)
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


def worse(one: Severity, other: Severity) -> Severity:
    """The worse of two.

    Parameters
    ----------
    one, other : Severity
        How bad each is.

    Returns
    -------
    Severity
        The one of higher rank.

    Examples
    --------
    >>> worse(Severity.CAUTION, Severity.FINE).value
    'caution'
    """
    return max(one, other, key=lambda each: each.rank)
