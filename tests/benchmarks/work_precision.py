"""Work-precision curves of a start-up: processor time against error, beside the stiff methods of scipy and SUNDIALS.

Run with ``python -m tests.benchmarks.work_precision``. It prints two tables and draws ``work_precision.png`` beside
this file. ``--quick`` takes two builds and two tolerances.

Six builds of 1 to 64 nodes behind a switch that the running program turns on, five tolerances. Ours finds its
switchings; the others are driven from one to the next and have them for nothing, at the instants that our run finds
at 1e-11. They get the same compiled right-hand side and a compiled Jacobian. The solution that all are
measured against is Radau's at 1e-10 along the same stretches.

Errors are the largest of all states, in units of 1 + abs(y): at the ends of stretches, where the next one
starts; inside, at eight instants of each stretch, where curves and peaks are read; and, of ours, of the instants
of switching themselves. A run's time is the least of several, in processor time, with what
it needs to answer at those instants.
"""

from __future__ import annotations

import argparse
import platform
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from time import process_time

import numba
import numpy as np
import scipy
from matplotlib.figure import Figure

from inrushlib.build import Build, new_build
from inrushlib.startup.simulate import run_curves

from ..model.driving import drive
from .bench_startup import POINTS, Contest

try:
    from sksundae.cvode import CVODE
except ImportError:
    CVODE = None

NODES = (1, 3, 6, 16, 32, 64)
OURS = "inrushlib"
TOLERANCES = (1e-3, 1e-4, 1e-5, 1e-6, 1e-7)  # ours
THEIRS = (1e-4, 1e-5, 1e-6, 1e-7, 1e-8)
DEFAULT = 1e-5
FINE, EXACT = 1e-11, 1e-10
DURATION = 0.4  # [s]
PICTURE = Path(__file__).with_suffix(".png")


