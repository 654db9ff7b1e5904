"""Times of the searches on builds of six sections, once compiled, against one start of the same build.

Run with ``pytest tests/benchmarks/bench_search.py -s``; nothing here fails on a slow machine. What is printed
is the best of some rounds in milliseconds, the processor time of that round (both threads together, so on two
idle processors the first can come down to half of it; on busy ones it is more), how many starts were run, and
the time over that of one ``screen`` of the build in the same run.
"""

from time import perf_counter, process_time

import pytest

from inrushlib.build import new_build
from inrushlib.remedies.compare import compare_remedies
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.axis import Axis
from inrushlib.search.gate_map import gate_map
from inrushlib.search.map import verdict_map
from inrushlib.search.window import delay_window
from inrushlib.startup import screen

from .quick import QUICK, rounds

PLAIN = {"title": "plain", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
SWITCH = PLAIN | {
    "switch": {"gate_resistance": 2e3, "gate_drain_capacitance": 10e-9}, "controller.feed_diode": True,
    "controller.reservoir": 470e-6,
}  # fmt: skip
BUSY = SWITCH | {
    "adapter.peak_current": 5, "adapter.peak_time": 1e-3, "bus.bulk": 470e-6, "panel.bulk": 220e-6,
    "controller.burst_current": 0.25, "firmware.refresh_interval": 0.1, "firmware.content_delay": 0.3,
}  # fmt: skip
BUILDS = {"plain": new_build(PLAIN), "switch": new_build(SWITCH), "busy": new_build(BUSY)}

RATING = Axis("adapter.rated_current", 1, 6)
BULK = Axis("bus.bulk", 1e-5, 1e-2, log=True)
DELAY = Axis("firmware.first_frame_delay", 1e-4, 0.5, log=True)

MAPS = [("plain", BULK), ("switch", DELAY), ("switch", BULK)]


def report(name, work, build, times, starts=None):
    screen(build)
    if not QUICK:
        work()
    one = min(_timed(lambda: screen(build))[0] for _ in range(rounds(20)))
    taken = [_timed(work) for _ in range(rounds(times))]
    best, cpu, result = min(taken, key=lambda each: each[0])
    count = "" if starts is None else f", {starts(result)} starts"
    print(
        f"\n{name:34s} {1e3 * best:7.1f} ms, processor {1e3 * cpu:7.1f} ms{count}; "
        f"{best / one:.0f} times a start of {1e3 * one:.2f} ms",
        end="",
    )


def _timed(work):
    began, cpu = perf_counter(), process_time()
    result = work()
    return perf_counter() - began, process_time() - cpu, result


@pytest.mark.parametrize("name", BUILDS)
def test_smallest_adapter(name):
    build = BUILDS[name]
    report(f"smallest adapter, {name}", lambda: smallest_adapter(build), build, 9, lambda size: size.runs)


@pytest.mark.parametrize("name", ["switch", "busy"])
def test_delay_window(name):
    build = BUILDS[name]
    report(f"delay window, {name}", lambda: delay_window(build), build, 5, lambda window: window.runs)


@pytest.mark.parametrize(("name", "y"), MAPS[:1] if QUICK else MAPS)
def test_map_of_sixty_by_sixty(name, y):
    build = BUILDS[name]
    title = f"map 60 x 60, {name}, {y.key.partition('.')[2]}"
    report(title[:34], lambda: verdict_map(build, RATING, y), build, 3, lambda found: found.runs)


def test_gate_map():
    build = BUILDS["switch"]
    report("gate map 8 x 8", lambda: gate_map(build), build, 1)


@pytest.mark.parametrize("name", BUILDS)
def test_remedies(name):
    build = BUILDS[name]
    report(f"remedies, {name}", lambda: compare_remedies(build), build, 3)
