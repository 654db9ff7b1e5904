"""Start-ups as text: a table for several builds."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Table, Value
from inrushlib.answers.terminal import columns, text_of
from inrushlib.cli.output import title
from inrushlib.startup import Startup

HEADS = ("build", "verdict", "runs at", "data at", "peak", "settled", "bus", "brown-outs", "trips")


def table(starts: Sequence[Startup]) -> str:
    """Return one row a build.

    Parameters
    ----------
    starts : sequence of Startup
        One a row.
    """
    rows = tuple(
        (
            title(s.build.title), s.headline.words, Value(s.running_at, "s"), Value(s.ready_at, "s"),
            Value(s.figures.peak_lead_current, "A"), Value(s.figures.settled_lead_current, "A"),
            Value(s.figures.final_bus_voltage, "V"), str(s.brown_outs), str(s.trips),
        )
        for s in starts
    )  # fmt: skip
    cells = [[text_of(cell) for cell in row] for row in Table(HEADS, rows, numbers=tuple(range(2, 9))).rows]
    return "\n".join([*columns([HEADS, *cells]), "", *(line(s) for s in starts)])


def line(s: Startup) -> str:
    """Return title and reason of a start in one line, what it overstresses first.

    Parameters
    ----------
    s : Startup
        The start.
    """
    damage = f"{s.headline.damage}; " if s.overstressed else ""
    return f"{title(s.build.title)}: {damage}{s.reason}."
