"""Start-ups as text: a table for several builds."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.terminal import columns
from inrushlib.cli.output import quantity, title
from inrushlib.startup import Startup


def table(starts: Sequence[Startup]) -> str:
    """Return one row a build.

    Parameters
    ----------
    starts : sequence of Startup
        One a row.
    """
    head = ("build", "verdict", "runs at", "data at", "peak", "settled", "bus", "brown-outs", "trips")
    cells = [head]
    for s in starts:
        f = s.figures
        cells.append(
            (
                title(s.build.title),
                s.headline.words,
                quantity(s.running_at, "s"),
                quantity(s.ready_at, "s"),
                quantity(f.peak_lead_current, "A"),
                quantity(f.settled_lead_current, "A"),
                quantity(f.final_bus_voltage, "V"),
                str(s.brown_outs),
                str(s.trips),
            )
        )
    return "\n".join([*columns(cells), "", *(line(s) for s in starts)])


def line(s: Startup) -> str:
    """Return title and reason of a start in one line, what it overstresses first.

    Parameters
    ----------
    s : Startup
        The start.
    """
    damage = f"{s.headline.damage}; " if s.overstressed else ""
    return f"{title(s.build.title)}: {damage}{s.reason}."
