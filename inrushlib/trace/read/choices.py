"""Checks of what a caller says about a capture."""

from __future__ import annotations

import math

from inrushlib.trace.read.header import Column
from inrushlib.trace.read.layout import DECIMALS, DELIMITERS
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.settings import Advice, CaptureRefused, Setting, Wording, refused, wording


def check_choices(choices: ReadChoices) -> None:
    """Raise when a choice is outside what is accepted, all at once.

    Parameters
    ----------
    choices : ReadChoices
        What the caller knows.

    Raises
    ------
    CaptureRefused
        With every choice that is not accepted.
    """
    problems: list[Wording] = []

    def expect(good: bool, setting: Setting, value: object, accepted: str, channel: str = "") -> None:
        if not good:
            advice = Advice(setting, "none" if value is None else str(value), channel)
            problems.append(wording(advice, f" is not accepted; {accepted}"))

    marks = ", ".join(map(repr, DELIMITERS))
    good = choices.delimiter is None or choices.delimiter in DELIMITERS
    expect(good, Setting.DELIMITER, choices.delimiter, marks)
    expect(choices.decimal is None or choices.decimal in DECIMALS, Setting.DECIMAL, choices.decimal, "'.' or ','")
    alone = choices.thousands not in (choices.delimiter, choices.decimal) and len(choices.thousands) == 1
    good = not choices.thousands or alone
    expect(good, Setting.THOUSANDS, choices.thousands, "one character that is no other mark")
    if choices.thousands and choices.decimal is None:
        problems.append(wording(Advice(Setting.THOUSANDS, choices.thousands), " needs ", Advice(Setting.DECIMAL)))
    expect(choices.header_rows in (None, 0, 1, 2), Setting.HEADER_ROWS, choices.header_rows, "0, 1 or 2")
    for setting in (Setting.FIRST_LINE, Setting.SEGMENT):
        number = getattr(choices, setting.value)
        expect(number is None or number >= 1, setting, number, "whole numbers from 1")
    for setting in (Setting.INTERVAL, Setting.COUNTS_PER_DIVISION):
        number = getattr(choices, setting.value)
        expect(number is None or (math.isfinite(number) and number > 0.0), setting, number, "numbers above zero")
    good = choices.start is None or math.isfinite(choices.start)
    expect(good, Setting.START, choices.start, "finite numbers")
    for setting in (Setting.SCALES, Setting.OFFSETS):
        for name, number in getattr(choices, setting.value).items():
            expect(math.isfinite(number), setting, number, "finite numbers", name)
    if problems:
        raise CaptureRefused(problems)


def check_names(choices: ReadChoices, names: list[str], columns: list[Column]) -> None:
    """Raise when a choice is for a channel that is not there.

    Parameters
    ----------
    choices : ReadChoices
        What the caller knows.
    names : list of str
        The channels' names.
    columns : list of Column
        The columns that they come from.

    Raises
    ------
    CaptureRefused
        With the first name that no channel has.
    """
    known = {*names, *(column.label for column in columns)}
    for setting in (Setting.UNITS, Setting.SCALES, Setting.OFFSETS):
        for name, value in getattr(choices, setting.value).items():
            if name not in known:
                told = Advice(setting, str(value), name)
                raise refused(told, f" names {name!r}; the channels are {', '.join(names)}")
