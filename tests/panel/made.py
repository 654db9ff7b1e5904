"""A panel of four sections with two feeds, for what is changed of it, and links across it."""

from typing import Any

from inrushlib.build import Build, new_build

GRID = [(0, 9, 0.04), (4, 13, 0.05), (13, 22, 0.03)]


def build(**values: Any) -> Build:
    given = {
        "title": "a panel",
        "adapter.rated_current": 8.0,
        "lead.resistance": 0.05,
        "wiring.sections": 4,
        "wiring.pixels_per_section": [5, 8, 3, 7],
        "wiring.hop_resistance": [0.03, 0.05, 0.02],
        "wiring.rail_resistance": 20e-3,
        "wiring.feeds": [0, 2],
    }
    return new_build(given | {key.replace("__", "."): value for key, value in values.items()})
