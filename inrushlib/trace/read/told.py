"""From what was typed, behind a command or in the fields of a page, to ``ReadChoices``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inrushlib.quantities import parse_quantity
from inrushlib.trace.read.record import Counting, ReadChoices
from inrushlib.trace.read.settings import SETTINGS, Advice, CaptureRefused, Setting, Wording, wording

_TYPED = {r"\t": "\t", "tab": "\t", "blank": " "}  # marks that are hard to type
_WHOLE = frozenset((Setting.FIRST_LINE, Setting.HEADER_ROWS, Setting.SEGMENT))
_SECONDS = frozenset((Setting.INTERVAL, Setting.START))
_NUMBERS = frozenset((Setting.COUNTS_PER_DIVISION, Setting.SCALES, Setting.OFFSETS))


def choices_from(told: Mapping[Setting, Sequence[str]]) -> ReadChoices:
    """What was typed as choices for the reader.

    Parameters
    ----------
    told : mapping of Setting to sequence of str
        The texts of each setting; none, or blank ones, leave it to the file.

    Returns
    -------
    ReadChoices
        What the reader takes.

    Raises
    ------
    CaptureRefused
        With every text that is not accepted.

    Examples
    --------
    >>> choices = choices_from({Setting.INTERVAL: ["2 us"], Setting.UNITS: ["CH1=mV", "CH2=A"]})
    >>> choices.interval, choices.units
    (2e-06, {'CH1': 'mV', 'CH2': 'A'})
    >>> choices_from({Setting.SEGMENT: ["two"]})
    Traceback (most recent call last):
    inrushlib.trace.read.settings.CaptureRefused: --segment two: accepted: a whole number
    """
    found: dict[str, Any] = {}
    problems: list[Wording] = []
    for setting, given in told.items():
        texts = [text for text in given if text.strip() or text == " "]
        if not texts:
            continue
        try:
            found[setting.value] = _read(setting, texts)
        except _Odd as odd:
            problems.append(wording(Advice(setting, odd.text), f": accepted: {odd.accepted}"))
    if problems:
        raise CaptureRefused(problems)
    return ReadChoices(**found)


class _Odd(Exception):
    """A text that is not accepted."""

    def __init__(self, text: str, accepted: str) -> None:
        self.text, self.accepted = text, accepted


def _read(setting: Setting, texts: Sequence[str]) -> Any:
    """The texts of one setting as the reader takes them."""
    spec = SETTINGS[setting]
    if spec.by_channel:
        return dict(_pair(setting, text) for text in texts)
    if spec.many:
        return tuple(text.strip() for text in texts)
    return _one(setting, texts[-1])


def _pair(setting: Setting, text: str) -> tuple[str, Any]:
    name, mark, value = (part.strip() for part in text.rpartition("="))
    if not (name and mark and value):
        raise _Odd(text, "NAME=VALUE")
    return name, _one(setting, value)


def _one(setting: Setting, text: str) -> Any:
    spec, plain = SETTINGS[setting], text.strip()
    if spec.values and plain not in spec.values:
        raise _Odd(text, ", ".join(spec.values))
    if setting in _WHOLE:
        if not plain.isdecimal():
            raise _Odd(text, "a whole number")
        return int(plain)
    if setting in _SECONDS or setting in _NUMBERS:
        return _number(text, "s" if setting in _SECONDS else "")
    if setting is Setting.COUNTS:
        return Counting(plain)
    if setting is Setting.TIME_COLUMN:
        return int(plain) if plain.isdecimal() else plain
    if setting in (Setting.DELIMITER, Setting.THOUSANDS):
        return _TYPED.get(plain, plain or text[:1])
    return plain


def _number(text: str, unit: str) -> float:
    try:
        return float(text)
    except ValueError:
        pass
    try:
        return parse_quantity(text.strip(), unit)
    except ValueError:
        raise _Odd(text, "seconds, or a number with its unit such as 2 us" if unit else "a number") from None
