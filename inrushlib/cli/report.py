"""Start-ups as text: a table for several builds, and what is said first of one."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.cli.output import columns, quantity, sentence, title
from inrushlib.startup import Headline, Startup


def headline_lines(headline: Headline) -> list[str]:
    """Return what every page on a start says first: how it ends, why, and what to do about an overstress."""
    lines = [f"  {headline.title.upper()}: {headline.meaning}", f"  {sentence(headline.reason)}"]
    return lines + [f"  {sentence(text)}" for text in headline.advice]


def overstress_lines(headline: Headline) -> list[str]:
    """Return the same for a page that answers another question: only where a part is overstressed, and a blank line."""
    return [*headline_lines(headline), ""] if headline.overstressed else []


def table(starts: Sequence[Startup]) -> str:
    """Return one row a build."""
    head = ("build", "verdict", "runs at", "data at", "peak", "settled", "bus", "brown-outs", "trips")
    cells = [head]
    for s in starts:
        f = s.figures
        cells.append(
            (
                title(s.build.title),
                s.headline.title,
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
    """Return title and reason of a start in one line, what it overstresses first."""
    damage = f"{s.headline.damage}; " if s.overstressed else ""
    return f"{title(s.build.title)}: {damage}{s.reason}."
