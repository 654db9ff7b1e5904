"""Stretches of a value that boot, where there are several."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Table, Value
from inrushlib.search import Island


def stretches(islands: Sequence[Island], unit: str, what: str) -> tuple[Table, ...]:
    """Return a table of the stretches that boot; nothing where it is only one.

    Parameters
    ----------
    islands : sequence of Island
        The stretches, from low to high.
    unit : str
        Of their edges.
    what : str
        What the value is.
    """
    if len(islands) < 2:
        return ()
    rows = tuple((Value(each.low, unit), Value(each.high, unit)) for each in islands)
    caption = f"It boots only within these stretches of {what} (more is not always better)"
    return (Table(("from", "to"), rows, caption, (0, 1)),)
