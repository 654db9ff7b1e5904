"""What the sheet adds to the numbers of the other commands."""

from __future__ import annotations

from typing import Any

from inrushlib.build import build_keys
from inrushlib.panel.arrangement import Arrangement
from inrushlib.sheet.facts import SheetFacts
from inrushlib.sheet.parts_list import parts_list


def to_dict(facts: SheetFacts) -> dict[str, Any]:
    """Return what the sheet adds to the JSON of the other commands, and the build's own values.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    build = facts.build
    taken = facts.lengths_taken
    rows, columns = Arrangement.of_build(build).shape
    values = {}
    for key in build_keys():
        if getattr(build, key.partition(".")[0], None) is not None:
            values[key] = build.get(key)
    return {
        "title": build.title,
        "verdict": facts.start.verdict.value,
        "build": values,
        "display": {"pixels": sum(build.wiring.pixels_per_section), "rows": rows, "columns": columns},
        "adapter": facts.rating,
        "running_current": facts.running_current,
        "highest_rail_voltage": facts.highest_rail,
        "frame_time": facts.frame_time,
        "lengths_taken": None if taken is None else {"feed": taken.feed, "hop": taken.hop},
        "measured": [
            {"key": line.row.key, "value": line.row.value, "low": line.row.low, "high": line.row.high,
             "modelled": line.row.modelled, "day": line.row.day.isoformat(), "source": line.row.source}
            for line in facts.measured
        ],
        "parts": [{"part": each.what, "count": each.count, "ratings": each.ratings} for each in parts_list(facts)],
    }  # fmt: skip
