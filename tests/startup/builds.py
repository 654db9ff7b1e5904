"""Small builds for the rule tests, and ways to read a start."""

from inrushlib.build import Build, parse_build
from inrushlib.startup import Kind, Startup, simulate

# One dark section on an ample adapter: everything works, and each test changes what it is about.
QUIET = """
title = "rule test"
[adapter]
rated_current = 4.0
[controller]
boot_time = 0.02
[pixel]
power_on = [0, 0, 0]
[wiring]
sections = 1
pixels_per_section = 16
[run]
duration = 0.2
"""


def quiet(**values: object) -> Build:
    """The quiet build with keys changed; ``adapter__rated_current`` stands for adapter.rated_current."""
    return parse_build(QUIET).with_values({key.replace("__", "."): value for key, value in values.items()})


def start(**values: object) -> Startup:
    return simulate(quiet(**values))


def times(found: Startup, kind: Kind, index: int | None = None) -> list[float]:
    """When switchings of a kind happened [s]."""
    return [s.time for s in found.switchings if s.kind is kind and (index is None or s.index == index)]


def curve(found: Startup, name: str, at: float) -> float:
    return float(found.at([at])[name][0])
