"""What is read off a finished run: peaks, lows, temperatures, charge, energy."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.startup.lumps import Lumps

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Figures:
    """Figures of one start, SI; None where there is none. ``..._at`` is the instant [s].

    The lowest bus and rail voltage count from the first time the controller came out of reset. A section's voltage
    is that of its centre lump; ``final_lowest_lump_voltage`` is the lowest of all lumps, ``highest_section_voltage``
    the highest of them. Temperatures in degrees Celsius. ``lit_before_data`` is how long any pixel glowed in its
    power-on colour, at 5 % of its full current or more.
    """

    peak_lead_current: float
    peak_lead_current_at: float
    settled_lead_current: float
    final_lead_current: float
    final_bus_voltage: float
    final_rail_voltage: float
    final_section_voltages: tuple[float, ...]
    final_lowest_lump_voltage: float
    final_lowest_lump_section: int
    lowest_bus_voltage: float | None
    lowest_bus_voltage_at: float | None
    lowest_rail_voltage: float | None
    lowest_rail_voltage_at: float | None
    lit_before_data: float
    highest_bus_voltage: float
    highest_bus_voltage_at: float
    highest_panel_voltage: float
    highest_panel_voltage_at: float
    highest_reservoir_voltage: float
    highest_reservoir_voltage_at: float
    highest_section_voltage: float
    highest_section_voltage_at: float
    highest_junction_temperature: float | None
    highest_junction_temperature_at: float | None


@dataclass(frozen=True)
class Conductor:
    """What went through one conductor loop.

    Attributes
    ----------
    name : str
        ``"lead"``, ``"feed to section 0"``, ``"hop 0-1"``.
    resistance : float
        Of the loop [ohm].
    charge, energy, i2t : float
        Integrals of i (signed, positive away from the adapter) [C], R i^2 [J], i^2 [A2s].
    """

    name: str
    resistance: float
    charge: float
    energy: float
    i2t: float


@dataclass(frozen=True)
class EnergyBalance:
    """Where the energy came from and where it went [J].

    Attributes
    ----------
    adapter, own_supply : float
        What the adapter's regulator and the controller's own supply delivered.
    stored : float
        What capacitors and the lead's inductance hold more at the end than at the start.
    losses : dict of str to float
        What each place turned into heat and light.
    """

    adapter: float
    own_supply: float
    stored: float
    losses: dict[str, float]

    @property
    def imbalance(self) -> float:
        """Difference between delivered and stored plus lost, as a share of what was moved."""
        delivered = self.adapter + self.own_supply
        lost = sum(self.losses.values())
        moved = max(abs(delivered), abs(self.stored), abs(lost))
        return (delivered - self.stored - lost) / moved if moved > 0 else 0.0


def read_energy(energies: Array) -> EnergyBalance:
    """Return the energy balance from the tally's numbers."""
    from inrushlib.model import readout as ta

    places = {
        "adapter bleed": ta.E_BLEED,
        "lead": ta.E_LEAD,
        "inrush limiter": ta.E_LIMITER,
        "bulk series resistance": ta.E_BULK_ESR,
        "switch": ta.E_SWITCH,
        "gate network": ta.E_GATE,
        "controller feed": ta.E_CTRL_FEED,
        "regulator": ta.E_REGULATOR,
        "controller": ta.E_LOAD,
        "feeds": ta.E_FEEDS,
        "hops": ta.E_HOPS,
        "pixels": ta.E_PIXELS,
    }
    losses = {name: float(energies[row]) for name, row in places.items()}
    return EnergyBalance(float(energies[ta.E_ADAPTER]), float(energies[ta.E_OWN]), float(energies[ta.E_STORED]), losses)


def read_conductors(build: Build, packed: Array, lumps: Lumps, wires: Array) -> tuple[Conductor, ...]:
    """Return lead, feeds and hops from the tally's numbers."""
    from inrushlib.model import layout as at

    rows = [("lead", build.lead.resistance, 0)]
    for section, lump in zip(build.wiring.feeds, lumps.fed, strict=True):
        rows.append((f"feed to section {section}", 1.0 / packed[lump, at.FEED], 1 + lump))
    for section, lump in enumerate(lumps.last[:-1]):
        rows.append((f"hop {section}-{section + 1}", 1.0 / packed[lump, at.HOP], 1 + len(lumps) + lump))
    return tuple(Conductor(name, float(r), *(float(x) for x in wires[row])) for name, r, row in rows)


def read_figures(build: Build, end: Array, lumps: Lumps, settled_current: float, extremes: Array) -> Figures:
    """Return the figures from the state at the end and the tally's extremes."""
    from inrushlib.model import layout as at
    from inrushlib.model import readout as ta

    def pair(row: int) -> tuple[float | None, float | None]:
        value, instant = float(extremes[row, 0]), float(extremes[row, 1])
        return (value, instant) if math.isfinite(value) else (None, None)

    def sure(row: int) -> tuple[float, float]:
        return float(extremes[row, 0]), float(extremes[row, 1])

    lowest = int(np.argmin(end[at.CORE :]))
    hot, hot_at = pair(ta.X_JUNCTION)
    if build.switch is not None and hot is not None:
        hot += build.switch.ambient
    return Figures(
        *sure(ta.X_LEAD),
        settled_current,
        float(end[at.I_L]),
        float(end[at.V_B]),
        float(end[at.V_3]),
        lumps.read(end),
        float(end[at.CORE + lowest]),
        lumps.section[lowest],
        *pair(ta.X_LOWEST_BUS),
        *pair(ta.X_LOWEST_RAIL),
        float(extremes[ta.X_LIT, 0]),
        *sure(ta.X_BUS),
        *sure(ta.X_ROOT),
        *sure(ta.X_RESERVOIR),
        *sure(ta.X_SECTION),
        hot,
        hot_at,
    )
