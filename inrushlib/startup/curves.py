"""Curves from the kept steps: any state at any instant, from the stepper's own dense output.

``Curves``      a run's curves at any instants
``KeptSteps``   the steps that they come from
``name_curves`` states to names
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.model import layout as at
from inrushlib.startup.lumps import Lumps

Array = NDArray[np.float64]

# Instants a step in the default grid: its start and so many between.
POINTS_A_STEP = 4


@dataclass(frozen=True)
class KeptSteps:
    """The steps of a run, one row each (see :mod:`inrushlib.model.dense_output`), and the lumps that it had."""

    rows: Array
    states: int
    lumps: Lumps

    def grid(self) -> Array:
        """Return instants [s] that show every turn of the curves: each step in quarters."""
        start, size, end = self.rows[:, 0], self.rows[:, 1], self.rows[:, 2]
        shares = np.arange(POINTS_A_STEP) / POINTS_A_STEP
        inner = start[:, None] + (size * end)[:, None] * shares
        return np.append(inner.ravel(), start[-1] + size[-1] * end[-1])

    def locate(self, times: Array) -> tuple[NDArray[np.intp], Array]:
        """Return for instants [s] which step each falls into, and the share of it that has passed [1]."""
        start, size = self.rows[:, 0], self.rows[:, 1]
        row = np.clip(np.searchsorted(start, times, side="right") - 1, 0, len(start) - 1)
        return row, ((times - start[row]) / size[row]).clip(0.0, self.rows[row, 2])

    def states_at(self, times: Array) -> Array:
        """Return the states, shape (len(times), states), at instants within the run."""
        row, shares = self.locate(times)
        share = shares[:, None]
        n, base = self.states, at.KEPT_STATE
        y0, y1, c1, c2 = (self.rows[row, base + i * n : base + (i + 1) * n] for i in range(4))
        states: Array = y0 * (1 - share) + share * (y1 + (1 - share) * (c1 + share * c2))
        return states


def name_curves(build: Build, states: Array, lumps: Lumps) -> dict[str, Array]:
    """Return the curves by name, SI; a section's is that of its centre lump.

    A bulk capacitor that is not there has its node's voltage.
    """
    curves = {
        "adapter_voltage": states[:, at.V_O],
        "lead_current": states[:, at.I_L],
        "bus_voltage": states[:, at.V_B],
        "bus_bulk_voltage": states[:, at.V_BB if build.bus.bulk > 0 else at.V_B],
        "gate_voltage": states[:, at.V_G],
        "panel_voltage": states[:, at.V_R],
        "panel_bulk_voltage": states[:, at.V_RB if build.panel.bulk > 0 else at.V_R],
        "reservoir_voltage": states[:, at.V_H],
        "rail_voltage": states[:, at.V_3],
    }
    for k, lump in enumerate(lumps.centre):
        curves[f"section_{k}_voltage"] = states[:, at.CORE + lump]
    return curves


@dataclass(frozen=True)
class Curves:
    """The curves of a run without anything read off them.

    Attributes
    ----------
    build : Build
        What was started.
    steps : KeptSteps
        The run's own dense output.
    """

    build: Build
    steps: KeptSteps

    def at(self, times: Array) -> dict[str, Array]:
        """Return the curves at instants [s]; beyond the run those of its nearest end."""
        return name_curves(self.build, self.steps.states_at(np.asarray(times, dtype=float)), self.steps.lumps)
