"""Speed and memory of reading a long capture, beside pandas' compiled engine on the same file, in one run.

Run with ``pytest tests/benchmarks/bench_read.py -s``; nothing here fails on a slow machine. The length is
that of the long public records of appliance currents: ten million rows of time, voltage and current.
"""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from inrushlib.trace import read_trace

from .quick import QUICK, rounds

ROWS = int(os.environ.get("INRUSH_BENCH_ROWS", "200_000" if QUICK else "10_000_000"))
BLOCK = 100_000
ARRAYS = 3 * 8 * ROWS
MEMORY = """
import re, sys
import numpy, pandas
from inrushlib.trace import read_trace
def peak(): return 1024 * int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1])
before = peak()
table = read_trace(sys.argv[2]) if sys.argv[1] == "ours" else pandas.read_csv(sys.argv[2], engine="c")
print(peak() - before)
"""


def write_capture(path: Path, count: int) -> None:
    """A file of so many rows; the noise repeats from block to block, the times do not."""
    rng = np.random.default_rng(1)
    bus, lead = rng.normal(5.0, 0.1, BLOCK), rng.normal(1.0, 0.1, BLOCK)
    rows = (f"#{i // 10:04d}.{i % 10},{v:.4f},{a:.4f}\n" for i, (v, a) in enumerate(zip(bus, lead, strict=True)))
    block = "".join(rows)
    with path.open("w") as file:
        file.write("time [us],bus_voltage (V),lead_current (A)\n")
        for k in range(count // BLOCK):
            file.write(block.replace("#", str(k or "")))


@pytest.fixture(scope="module")
def capture(tmp_path_factory) -> Path:  # type: ignore[no-untyped-def]
    path: Path = tmp_path_factory.mktemp("captures") / "long.csv"
    write_capture(path, ROWS)
    return path


def seconds(read: Callable[[], object]) -> float:
    begun = time.perf_counter()
    read()
    return time.perf_counter() - begun


def test_speed(benchmark, capture: Path) -> None:  # type: ignore[no-untyped-def]
    others: list[float] = []

    def beside() -> None:
        others.append(seconds(lambda: pd.read_csv(capture, engine="c")))

    trace = benchmark.pedantic(lambda: read_trace(capture), setup=beside, rounds=rounds(7), warmup_rounds=1)
    assert len(trace.time) == ROWS
    assert trace.time[-1] == pytest.approx((ROWS - 1) * 1e-7, rel=1e-12)
    ours, theirs = benchmark.stats.stats, others[1:]
    print(
        f"\n{ROWS} rows, {capture.stat().st_size / 1e6:.0f} MB: "
        f"least {ours.min:.3f} s beside pandas' {min(theirs):.3f} s, "
        f"{ours.min / min(theirs):.2f} times; medians {ours.median:.3f} s and {statistics.median(theirs):.3f} s, "
        f"{ours.median / statistics.median(theirs):.2f} times"
    )


def written(path: Path, shape: str, count: int) -> dict[str, object]:
    """A file of a shape that costs more than the plain one; what pandas has to be told of it."""
    rng = np.random.default_rng(2)
    if shape == "65 columns":
        table = rng.normal(0.0, 1.0, (count // 20, 65))
        table[:, 0] = np.arange(len(table)) * 1e-6
        head = "time [s]," + ",".join(f"CH{i} [V]" for i in range(1, 65))
        np.savetxt(path, table, fmt="%.6f", delimiter=",", header=head, comments="")
        return {}
    bus = [f"{value:.4f}" for value in rng.normal(5.0, 0.1, count)]
    if shape == "without times":
        path.write_text("Sampling period,1us\nCH1 [V]\n" + "\n".join(bus) + "\n")
        return {"skiprows": 2, "header": None}
    gap = {i: "****" for i in range(5, count, 97)} if shape == "gaps" else {}
    mark = '"' if shape == "quoted" else ""
    rows = (f"{mark}{i / 10}{mark},{mark}{gap.get(i, bus[i])}{mark}" for i in range(count))
    path.write_text("time [us],bus [V]\n" + "\n".join(rows) + "\n")
    return {"na_values": ["****"]} if gap else {}


@pytest.mark.parametrize("shape", ["65 columns", "without times", "quoted", "gaps"])
def test_shapes(shape: str, tmp_path: Path) -> None:
    """Processor time, all threads together, ours and pandas' by turns."""
    path = tmp_path / "shape.csv"
    told = written(path, shape, min(ROWS, 1_000_000))
    ours, theirs = [], []
    for _ in range(rounds(7)):
        for spent, read in ((theirs, lambda: pd.read_csv(path, engine="c", **told)), (ours, lambda: read_trace(path))):
            begun = time.process_time()
            read()
            spent.append(time.process_time() - begun)
    ratio = min(ours) / min(theirs)
    print(f"\n{shape}, {path.stat().st_size / 1e6:.0f} MB: {ratio:.2f} times pandas' {min(theirs):.3f} s")


def test_memory(capture: Path) -> None:
    grown = {}
    for reader in ("ours", "pandas"):
        command = [sys.executable, "-c", MEMORY, reader, str(capture)]
        grown[reader] = int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    print(f"\nmemory in arrays' worth: {grown['ours'] / ARRAYS:.2f}, pandas {grown['pandas'] / ARRAYS:.2f}")
    assert grown["ours"] < 3 * ARRAYS + 50e6
