"""What was assumed, and what hangs on it.

``hangs_on``        the values that could change the verdict
``reservation``     what is added to a verdict that hangs on them
``assumed_block``   these values, those that could change most first
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inrushlib.answers.blocks import Key, Table, Value, Words
from inrushlib.build import build_keys
from inrushlib.margins import Assumed
from inrushlib.parts import TABLES
from inrushlib.parts.tables import written

MOST: Final = 8
NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def hangs_on(assumed: Sequence[Assumed]) -> tuple[Assumed, ...]:
    """Return the values that could change the verdict.

    Parameters
    ----------
    assumed : sequence of Assumed
        All that were assumed.
    """
    return tuple(each for each in assumed if each.matters)


def reservation(count: int) -> str:
    """Return what is added to a verdict that hangs on so many assumed values; empty for none.

    Parameters
    ----------
    count : int
        Values [1].

    Examples
    --------
    >>> reservation(3), reservation(1)
    (', but hangs on three values that were assumed', ', but hangs on one value that was assumed')
    """
    if not count:
        return ""
    number = NUMBERS[count] if count < len(NUMBERS) else f"{count}"
    return f", but hangs on {number} {'value that was' if count == 1 else 'values that were'} assumed"


def assumed_block(assumed: Sequence[Assumed]) -> Table | None:
    """Return the values that could change the verdict, those that could change most first; None where none could.

    Parameters
    ----------
    assumed : sequence of Assumed
        All that were assumed.
    """
    matter = hangs_on(assumed)
    if not matter:
        return None
    rows = [_row(each) for each in matter[:MOST]]
    if len(matter) > MOST:
        rows.append((f"and {len(matter) - MOST} more", "", "", "", ""))
    return Table(
        ("", "assumed", "may be", "to", "it may turn into"), tuple(rows),
        "Assumed, and each alone turns the verdict within its range", (1, 2, 3),
    )  # fmt: skip


def _row(each: Assumed) -> tuple[Words, ...]:
    info = build_keys()[each.key]
    about = TABLES[info.table].about[info.key]
    entries = set(each.value) if isinstance(each.value, tuple) else {each.value}
    value = written(about, entries.pop() if len(entries) == 1 else each.value)
    ends = (Value(end, info.unit, resolution=0.0) for end in (each.low, each.high))
    return (Key(each.key), value, *ends, each.turns_to.words if each.turns_to else "")
