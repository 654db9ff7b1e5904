"""Checks of what a caller says about a capture."""

from __future__ import annotations

import math

from inrushlib.errors import TraceError
from inrushlib.trace.read.header import Column
from inrushlib.trace.read.layout import DECIMALS, DELIMITERS
from inrushlib.trace.read.record import ReadChoices


def check_choices(choices: ReadChoices) -> None:
    """Raise when a choice is outside what is accepted, all at once.

    Parameters
    ----------
    choices : ReadChoices
        What the caller knows.

    Raises
    ------
    TraceError
        With every choice that is not accepted.
    """
    problems = []

    def expect(good: bool, key: str, value: object, accepted: str) -> None:
        if not good:
            problems.append(f"{key}={value!r} is not accepted; {accepted}")

    marks = ", ".join(map(repr, DELIMITERS))
    expect(choices.delimiter is None or choices.delimiter in DELIMITERS, "delimiter", choices.delimiter, marks)
    expect(choices.decimal is None or choices.decimal in DECIMALS, "decimal", choices.decimal, "'.' or ','")
    alone = choices.thousands not in (choices.delimiter, choices.decimal) and len(choices.thousands) == 1
    expect(not choices.thousands or alone, "thousands", choices.thousands, "one character that is no other mark")
    expect(
        not choices.thousands or choices.decimal is not None,
        "decimal",
        choices.decimal,
        "needed with thousands=",
    )
    expect(choices.header_rows in (None, 0, 1, 2), "header_rows", choices.header_rows, "0, 1 or 2")
    for key in ("first_line", "segment"):
        number = getattr(choices, key)
        expect(number is None or number >= 1, key, number, "whole numbers from 1")
    for key in ("interval", "counts_per_division"):
        number = getattr(choices, key)
        expect(number is None or (math.isfinite(number) and number > 0.0), key, number, "numbers above zero")
    expect(choices.start is None or math.isfinite(choices.start), "start", choices.start, "finite numbers")
    for key in ("scales", "offsets"):
        for name, number in getattr(choices, key).items():
            expect(math.isfinite(number), f"{key}[{name!r}]", number, "finite numbers")
    if problems:
        raise TraceError(problems)


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
    TraceError
        With the first name that no channel has.
    """
    known = {*names, *(column.label for column in columns)}
    for key in ("units", "scales", "offsets"):
        for name in getattr(choices, key):
            if name not in known:
                raise TraceError(f"{key}= names {name!r}; the channels are {', '.join(names)}")
