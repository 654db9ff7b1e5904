"""Time of the odds of six sections with a switch, on one thread and on two, and what is in memory meanwhile.

Run with ``pytest tests/benchmarks/bench_spread.py -s``; nothing here fails on a slow machine.
"""

import tracemalloc
from time import perf_counter, process_time

from inrushlib.build import new_build
from inrushlib.odds import spread

from .quick import QUICK

SWITCH = new_build(
    {
        "title": "six sections", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64,
        "switch": {"gate_resistance": 2e3, "gate_drain_capacitance": 10e-9}, "controller.feed_diode": True,
        "controller.reservoir": 470e-6,
    }
)  # fmt: skip
RUNS = 64 if QUICK else 10_000


def test_one_thread_and_two():
    spread(SWITCH, runs=64)
    taken = {}
    for workers in (1, 2):
        began, cpu = perf_counter(), process_time()
        found = spread(SWITCH, runs=RUNS, workers=workers)
        taken[workers] = perf_counter() - began
        print(
            f"\n{found.runs} runs, {workers} threads: {taken[workers]:.2f} s, processor {process_time() - cpu:.2f} s",
            end="",
        )
    print(f"\ntwo threads {taken[1] / taken[2]:.2f} times one", end="")


def test_memory_is_flat():
    spread(SWITCH, runs=64)
    peaks = []
    for runs in (256, 256 if QUICK else 8192):
        tracemalloc.start()
        spread(SWITCH, runs=runs)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    print(f"\npeak memory {peaks[0] / 1e6:.1f} MB, with more runs {peaks[1] / 1e6:.1f} MB", end="")