def build(nodes: int) -> Build:
    """A panel of 384 pixels in so many nodes."""
    return new_build(
        {
            "title": f"{nodes} nodes", "adapter.rated_current": 3, "adapter.peak_current": 5, "adapter.peak_time": 1e-3,
            "bus.bulk": 470e-6, "panel.bulk": 220e-6, "switch.gate_resistance": 10e3,
            "switch.gate_drain_capacitance": 10e-9, "switch.pullup_resistance": 100e3,
            "controller.feed_diode": True, "controller.reservoir": 470e-6, "controller.burst_current": 0.25,
            "firmware.refresh_interval": 0.1, "firmware.content_delay": 0.3, "firmware.first_frame_delay": 0.05,
            "wiring.sections": nodes, "wiring.lumps": 1, "wiring.pixels_per_section": 384 // nodes,
            "wiring.feeds": [nodes // 2], "run.duration": DURATION,
        }
    )  # fmt: skip


@dataclass(frozen=True)
class Point:
    """One method at one tolerance."""

    tolerance: float
    time: float  # [s]
    ends: float
    inside: float
    instants: float = np.nan  # [s]

    @property
    def worst(self) -> float:
        return max(self.ends, self.inside)


def errors(contest: Contest, states: np.ndarray) -> tuple[float, float]:
    """Largest error at the ends of stretches, and inside."""
    found = (np.abs(states - contest.exact) / (1 + np.abs(contest.exact))).max(axis=1)
    at_end = np.arange(len(found)) % len(POINTS) == len(POINTS) - 1
    return float(found[at_end].max()), float(found[~at_end].max())


def least_time(work: Callable[[], object], repeats: int) -> float:
    """Least processor time [s] of a few calls."""
    times = []
    for _ in range(repeats):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def filling(function, place):
    """What CVODE calls: the answer goes into its argument at that place."""
    if place == 2:
        return lambda t, y, out: out.__setitem__(slice(None), function(t, y))
    return lambda t, y, _, out: out.__setitem__(slice(None), function(t, y))


def by_cvode(contest: Contest, tolerance: float) -> np.ndarray:
    """States at the instants compared, by CVODE's BDF with a dense Jacobian."""
    y, rows = np.zeros(contest.n), []
    for start, _, m, q, times in contest.stretches:
        rate, slopes = contest.functions(m, q)
        solver = CVODE(
            filling(rate, 2), rtol=tolerance, atol=tolerance, jacfn=filling(slopes, 3), max_num_steps=100_000
        )
        answer = solver.solve(np.array([start, *times]), y)
        y = answer.y[-1]
        rows += list(answer.y[1:])
    return np.array(rows)


def rivals(contest: Contest) -> dict[str, Callable[[float], np.ndarray]]:
    """Each other method: from a tolerance to states at the instants compared."""
    found: dict[str, Callable[[float], np.ndarray]] = {"odeint": contest.by_odeint}
    if CVODE is not None:
        found["CVODE"] = partial(by_cvode, contest)
    return found | {name: partial(contest.by_solve_ivp, name) for name in ("LSODA", "BDF", "Radau")}


def our_point(contest: Contest, tolerance: float) -> Point:
    """Our run at a tolerance."""
    record = drive(contest.record.build, tolerance)
    if record.log[:, 1:].tolist() != contest.record.log[:, 1:].tolist():
        raise SystemExit(f"{contest.record.build.title}: at {tolerance:g} the switchings come in another order")
    instants = float(np.abs(record.log[:, 0] - contest.record.log[:, 0]).max())
    time = least_time(lambda: run_curves(contest.record.build, tolerance=tolerance), 15)
    return Point(tolerance, time, *errors(contest, contest.ours(record)), instants)


def curves_of(contest: Contest, tolerances: tuple[float, ...], theirs: tuple[float, ...]) -> dict[str, list[Point]]:
    """All methods on one build."""
    curves = {OURS: [our_point(contest, tolerance) for tolerance in tolerances]}
    for name, solve in rivals(contest).items():
        curves[name] = []
        for tolerance in theirs:
            states = solve(tolerance)
            time = least_time(partial(solve, tolerance), 2)
            curves[name].append(Point(tolerance, time, *errors(contest, states)))
    return curves


def time_at(curve: list[Point], error: float) -> tuple[str, float]:
    """Time [s] at which a curve meets an error, along the logarithms; ">" where its tightest point does not."""
    points = sorted(curve, key=lambda point: point.worst)
    if points[0].worst > error:
        return ">", points[0].time
    if points[-1].worst <= error:
        return "", points[-1].time
    for tight, loose in pairwise(points):
        if loose.worst > error:
            share = np.log(error / tight.worst) / np.log(loose.worst / tight.worst)
            return "", float(np.exp((1 - share) * np.log(tight.time) + share * np.log(loose.time)))
    raise AssertionError


def print_tables(results: dict[int, dict[str, list[Point]]]) -> None:
    """Every point, then how many times ours is faster at the error of its default tolerance."""
    print(
        "\n| nodes | tolerance | time [ms] | error at ends | inside | of instants [ns] |\n| --- " + "| --- " * 5 + "|"
    )
    for nodes, curves in results.items():
        for point in curves[OURS]:
            print(
                f"| {nodes} | {point.tolerance:.0e} | {1e3 * point.time:.2f} | {point.ends:.1e} | {point.inside:.1e}"
                f" | {1e9 * point.instants:.2g} |"
            )
    names = [name for name in next(iter(results.values())) if name != OURS]
    print(f"\n| nodes | ours [ms] | error | {' | '.join(names)} |\n| --- | --- | --- " + "| --- " * len(names) + "|")
    for nodes, curves in results.items():
        ours = next(point for point in curves[OURS] if point.tolerance == DEFAULT)
        ratios = [time_at(curves[name], ours.worst) for name in names]
        cells = [f"{sign}{time / ours.time:.1f}" for sign, time in ratios]
        print(f"| {nodes} | {1e3 * ours.time:.2f} | {ours.worst:.1e} | {' | '.join(cells)} |")


STYLES = {  # told apart in grey: by marker, dash and shade
    OURS: ("o", "-", "black", 2.2), "odeint": ("s", "-", "0.35", 1.2), "CVODE": ("^", "--", "0.35", 1.2),
    "LSODA": ("D", ":", "0.35", 1.4), "BDF": ("v", "--", "0.6", 1.2), "Radau": ("x", "-.", "0.6", 1.2),
}  # fmt: skip


def draw(results: dict[int, dict[str, list[Point]]], figure: Figure) -> None:
    """A column a build; rows: error at the ends of stretches, inside, of the instants of switching."""
    rows = (
        ("ends", "error at ends of stretches"),
        ("inside", "error inside"),
        ("instants", "error of instants [s]"),
    )
    axes = figure.subplots(3, len(results), sharex=True, sharey="row", squeeze=False)
    for column, (nodes, curves) in enumerate(results.items()):
        for row, (kind, label) in enumerate(rows):
            ax = axes[row, column]
            for name, points in curves.items():
                marker, dash, shade, width = STYLES[name]
                values = [getattr(point, kind) for point in points]
                if np.isfinite(values).all():
                    ax.loglog(
                        [1e3 * point.time for point in points], values, marker=marker, linestyle=dash, color=shade,
                        linewidth=width, markersize=5, label=name, zorder=3 if name == OURS else 2,
                    )  # fmt: skip
            ax.grid(visible=True, color="0.9", linewidth=0.6)
            if column == 0:
                ax.set_ylabel(label)
        axes[0, column].set_title(f"{nodes} node" + "s" * (nodes > 1))
        axes[-1, column].set_xlabel("processor time [ms]")
    axes[-1, 0].text(0.95, 0.9, "given to the others", transform=axes[-1, 0].transAxes, ha="right")
    figure.legend(*axes[0, 0].get_legend_handles_labels(), loc="outside upper center", ncols=len(STYLES), frameon=False)


def main() -> None:
    """Measure, print, draw."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="two builds, two tolerances, no picture kept")
    quick = parser.parse_args().quick
    warnings.filterwarnings("ignore", module="scipy")
    print(
        f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__},"
        f" numba {numba.__version__}; duration {DURATION} s"
    )
    if CVODE is None:
        print("CVODE left out: scikit-sundae is not installed (pip install -e '.[benchmarks]')")
    results = {}
    for nodes in NODES[:2] if quick else NODES:
        contest = Contest(build(nodes), FINE, 1e-8 if quick else EXACT)
        tolerances, theirs = ((DEFAULT, 1e-6), THEIRS[1:3]) if quick else (TOLERANCES, THEIRS)
        results[nodes] = curves_of(contest, tolerances, theirs)
        print(f"{nodes} nodes: {contest.n} states, {len(contest.record.log)} switchings", flush=True)
    print_tables(results)
    figure = Figure((15, 9), layout="constrained")
    draw(results, figure)
    if not quick:
        figure.savefig(PICTURE, dpi=110)


if __name__ == "__main__":
    main()
