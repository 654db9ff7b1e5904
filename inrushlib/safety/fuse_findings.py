"""The fuse in a lead or a feed: which one, or why none, and what protects then.

``fuse_finding``
    the finding about it
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.safety.conductors import GAUGE_KEYS, Load, connector_rating, rating_of
from inrushlib.safety.fault_current import fault_currents
from inrushlib.safety.finding import Finding, Question
from inrushlib.safety.fuse import FUSE_FAMILIES, FuseChoice, FuseOutcome, fuse_for
from inrushlib.safety.hardware import Hardware
from inrushlib.severity import Severity

SOURCE = (
    "running current over 75 % (EDN, 1996); the weakest of wires and connectors behind it; opens within two minutes"
    ' at twice its rating (UL 248-14); pulses by catalogue "Fuseology" (2017)'
)


@dataclass(frozen=True)
class _Weak:
    """A part that a fuse protects, what it carries at most [A], and what would carry more."""

    words: str
    amperes: float
    better: str


def fuse_finding(build: Build, load: Load, given: Hardware) -> Finding:
    """The fuse at the head of a lead or a feed.

    It carries what runs, protects the weakest part behind it, survives the starts, and is blown in useful time by
    what the supply can push without end: :func:`~inrushlib.safety.fuse.fuse_for`.

    Parameters
    ----------
    build : Build
        The build [SI].
    load : Load
        Currents of the lead or the feed, and what lies behind it [SI].
    given : Hardware
        Tables, fuse family, starts [SI].

    Returns
    -------
    Finding
        The rating to fit; a caution where none fits or none would blow.
    """
    parts = _parts(build, load, given)
    weakest = min(parts, key=lambda part: part.amperes, default=None)
    # Where the wire is not known, it may be the weakest part: whether a fuse is needed cannot be said.
    known = load.conductor.area is not None
    if weakest is None:
        return _ask(load, None)
    choice = _choose(build, load, weakest, given, judged=known)
    if choice.outcome in (FuseOutcome.TOO_WEAK, FuseOutcome.LADDER_ENDS, FuseOutcome.NONE_BETWEEN, FuseOutcome.MELTS):
        return Finding(
            load.place, Question.FUSE_NONE_FITS, Severity.CAUTION, choice.lowest, choice.highest, "A", SOURCE,
            choice.why_not,
        )  # fmt: skip
    if not known:
        return _ask(load, weakest)
    unknown = _unknown(load)
    if not choice.of_use:
        question, severity = Question.FUSE_OF_NO_USE, Severity.CAUTION
        if choice.outcome is FuseOutcome.NOT_NEEDED:
            question, severity = Question.FUSE_NOT_NEEDED, Severity.NOTE
        remedy = choice.why_not + unknown
        return Finding(load.place, question, severity, choice.fault, choice.highest, "A", SOURCE, remedy)
    survive = "" if not load.pulse else f", its melting I2t at least {choice.melting_i2t:.3g} A2s"
    remedy = f"fit a fuse of {choice.rating:g} A{survive}; it protects {weakest.words}{unknown}"
    return Finding(load.place, Question.FUSE, Severity.NOTE, choice.rating, choice.highest, "A", SOURCE, remedy)


def _parts(build: Build, load: Load, given: Hardware) -> list[_Weak]:
    """The wires and connectors that the fuse protects, those that are known."""
    found = []
    for each in (load.conductor, *load.behind):
        own = each.place == load.place
        if each.area is not None:
            amperes = rating_of(build, each.place, each.area, given.table)
            found.append(_Weak("its wire" if own else f"{each.place} behind it", amperes, "a thicker wire"))
        if each.connector is not None:
            amperes, _ = connector_rating(each.place, each.connector)
            words = f"its {each.connector} connector"
            if not own:
                words = f"the {each.connector} connector of {each.place} behind it"
            found.append(_Weak(words, amperes, "a larger connector"))
    return found


def _unknown(load: Load) -> str:
    """What to say of conductors behind the fuse whose copper is not known."""
    unknown = [each for each in load.behind if each.area is None]
    if not unknown:
        return ""
    return f". The jumpers behind it are not judged: say how thick they are ({GAUGE_KEYS[unknown[0].place.kind]})"


def _ask(load: Load, weakest: _Weak | None) -> Finding:
    least = fuse_for(load.lasting, float("inf"), 0.0).lowest
    most = "" if weakest is None else f", and at most the {weakest.amperes:.3g} A that {weakest.words} carries"
    remedy = f"at least this{most}; say how thick the wire is ({GAUGE_KEYS[load.place.kind]}) to learn what it may be"
    return Finding(
        load.place, Question.FUSE, Severity.NOTE, least, None if weakest is None else weakest.amperes, "A",
        "running current over 75 % (fuse maker, EDN, 26 September 1996)", remedy + " at most",
    )  # fmt: skip


def _choose(build: Build, load: Load, weakest: _Weak, given: Hardware, judged: bool) -> FuseChoice:
    """The fuse of the given family, or of the first family in which one fits."""
    family = given.fuse_family
    if family is not None and family not in FUSE_FAMILIES:
        raise UsageError(f"fuse family: {family!r}; accepted: {', '.join(FUSE_FAMILIES)}")
    flows = fault_currents(build, load.place)
    choices = [
        fuse_for(
            load.lasting, weakest.amperes, load.pulse or 0.0, starts=given.starts, ratings=ratings,
            melting_i2t=given.melting_i2t, wire=weakest.words, better=weakest.better,
            faults=(flows.overload, flows.short) if judged else None, fault_source=flows.source.value,
        )
        for ratings in ([FUSE_FAMILIES[family]] if family is not None else FUSE_FAMILIES.values())
    ]  # fmt: skip
    first = next((choice for choice in choices if choice.outcome is FuseOutcome.FITS), None)
    if first is not None:
        return first
    # Then the one that gets furthest: a rating that would be there, the smallest of them.
    return min(reversed(choices), key=lambda choice: choice.smallest or float("inf"))
