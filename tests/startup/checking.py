"""What every finished start must satisfy, whatever the build."""

import math

import numpy as np

from inrushlib.build import Build
from inrushlib.laws import constants as law
from inrushlib.model import layout as at
from inrushlib.model.readout import stored
from inrushlib.parts.place import PlaceKind
from inrushlib.startup import Startup, pack

LARGEST_IMBALANCE = 1e-3  # of the energy that was moved
TOLERANCES = 3.0  # by which all errors of a run's steps may leave its voltages wrong, added up
ROUNDING = 1e-15  # of what was moved, by which a place may seem to give back
# Largest x ln(1 + exp(-x)): of what a rounded corner lets pass, in its width, against x widths of what would turn it.
CORNER = 0.31635


def imbalance(startup: Startup) -> float:
    """Return by how much the energies do not add up, as a share of what was moved; none below what can be told."""
    energy = startup.energy
    delivered, lost = energy.adapter + energy.own_supply, sum(energy.losses.values())
    difference = abs(delivered - energy.stored - lost)
    moved = max(abs(delivered), abs(energy.stored), abs(lost))
    assert math.isclose(difference, abs(energy.imbalance) * moved, rel_tol=1e-6, abs_tol=1e-15)
    untold = resolved(startup)
    return max(difference - untold, 0.0) / max(moved, untold)


def resolved(startup: Startup) -> float:
    """Return the energy [J] that can be told of a run: what some tolerances make of the energy that it holds at most.

    An adapter that trips at once moves no more than that.
    """
    count = (startup.steps.rows.shape[1] - at.KEPT_STATE - 4 * at.CORE) // 5
    first = at.KEPT_STATE
    highest = np.abs(startup.steps.rows[:, first : first + at.CORE + count]).max(axis=0)
    packed = pack(startup.build)
    off = highest + TOLERANCES * startup.tolerance * (1.0 + highest)
    record = np.asarray(packed.parts).reshape(1).view(np.recarray)[0]
    return float(stored.plain(off, record, packed.lumps) - stored.plain(highest, record, packed.lumps))


def given_back(build: Build) -> dict[PlaceKind, float]:
    """Return the energy [J] that a place may give back at most over a run, because its law says so.

    A rounded corner of width w, behind a resistance R, lets soft(u / R, w) pass where the voltage u is below zero: at
    most CORNER w^2 R of power comes back. So with a regulator and a load switch. A pixel draws rise(v - wake) of its
    current also below 0 V, and a body diode a little below its drop: exponentials, with x exp(-x / w) = w / e at most.
    """
    controller, pixel, switch = build.controller, build.pixel, build.switch
    width = law.LIMIT_SHARE * controller.regulator_limit
    power = {PlaceKind.REGULATOR: CORNER * width**2 * controller.dropout_resistance}
    full = pixel.quiescent_current + 3 * pixel.channel_current
    power[PlaceKind.PIXELS] = (
        sum(build.wiring.pixels_per_section) * full * _tail(law.WAKE_WIDTH, pixel.wake_voltage)
    )  # fmt: skip
    if switch is not None and switch.kind == "load-switch":
        power[PlaceKind.SWITCH] = CORNER * (law.LIMIT_SHARE * switch.current_limit) ** 2 * switch.on_resistance
    elif switch is not None:
        power[PlaceKind.SWITCH] = (
            law.BODY_WIDTH / law.BODY_RESISTANCE * _tail(law.BODY_WIDTH, law.BODY_DROP)
        )  # fmt: skip
        power[PlaceKind.GATE] = law.CLAMP_WIDTH / law.CLAMP_RESISTANCE * _tail(law.CLAMP_WIDTH, law.CLAMP_DROP)
    return {place: watts * build.run.duration for place, watts in power.items()}


def _tail(width: float, below: float) -> float:
    """Largest x exp(-(x + below) / width) over all x."""
    return width * math.exp(-1.0 - below / width)


def faults(startup: Startup) -> list[str]:
    """Return what is wrong with a result, one line each."""
    found = []
    if not np.all(np.isfinite(startup.steps.rows[:, :3])) or not np.all(np.diff(startup.time) >= 0):
        found.append("instants that are not finite or not in order")
    found += [f"{name} is not finite" for name, curve in startup.curves.items() if not np.all(np.isfinite(curve))]
    if not math.isclose(startup.time[-1], startup.build.run.duration, rel_tol=1e-12):
        found.append(f"ends at {startup.time[-1]:g} s")
    if not (imbalance(startup) <= LARGEST_IMBALANCE):
        found.append(f"energy imbalance {100 * imbalance(startup):.3g} %")
    allowed = given_back(startup.build)
    moved = sum(abs(lost) for lost in startup.energy.losses.values())
    found += [
        f"{place.value} gives back {-lost:.3g} J"
        for place, lost in startup.energy.losses.items()
        if -lost > allowed.get(place, 0.0) + ROUNDING * moved
    ]
    if startup.verdict.starts != (startup.ready_at is not None):
        found.append("ready_at does not fit the verdict")
    return found
