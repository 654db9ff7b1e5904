"""What the switch has to stand: heat, its gate's drive, plugging in, and a bare pin as its driver.

``switch_stress``  all of it for a build, with findings in words (:mod:`inrushlib.safety.switch_findings`)
``off_state``      how far it lets current through while it should be off
``on_resistance``  of a P-channel switch at a gate drive

The answer's classes: :mod:`inrushlib.safety.stress`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import BuildError
from inrushlib.parts import Switch
from inrushlib.parts.place import SWITCH, PlaceKind
from inrushlib.safety.stress import Heating, OffState, SwitchStress
from inrushlib.safety.switch_findings import stress_findings
from inrushlib.startup import Actor, Kind, Startup, simulate
from inrushlib.startup.pack import frame_time

Array = NDArray[np.float64]

SETTLED = 5.0  # longest time constants after which the junction counts as settled
LONGEST = 30.0  # [s] of a run that is made longer so that the junction settles
NEVER = 10.0  # times the duration: a delay that does not end within the run
GATE_SETTLED = 20.0  # of the gate's time constants
LAST = 0.1  # of a run, over which what has settled is averaged


def switch_stress(build: Build) -> SwitchStress:
    """What the build's switch has to stand.

    Parameters
    ----------
    build : Build
        A build with a switch [SI].

    Returns
    -------
    SwitchStress
        From five starts of the model.

    Raises
    ------
    BuildError
        Where the build has no switch.
    SolverError
        Where a start hits a bound.
    """
    switch = build.switch
    if switch is None:
        raise BuildError(
            "switch: none in the build; its stress needs a [switch] table, which inrush remedies writes where a switch "
            "helps",
            build.title,
        )
    base = simulate(build)
    start = simulate(_until_content(build, base))
    lit = simulate(_never_listening(build, base, switch))
    low, low_at = _lowest_while_on(start)
    gated = switch.kind == "p-channel"
    drive = None if low is None or not gated else low * _divided(switch)
    capacitive = switch.gate_drain_capacitance / (switch.gate_drain_capacitance + switch.gate_source_capacitance)
    stress = SwitchStress(
        start=_heating(start, switch),
        stays_lit=_heating(lit, switch),
        lowest_bus_voltage=low,
        lowest_bus_at=low_at,
        drive_at_lowest=drive,
        on_resistance_at_lowest=None if drive is None else on_resistance(switch, drive),
        plug_in_drive=capacitive * build.adapter.rated_voltage if gated else None,
        plugged=off_state(build, switch.gate_driver, "plug"),
        transistor=off_state(build, "transistor", build.run.start) if gated else None,
        pin=off_state(build, "pin", build.run.start) if gated else None,
        findings=(),
    )
    return replace(stress, findings=stress_findings(build, stress))


def on_resistance(switch: Switch, drive: float) -> float | None:
    """On-resistance of a P-channel switch at a gate drive.

    ``on_resistance * (on_resistance_drive - threshold_voltage) / (drive - threshold_voltage)``

    Parameters
    ----------
    switch : Switch
        The switch [SI].
    drive : float
        Gate-source voltage, positive towards on [V].

    Returns
    -------
    float or None
        Resistance [ohm]; None at or below the threshold.

    Notes
    -----
    Square law, 1 / (k Vov) (textbook); holds for small drops and some 0.2 V above the threshold.

    Examples
    --------
    >>> round(on_resistance(Switch(), 2.7), 3)
    0.08
    """
    over = drive - switch.threshold_voltage
    if over <= 0:
        return None
    return switch.on_resistance * (switch.on_resistance_drive - switch.threshold_voltage) / over


def off_state(build: Build, driver: str, start: str) -> OffState:
    """How far the switch lets current through while the program never closes it.

    Parameters
    ----------
    build : Build
        A build with a switch [SI].
    driver : str
        ``"transistor"`` or ``"pin"``; a load switch has neither.
    start : str
        ``"mains"`` or ``"plug"``.

    Returns
    -------
    OffState
        From one start, long enough for the gate to settle.
    """
    switch = build.switch
    assert switch is not None
    gate = switch.pullup_resistance * (switch.gate_source_capacitance + switch.gate_drain_capacitance)
    duration = max(build.run.duration, 2 * build.adapter.soft_start, GATE_SETTLED * gate)
    changed = build.with_values(
        {
            "switch.gate_driver": driver,
            "run.start": start,
            "run.duration": duration,
            # It boots and boots: the gate is never pulled low.
            "controller.boot_time": NEVER * duration,
            "run.interruptions": None,
        }
    )
    startup = simulate(changed)
    times = startup.time
    through = startup.currents(times)[SWITCH]
    peak = int(np.argmax(through))
    gated = switch.kind == "p-channel"
    end = {name: float(values[0]) for name, values in startup.at(times[-1:]).items()}
    return OffState(
        driver=driver if gated else "load switch",
        start=start,
        peak_current=float(through[peak]),
        peak_at=float(times[peak]),
        highest_panel_voltage=startup.figures.highest_panel_voltage,
        settled_drive=end["bus_voltage"] - end["gate_voltage"] if gated else None,
        settled_current=float(through[-1]),
        hottest_junction=_hottest(startup, switch)[0],
    )


def _divided(switch: Switch) -> float:
    return switch.pullup_resistance / (switch.pullup_resistance + switch.gate_resistance)


def _until_content(build: Build, base: Startup) -> Build:
    """The build, its run long enough for the running picture to be shown a while."""
    firmware = build.firmware
    if base.running_at is None or firmware.content_delay is None:
        return build
    shown = base.running_at + firmware.content_delay + firmware.refresh_interval + 2 * frame_time(build)
    return build.with_values({"run.duration": max(build.run.duration, 1.2 * shown)})


def _never_listening(build: Build, base: Startup, switch: Switch) -> Build:
    """The build with pixels that never take data, its run long enough for the junction to settle."""
    settled = (base.running_at or 0.0) + build.firmware.gate_delay + SETTLED * max(switch.thermal_times)
    duration = max(build.run.duration, min(settled, LONGEST))
    return build.with_values({"pixel.listen_delay": NEVER * duration, "run.duration": duration})


def _hottest(startup: Startup, switch: Switch) -> tuple[float, float]:
    f = startup.figures
    if f.highest_junction_temperature is None or f.highest_junction_temperature_at is None:
        return switch.ambient, 0.0
    return f.highest_junction_temperature, f.highest_junction_temperature_at


def _power(startup: Startup, times: Array) -> Array:
    curves = startup.at(times)
    return np.asarray(startup.currents(times)[SWITCH] * (curves["bus_voltage"] - curves["panel_voltage"]))


def _heating(startup: Startup, switch: Switch) -> Heating:
    duration = startup.build.run.duration
    hottest, hottest_at = _hottest(startup, switch)
    steady = float(_power(startup, np.linspace((1 - LAST) * duration, duration, 1001)).mean())
    closed = next((s.time for s in startup.switchings if s.kind is Kind.GATE_LOW), None)
    closing = 0.0
    if closed is not None:
        ready = duration if startup.ready_at is None else startup.ready_at
        times = startup.time
        times = times[(times >= closed) & (times <= max(ready, closed))]
        closing = float(np.trapezoid(_power(startup, times), times))
    return Heating(
        verdict=startup.verdict,
        headline=startup.headline,
        hottest_junction=hottest,
        hottest_at=hottest_at,
        energy=startup.energy.losses[PlaceKind.SWITCH],
        closing_energy=closing,
        steady_power=steady,
        steady_junction=switch.ambient + steady * sum(switch.thermal_resistances),
        duration=duration,
    )


def _lowest_while_on(startup: Startup) -> tuple[float | None, float | None]:
    """Lowest bus voltage [V] while the switch is told to be on, and when [s]."""
    times = startup.time
    on = np.zeros(len(times), dtype=bool)
    for span in startup.spans[Actor.GATE]:
        if span.state == "on":
            on |= (times >= span.start) & (times <= span.end)
    if not on.any():
        return None, None
    volts = np.where(on, startup.at(times)["bus_voltage"], np.inf)
    lowest = int(np.argmin(volts))
    return float(volts[lowest]), float(times[lowest])
