"""Why to take a remedy, in one sentence, and what it costs in parts.

``reason_for``  the sentence
``in_short``    the same without saying that it is to be taken
``parts_of``    what to get and to fit, and what to write
"""

from __future__ import annotations

from typing import Final

from inrushlib.quantities import format_quantity
from inrushlib.remedies.compare import Remedy
from inrushlib.remedies.outcome import Needed, RemedyName

_NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six")
_PROGRAM: Final = "firmware."


def reason_for(remedy: Remedy) -> str:
    """Return why to take a remedy: what it is, how often it boots, what is closest; one sentence without its stop.

    Parameters
    ----------
    remedy : Remedy
        One that helps.
    """
    return f"take this: {in_short(remedy)}"


def in_short(remedy: Remedy) -> str:
    """Return what a remedy is, how often it boots, and what is closest; words without their stop.

    Parameters
    ----------
    remedy : Remedy
        One that helps.
    """
    names = [each.value for each in (remedy.name, *remedy.combined_with) if each is not RemedyName.REPEATED_FRAME]
    lines = len(_lines(remedy))
    if lines:
        names.append(f"{_NUMBERS[lines] if lines < len(_NUMBERS) else lines} line{'s' * (lines > 1)} of firmware")
    what = ", ".join(names[:-1]) + " and " * (len(names) > 1) + names[-1]
    return "; ".join(part for part in (what, _odds(remedy), _closest(remedy)) if part)


def parts_of(remedy: Remedy) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what to get and to fit, and what to write in the program, in words.

    Parameters
    ----------
    remedy : Remedy
        One that helps.
    """
    program = _lines(remedy)
    hardware = tuple(each.words for each in remedy.needed if each not in program)
    return hardware, tuple(each.words for each in program)


def _lines(remedy: Remedy) -> list[Needed]:
    return [each for each in remedy.needed if each.key.startswith(_PROGRAM)]


def _odds(remedy: Remedy) -> str:
    odds = remedy.odds
    if odds is None:
        return "boots with the values as they are"
    low, high = (f"{100 * end:.0f}" for end in (odds.low, odds.high))
    return f"boots in {100 * odds.value:.0f} % ({low} to {high} %) of the runs within the ranges"


def _closest(remedy: Remedy) -> str:
    slack = remedy.slack
    if slack is None:
        return ""
    spare = format_quantity(slack.value, slack.unit, digits=2)
    return f"closest: {slack.rule.key.replace('-', ' ')} with {spare} to spare"
