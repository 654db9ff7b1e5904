"""Time of the odds of six sections with a switch, on one thread and on two, and what is in memory meanwhile.

Run with ``pytest tests/benchmarks/bench_spread.py -s``; nothing here fails on a slow machine. Where others work on it
too, wall-clock times say nothing of two threads. Processor time does: what two threads spend beyond one is lost to
waiting for each other's work, and what holds the interpreter's lock (drawing and packing) is all that cannot run side
by side.
"""

import tracemalloc
from time import perf_counter, process_time

from inrushlib.build import new_build
from inrushlib.odds import Draw, key_ranges, spread
from inrushlib.odds.points import CHUNK, Plan, chunks

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
    taken, spent = {}, {}
    for workers in (1, 2):
        began, cpu = perf_counter(), process_time()
        found = spread(SWITCH, runs=RUNS, workers=workers)
        taken[workers], spent[workers] = perf_counter() - began, process_time() - cpu
        print(
            f"\n{found.runs} runs, {workers} threads: {taken[workers]:.2f} s, processor {spent[workers]:.2f} s", end=""
        )
    locked = _locked(found.runs) / spent[1]
    # At best both threads are busy all the time: then half of what two spend is what one would wait for.
    best = 2 * spent[1] / spent[2] if locked < 0.5 else 1 / locked
    print(f"\ntwo threads {taken[1] / taken[2]:.2f} times one by the clock; holding the lock {locked:.1%}", end="")
    print(f"\nby processor time two threads can be {best:.2f} times one where nothing else runs", end="")


def _locked(runs):
    """Processor time of what holds the interpreter's lock, drawing and packing, for so many runs [s]."""
    draw = Draw(SWITCH, key_ranges(SWITCH))
    some = next(chunks(Plan(1, CHUNK), len(draw.dimensions), 1)).points
    draw.pack(some)
    began = process_time()
    for _ in range(4):
        draw.pack(some)
    return (process_time() - began) / 4 * runs / CHUNK


def test_memory_is_flat():
    spread(SWITCH, runs=64)
    peaks = []
    for runs in (256, 256) if QUICK else (2048, 8192):
        tracemalloc.start()
        spread(SWITCH, runs=runs)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    print(f"\npeak memory {peaks[0] / 1e6:.1f} MB, with more runs {peaks[1] / 1e6:.1f} MB", end="")
