"""What every finished start must satisfy, whatever the build."""

import math

import numpy as np

from inrushlib.parts.place import PlaceKind
from inrushlib.startup import Startup

LARGEST_IMBALANCE = 1e-3  # of the energy that was moved
RESOLVED = 1e-11  # [J] what 10 mF hold at 45 uV, a few times the tolerance; an adapter that trips at once moves no more


def imbalance(startup: Startup) -> float:
    """Return by how much the energies do not add up, as a share of what was moved."""
    energy = startup.energy
    delivered, lost = energy.adapter + energy.own_supply, sum(energy.losses.values())
    difference = abs(delivered - energy.stored - lost)
    moved = max(abs(delivered), abs(energy.stored), abs(lost))
    assert math.isclose(difference, abs(energy.imbalance) * moved, rel_tol=1e-6, abs_tol=1e-15)
    return max(difference - RESOLVED, 0.0) / max(moved, RESOLVED)


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
    # The regulator's rounded corner lets some current pass against a small voltage: the law says so.
    losses = {place: lost for place, lost in startup.energy.losses.items() if place is not PlaceKind.REGULATOR}
    found += [f"{place.value} gives back {-lost:.3g} J" for place, lost in losses.items() if lost < -1e-9]
    if startup.verdict.starts != (startup.ready_at is not None):
        found.append("ready_at does not fit the verdict")
    return found
