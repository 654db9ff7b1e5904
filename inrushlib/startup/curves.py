"""Curves from the kept steps: any state at any instant, from the stepper's own dense output.

``Curve``       one curve: its name, its unit, and what it is of
``curves_of``   all curves of a build's run
``curve_named`` the curve of a name
``Curves``      a run's curves at any instants
``KeptSteps``   the steps that they come from
``name_curves`` states to names

A table of curves is keyed by their names, which are also those of columns in files; what else code wants to know of
a curve it asks of its ``Curve``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.model import layout as at
from inrushlib.parts.place import LEAD, Place, PlaceKind
from inrushlib.startup.lumps import Lumps

Array = NDArray[np.float64]

# Instants a step in the default grid: its start and so many between.
POINTS_A_STEP = 4


@dataclass(frozen=True)
class Curve:
    """One curve of a run, or what a channel of a capture shows.

    Attributes
    ----------
    name : str
        By which tables, files and captures know it.
    unit : str
        SI unit, ``"V"`` or ``"A"``.
    of : Place
        What it is the voltage or the current of.

    Examples
    --------
    >>> LEAD_CURRENT.column, LEAD_CURRENT.label, LEAD_CURRENT.is_current
    ('lead_current [A]', 'lead current [A]', True)
    """

    name: str
    unit: str
    of: Place

    @property
    def is_current(self) -> bool:
        """Whether it is a current."""
        return self.unit == "A"

    @property
    def words(self) -> str:
        """Its name on a page."""
        return self.name.replace("_", " ")

    @property
    def label(self) -> str:
        """Words and unit, for an axis."""
        return f"{self.words} [{self.unit}]"

    @property
    def column(self) -> str:
        """Name and unit, for the column of a file."""
        return f"{self.name} [{self.unit}]"


def _voltage(name: str, of: PlaceKind) -> Curve:
    return Curve(f"{name}_voltage", "V", Place(of))


ADAPTER_VOLTAGE = _voltage("adapter", PlaceKind.ADAPTER)
LEAD_CURRENT = Curve("lead_current", "A", LEAD)
BUS_VOLTAGE = _voltage("bus", PlaceKind.BUS)
BUS_BULK_VOLTAGE = _voltage("bus_bulk", PlaceKind.BUS_BULK)
GATE_VOLTAGE = _voltage("gate", PlaceKind.GATE)
PANEL_VOLTAGE = _voltage("panel", PlaceKind.PANEL)
PANEL_BULK_VOLTAGE = _voltage("panel_bulk", PlaceKind.PANEL_BULK)
RESERVOIR_VOLTAGE = _voltage("reservoir", PlaceKind.RESERVOIR)
RAIL_VOLTAGE = _voltage("rail", PlaceKind.CONTROLLER_RAIL)

FIXED = (
    ADAPTER_VOLTAGE, LEAD_CURRENT, BUS_VOLTAGE, BUS_BULK_VOLTAGE, GATE_VOLTAGE, PANEL_VOLTAGE, PANEL_BULK_VOLTAGE,
    RESERVOIR_VOLTAGE, RAIL_VOLTAGE,
)  # fmt: skip
"""The curves that every run has, sections aside."""

_BY_NAME = {curve.name: curve for curve in FIXED}
_OF_SECTION = re.compile(r"section_(0|[1-9]\d*)_voltage")


def section_voltage(section: int) -> Curve:
    """Return the curve of the voltage at the centre of a section.

    Parameters
    ----------
    section : int
        Its index [1].

    Examples
    --------
    >>> section_voltage(2).name
    'section_2_voltage'
    """
    return Curve(f"section_{section}_voltage", "V", Place(PlaceKind.SECTION, section))


def section_voltages(build: Build) -> tuple[Curve, ...]:
    """Return the curves of all sections of a build, in their order.

    Parameters
    ----------
    build : Build
        Any build.
    """
    return tuple(section_voltage(k) for k in range(build.wiring.sections))


def curves_of(build: Build) -> tuple[Curve, ...]:
    """Return all curves of a build's run, in the order of its table.

    Parameters
    ----------
    build : Build
        Any build.
    """
    return (*FIXED, *section_voltages(build))


def curve_named(name: str) -> Curve:
    """Return the curve of a name.

    Parameters
    ----------
    name : str
        As in a table of curves.

    Raises
    ------
    UsageError
        Where no run has such a curve.

    Examples
    --------
    >>> curve_named("section_3_voltage").of.name
    'section 3'
    """
    if name in _BY_NAME:
        return _BY_NAME[name]
    found = _OF_SECTION.fullmatch(name)
    if found is None:
        accepted = ", ".join((*_BY_NAME, section_voltage(0).name))
        raise UsageError(f"{name}: no curve of a run; accepted: {accepted} and so on")
    return section_voltage(int(found[1]))


@dataclass(frozen=True)
class KeptSteps:
    """The steps of a run, one row each (see :mod:`inrushlib.model.dense_output`), and the lumps that it had.

    Attributes
    ----------
    rows : array
        The kept steps: start, size and end of each, then the coefficients of its dense output [SI].
    states : int
        States of the model [1].
    lumps : Lumps
        The lumps that the panel was cut into.
    """

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
        """Return which step each instant falls into, and the share of it that has passed [1].

        Parameters
        ----------
        times : array
            Instants [s].
        """
        start, size = self.rows[:, 0], self.rows[:, 1]
        row = np.clip(np.searchsorted(start, times, side="right") - 1, 0, len(start) - 1)
        return row, ((times - start[row]) / size[row]).clip(0.0, self.rows[row, 2])

    def states_at(self, times: Array) -> Array:
        """Return the states, shape (len(times), states), by each step's own cubic [V], the lead's current [A].

        Parameters
        ----------
        times : array
            Instants [s] within the run; beyond it its nearest end is taken.
        """
        row, shares = self.locate(times)
        share = shares[:, None]
        n, base = self.states, at.KEPT_STATE
        y0, y1, c1, c2 = (self.rows[row, base + i * n : base + (i + 1) * n] for i in range(4))
        states: Array = y0 * (1 - share) + share * (y1 + (1 - share) * (c1 + share * c2))
        return states


def name_curves(build: Build, states: Array, lumps: Lumps) -> dict[str, Array]:
    """Return the curves by name, SI; a section's is that of its centre lump.

    A bulk capacitor that is not there has its node's voltage.

    Parameters
    ----------
    build : Build
        What was run.
    states : (n, states) array
        States of the model, one row an instant [V], the lead's current [A].
    lumps : Lumps
        The lumps that it had.
    """
    columns = {
        ADAPTER_VOLTAGE: at.V_O,
        LEAD_CURRENT: at.I_L,
        BUS_VOLTAGE: at.V_B,
        BUS_BULK_VOLTAGE: at.V_BB if build.bus.bulk > 0 else at.V_B,
        GATE_VOLTAGE: at.V_G,
        PANEL_VOLTAGE: at.V_R,
        PANEL_BULK_VOLTAGE: at.V_RB if build.panel.bulk > 0 else at.V_R,
        RESERVOIR_VOLTAGE: at.V_H,
        RAIL_VOLTAGE: at.V_3,
    }
    columns |= {section_voltage(k): at.CORE + lump for k, lump in enumerate(lumps.centre)}
    return {curve.name: states[:, column] for curve, column in columns.items()}


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
        """Return the curves by name, SI.

        Parameters
        ----------
        times : array
            Instants [s]; beyond the run those of its nearest end are returned.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> from inrushlib.startup.simulate import run_curves
        >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 64})
        >>> run_curves(panel).at(np.array([0.0, 0.5]))["lead_current"].round(4).tolist()
        [0.0, 0.1184]
        """
        return name_curves(self.build, self.steps.states_at(np.asarray(times, dtype=float)), self.steps.lumps)
