"""Time of many starts of the six-section build at once, each with other values, as a spread asks for.

Run with ``pytest tests/benchmarks/bench_many.py -s``; nothing here fails on a slow machine. Printed is the least
processor time of some rounds, packing included, and what 10,000 starts come to; on two idle processors they take
half of it.
"""

from time import process_time

import numpy as np
import pytest

from inrushlib.startup import screen, screen_many

from .bench_search import BUILDS
from .quick import QUICK, rounds

COUNT = 20 if QUICK else 500
SPREAD = {
    "adapter.limit_current": 0.1,
    "pixel.channel_current": 0.1,
    "controller.reservoir": 0.2,
    "lead.resistance": 0.3,
}


def drawn(build):
    """Builds with some values within their spread."""
    rng = np.random.default_rng(1)
    middle = {key: getattr(getattr(build, key.split(".")[0]), key.split(".")[1]) for key in SPREAD}
    return [
        build.with_values({key: middle[key] * float(rng.uniform(1 - by, 1 + by)) for key, by in SPREAD.items()})
        for _ in range(COUNT)
    ]


@pytest.mark.parametrize("name", ["switch", "busy"])
def test_many_starts(name):
    builds = drawn(BUILDS[name])
    times = []
    for _ in range(1 + rounds(4)):  # the first one compiles
        start = process_time()
        answers = screen_many(builds)
        times.append((process_time() - start) / COUNT)
    alone = screen(builds[0])
    assert answers.final_bus_voltage[0] == alone.final_bus_voltage
    print(f"\n{name}: {1e3 * min(times[1:]):.2f} ms of processor time a start, 10,000 in {1e4 * min(times[1:]):.1f} s")
