"""Speed of the steady panel: time by pixels, and its growth, printed as ratios within one run.

Run with ``pytest tests/benchmarks/bench_panel.py -s``; nothing here fails on a slow machine.
"""

import tracemalloc

import numpy as np
import pytest

from inrushlib.build import Build, new_build
from inrushlib.panel import solve_panel

from .quick import QUICK, rounds

SIZES = {1_000: 10e-3, 10_000: 60e-3} if QUICK else {1_000: 10e-3, 10_000: 60e-3, 100_000: 1.0}
"""Pixels and the time that is wanted [s]."""
SECTIONS = 50
TIMES: dict[int, float] = {}


def panel(pixels: int) -> Build:
    """A panel whose far pixels sag by some volts whatever its size: the hard case for Newton's method."""
    return new_build(
        {
            "title": "benchmark",
            # Never in its limit, and within what a build may have.
            "adapter.rated_current": min(0.04 * pixels, 200.0),
            "adapter.limit_current": min(0.048 * pixels, 400.0),
            "lead.resistance": 0.5 / pixels,
            "wiring.sections": SECTIONS,
            "wiring.pixels_per_section": pixels // SECTIONS,
            "wiring.rail_resistance": 4000.0 / pixels**2,
            "wiring.hop_resistance": 4000.0 / pixels**2,
            "wiring.feeds": list(range(0, SECTIONS, 10)),
            "wiring.feed_resistance": 5.0 / pixels,
        }
    )


@pytest.mark.parametrize("pixels", SIZES)
def test_solve(benchmark, pixels: int) -> None:  # type: ignore[no-untyped-def]
    build = panel(pixels)
    state = benchmark.pedantic(solve_panel, args=(build,), rounds=rounds(5), warmup_rounds=1)
    assert state.lowest_voltage < 4.0
    assert state.largest_imbalance < 1e-7
    median = benchmark.stats.stats.median
    TIMES[pixels] = median
    wanted = SIZES[pixels]
    print(
        f"\n{pixels} pixels: {median * 1e3:.2f} ms, {median / wanted:.2f} of the {wanted * 1e3:g} ms wanted,"
        f" {state.iterations} steps, {median / state.iterations / pixels * 1e9:.1f} ns a step and pixel"
    )


def test_growth_and_memory() -> None:
    if len(TIMES) < len(SIZES):
        pytest.skip("runs after the benchmarks above")
    sizes = np.array(list(TIMES))
    slope = np.polyfit(np.log(sizes), np.log([TIMES[size] for size in sizes]), 1)[0]
    print(f"\nlog-log slope of time over pixels: {slope:.2f} (1 is linear)")
    peaks = {}
    for pixels in SIZES:
        build = panel(pixels)
        tracemalloc.start()
        solve_panel(build)
        peaks[pixels] = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(f"{pixels} pixels: peak {peaks[pixels] / pixels:.0f} bytes a pixel")
    large, larger = sorted(SIZES)[-2:]
    assert peaks[larger] < 12 * peaks[large]  # linear: a dense matrix would be a hundredfold
