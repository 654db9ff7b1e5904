"""Run the compiled model on a build."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from inrushlib.build import Build
from inrushlib.model import layout as at
from inrushlib.startup.curves import Array, Curves, KeptSteps
from inrushlib.startup.effort import FIRST_ROWS, LARGEST_KEPT, MOST_STEPS, MOST_SWITCHINGS, SCREEN_TOLERANCE, TOLERANCE
from inrushlib.startup.figures import read_conductors, read_energy, read_figures
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.lumps import cut
from inrushlib.startup.pack import Packed, pack
from inrushlib.startup.result import Startup
from inrushlib.startup.switchings import Kind, Switching, read_log
from inrushlib.startup.unfinished import Progress, too_large, unfinished
from inrushlib.startup.verdict import Ending, Evidence, Verdict, explain


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """Verdict and end values of a start, without curves.

    Attributes
    ----------
    verdict : Verdict
        How it ends.
    brown_outs, trips : int
        How often the controller browned out and the adapter tripped [1].
    running_at : float or None
        When the program first ran [s].
    ready_at : float or None
        When all sections showed data [s]; only where it boots.
    peak_lead_current, final_lead_current : float
        Largest current of the lead, and that at the end [A].
    final_bus_voltage, final_rail_voltage : float
        At the end [V].
    final_section_voltages : tuple of float
        Of each section's centre lump at the end [V].
    highest_bus_voltage, highest_panel_voltage, highest_reservoir_voltage, highest_section_voltage : float
        At the bus, at the root of the panel, at the regulator's input, at any lump [V].
    """

    verdict: Verdict
    brown_outs: int
    trips: int
    running_at: float | None
    ready_at: float | None
    peak_lead_current: float
    final_bus_voltage: float
    final_lead_current: float
    final_rail_voltage: float
    final_section_voltages: tuple[float, ...]
    highest_bus_voltage: float
    highest_panel_voltage: float
    highest_reservoir_voltage: float
    highest_section_voltage: float


@dataclass(frozen=True, kw_only=True)
class _Raw:
    """What the compiled run left in its arrays."""

    state: Array
    mode: Array
    log: Array
    kept: Array
    out: Array


def _run(build: Build, packed: Packed, tolerance: float, rows: int) -> _Raw:
    """Run once; again with more rows where log or steps did not fit."""
    from inrushlib.model import run as compiled
    from inrushlib.model.decided import UNTIL_END
    from inrushlib.model.dense_output import width

    count = len(packed.lumps)
    log_rows = rows
    while True:
        y, m = np.empty(at.CORE + count), np.empty(at.MODES)
        q, out = np.empty((count, at.LUMP_MODES)), np.empty(compiled.OUTS)
        log, kept = np.empty((log_rows, 3)), np.empty((rows, width(count)))
        with compiling(Compiles.RUN):
            status = compiled.run(
                packed.parts, packed.lumps, packed.interruptions, tolerance, MOST_STEPS, MOST_SWITCHINGS,
                UNTIL_END, y, m, q, log, kept, out,
            )  # fmt: skip
        steps, switchings = int(out[compiled.KEPT]), int(m[at.SWITCHINGS])
        progress = Progress(
            time=float(out[compiled.END_TIME]), steps=steps, switchings=switchings,
            brown_outs=int(m[at.BROWN_OUTS]), trips=int(m[at.TRIP_COUNT]),
        )  # fmt: skip
        if status != at.DONE:
            raise unfinished(status, build, MOST_STEPS, MOST_SWITCHINGS, progress)
        if rows == 0 or (steps <= rows and switchings <= log_rows):
            break
        rows, log_rows = max(rows, steps), max(log_rows, switchings)
        if rows * kept.itemsize * width(count) > LARGEST_KEPT:
            raise too_large(build, count, LARGEST_KEPT, progress)
    return _Raw(state=y, mode=m, log=log[:switchings], kept=kept[:steps], out=out)


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _verdict(raw: _Raw) -> Verdict:
    from inrushlib.model import run as compiled

    return list(Verdict)[int(raw.out[compiled.VERDICT])]


def _ending(raw: _Raw) -> Ending:
    m = raw.mode
    return Ending(
        in_boot=bool(m[at.STATE] == at.BOOT),
        mains_on=bool(m[at.MAINS]),
        brown_outs=int(m[at.BROWN_OUTS]),
        trips=int(m[at.TRIP_COUNT]),
        running_at=_finite(m[at.RUNNING_AT]),
        shown_at=_finite(m[at.SHOWN_AT]),
    )


def screen(build: Build, *, tolerance: float = SCREEN_TOLERANCE) -> Outcome:
    """Return verdict and end values only, for searches that run many builds.

    Parameters
    ----------
    build : Build
        What to start.
    tolerance : float
        Local error allowed a step, in volts or amperes per 1 + value [1], above 0.

    Raises
    ------
    SolverError
        Where a bound on steps or switchings was reached.
    """
    from inrushlib.model import run as compiled

    raw = _run(build, pack(build), tolerance, 0)
    end = _ending(raw)
    verdict = _verdict(raw)
    bus, panel, reservoir, section = (float(raw.out[i]) for i in compiled.HIGHEST)
    return Outcome(
        verdict=verdict,
        brown_outs=end.brown_outs,
        trips=end.trips,
        running_at=end.running_at,
        ready_at=end.shown_at if verdict.starts else None,
        peak_lead_current=float(raw.out[compiled.PEAK_LEAD_CURRENT]),
        final_bus_voltage=float(raw.state[at.V_B]),
        final_lead_current=float(raw.state[at.I_L]),
        final_rail_voltage=float(raw.state[at.V_3]),
        final_section_voltages=cut(build).read(raw.state),
        highest_bus_voltage=bus,
        highest_panel_voltage=panel,
        highest_reservoir_voltage=reservoir,
        highest_section_voltage=section,
    )


def run_curves(build: Build, *, tolerance: float = TOLERANCE) -> Curves:
    """Return the curves only, for fits that run many builds.

    Parameters
    ----------
    build : Build
        What to start.
    tolerance : float
        Local error allowed a step, in volts or amperes per 1 + value [1], above 0.

    Raises
    ------
    SolverError
        Where a bound on steps or switchings was reached.
    """
    raw = _run(build, pack(build), tolerance, FIRST_ROWS)
    return Curves(build, KeptSteps(raw.kept, len(raw.state), cut(build)))


def simulate(build: Build, *, tolerance: float = TOLERANCE) -> Startup:
    """Return the start-up of a build: verdict, reason, curves, switchings, figures.

    Parameters
    ----------
    build : Build
        What to start.
    tolerance : float
        Local error allowed a step, in volts or amperes per 1 + value [1], above 0.

    Raises
    ------
    SolverError
        Where a bound on steps or switchings was reached.

    Examples
    --------
    >>> from inrushlib.build import parse_build
    >>> build = parse_build('''
    ... title = "six tiles on a small adapter"
    ... [adapter]
    ... rated_current = "1 A"
    ... [wiring]
    ... sections = 6
    ... pixels_per_section = 64
    ... ''')
    >>> simulate(build).verdict.value
    'stuck'
    """
    packed = pack(build)
    raw = _run(build, packed, tolerance, FIRST_ROWS)
    end = _ending(raw)
    verdict = _verdict(raw)
    lumps = cut(build)
    switchings = read_log(raw.log, lumps.section, gate=build.switch is not None)
    energies, wires, extremes = _tally(build, packed, raw, switchings)
    steps = KeptSteps(raw.kept, len(raw.state), lumps)
    figures = read_figures(build, raw.state, lumps, _settled_current(build, steps), extremes)
    evidence = Evidence(
        build=build, ending=end, switchings=switchings, bus_voltage=figures.final_bus_voltage,
        rail_voltage=figures.final_rail_voltage, section_voltages=figures.final_section_voltages,
        lowest_rail_voltage=figures.lowest_rail_voltage,
    )  # fmt: skip
    return Startup(
        build=build,
        verdict=verdict,
        reason=explain(verdict, evidence),
        brown_outs=end.brown_outs,
        trips=end.trips,
        running_at=end.running_at,
        ready_at=end.shown_at if verdict.starts else None,
        switchings=switchings,
        figures=figures,
        conductors=read_conductors(build, packed.lumps, lumps, wires),
        energy=read_energy(energies),
        steps=steps,
        tolerance=tolerance,
    )


def _tally(build: Build, packed: Packed, raw: _Raw, switchings: tuple[Switching, ...]) -> tuple[Any, Any, Any]:
    from inrushlib.model import readout as ta

    switch = build.switch
    foster = np.zeros((0, 2))
    if switch is not None:
        foster = np.array([switch.thermal_resistances, switch.thermal_times], dtype=float).T.copy()
    since = next((s.time for s in switchings if s.kind is Kind.RESET_RELEASE), math.inf)
    energies, extremes = np.empty(ta.ENERGIES), np.empty((ta.EXTREMES, 2))
    wires = np.empty((2 * len(packed.lumps), 3))
    ta.tally(raw.kept, len(raw.kept), packed.parts, packed.lumps, since, foster, energies, wires, extremes)
    return energies, wires, extremes


def _settled_current(build: Build, steps: KeptSteps) -> float:
    """Mean lead current [A] over the last tenth of the run."""
    end = build.run.duration
    times = np.linspace(0.9 * end, end, 1001)
    return float(np.mean(steps.states_at(times)[:, at.I_L]))
